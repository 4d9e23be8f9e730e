"""Asked pictures: the right ones, upright, of the asked size, and no more in memory than one."""

from pathlib import Path

import cv2
import numpy as np
import pytest

from api.domain.errors import ClipRefused
from api.domain.measurement import ClipFacts
from tests.worker.video.making import even_times, number_in, skip_start, write_clip
from worker.video.frames import iter_frames
from worker.video.probe import ClipProbe, probe_clip


@pytest.mark.parametrize("rotation", [0, 90, 180, 270])
def test_every_frame_comes_in_order_and_upright(tmp_path: Path, rotation: int) -> None:
    path = write_clip(tmp_path / "clip.mp4", even_times(40), rotation=rotation)
    frames = list(iter_frames(path, probe_clip(path)))
    assert [index for index, _ in frames] == list(range(40))
    assert [number_in(picture) for _, picture in frames] == list(range(40))


def test_only_asked_frames_come(tmp_path: Path) -> None:
    path = write_clip(tmp_path / "clip.mp4", even_times(40), b_frames=2)
    asked = [31, 3, 17, 3]
    got = [
        (index, number_in(picture)) for index, picture in iter_frames(path, probe_clip(path), asked)
    ]
    assert got == [(3, 3), (17, 17), (31, 31)]


def test_nothing_asked_nothing_opened(tmp_path: Path) -> None:
    path = write_clip(tmp_path / "clip.mp4", even_times(20))
    probe = probe_clip(path)
    path.unlink()
    assert list(iter_frames(path, probe, [])) == []


def test_indices_count_shown_frames(tmp_path: Path) -> None:
    path = write_clip(tmp_path / "clip.mp4", even_times(40), b_frames=2)
    skip_start(path, 0.5)
    got = [number_in(picture) for _, picture in iter_frames(path, probe_clip(path), [0, 24])]
    assert got == [15, 39]


@pytest.mark.parametrize("rotation", [0, 90])
def test_a_shrunk_picture_keeps_its_shape(tmp_path: Path, rotation: int) -> None:
    path = write_clip(tmp_path / "clip.mp4", even_times(20), rotation=rotation)
    ((_, picture),) = iter_frames(path, probe_clip(path), [9], max_side=240)
    assert picture.shape == (240, 160, 3)
    assert number_in(picture) == 9


def test_a_picture_is_never_enlarged(tmp_path: Path) -> None:
    path = write_clip(tmp_path / "clip.mp4", even_times(20))
    ((_, picture),) = iter_frames(path, probe_clip(path), [0], max_side=4000)
    assert picture.shape == (480, 320, 3)
    assert picture.flags.c_contiguous
    assert picture.dtype == np.uint8


@pytest.mark.parametrize("rotation", [0, 90, 180, 270])
def test_pictures_equal_another_readers(tmp_path: Path, rotation: int) -> None:
    path = write_clip(tmp_path / "clip.mp4", even_times(20), rotation=rotation)
    ((_, ours),) = iter_frames(path, probe_clip(path), [0])
    read, theirs = cv2.VideoCapture(str(path)).read()
    assert read
    assert np.array_equal(ours, theirs)


def test_a_frame_that_does_not_exist(tmp_path: Path) -> None:
    path = write_clip(tmp_path / "clip.mp4", even_times(20))
    with pytest.raises(IndexError, match=r"0\.\.19"):
        list(iter_frames(path, probe_clip(path), [20]))


def test_a_clip_that_ends_early(tmp_path: Path) -> None:
    path = write_clip(tmp_path / "clip.mp4", even_times(20))
    promised = ClipProbe(
        ClipFacts(320, 480, 25, 0.83, 30.0, False, 0, False),  # noqa: FBT003 - the facts in order
        tuple(even_times(25)),
    )
    with pytest.raises(ClipRefused):
        list(iter_frames(path, promised, [24]))
