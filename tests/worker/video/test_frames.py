"""Asked pictures: the right ones, upright, of the asked size, and no more in memory than one."""

from collections.abc import Container, Iterator
from pathlib import Path

import cv2
import numpy as np
import pytest
from av.video.frame import VideoFrame

from api.domain.errors import ClipRefused
from api.domain.measurement import ClipFacts
from tests.worker.video.making import even_times, number_in, skip_start, write_clip
from worker.video import frames
from worker.video.frames import MAX_PIXELS, iter_frames
from worker.video.probe import ClipProbe, probe_clip
from worker.video.reading import OpenClip, open_clip, shown_frames


@pytest.mark.parametrize("rotation", [0, 90, 180, 270])
def test_every_frame_comes_in_order_and_upright(tmp_path: Path, rotation: int) -> None:
    path = write_clip(tmp_path / "clip.mp4", even_times(40), rotation=rotation)
    got = list(iter_frames(path, probe_clip(path)))
    assert [index for index, _ in got] == list(range(40))
    assert [number_in(picture) for _, picture in got] == list(range(40))


def test_only_asked_frames_come(tmp_path: Path) -> None:
    path = write_clip(tmp_path / "clip.mp4", even_times(40), b_frames=2)
    asked = [31, 3, 17, 3]
    got = [
        (index, number_in(picture)) for index, picture in iter_frames(path, probe_clip(path), asked)
    ]
    assert got == [(3, 3), (17, 17), (31, 31)]


@pytest.mark.parametrize("codec", ["libx264", "libx265", "libvpx-vp9"])
def test_leaving_out_what_is_not_asked_changes_no_pixel(tmp_path: Path, codec: str) -> None:
    path = write_clip(tmp_path / "clip.mp4", even_times(60), b_frames=3, codec=codec)
    probe = probe_clip(path)
    whole = dict(iter_frames(path, probe))
    asked = [1, 2, 5, 11, 12, 13, 30, 44, 59]
    some = dict(iter_frames(path, probe, asked))
    assert sorted(some) == asked
    assert all(np.array_equal(some[index], whole[index]) for index in asked)


def test_what_no_frame_leans_on_is_not_decoded(tmp_path: Path) -> None:
    path = write_clip(tmp_path / "clip.mp4", even_times(60), b_frames=3)
    with open_clip(path, max_pixels=MAX_PIXELS) as clip:
        decoded = [seconds for seconds, _ in shown_frames(clip, {0.5})]
    assert 0.5 in decoded
    assert len(decoded) <= 40


def test_a_frame_lost_by_leaving_out_others_is_sought_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = write_clip(tmp_path / "clip.mp4", even_times(40))
    probe = probe_clip(path)

    def losing(
        clip: OpenClip, needed_s: Container[float] | None = None
    ) -> Iterator[tuple[float, VideoFrame]]:
        for seconds, frame in shown_frames(clip):
            if needed_s is None or seconds != probe.frame_times_s[17]:
                yield seconds, frame

    monkeypatch.setattr(frames, "shown_frames", losing)
    got = [(index, number_in(picture)) for index, picture in iter_frames(path, probe, [3, 17, 31])]
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
