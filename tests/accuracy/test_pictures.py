"""The worst readings as pictures: truth on the true instant's frame, what was found on the read one."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest

from api.domain.names import KeyframeId, PointName
from tests.accuracy import pictures
from tests.accuracy.made_up import (
    angle_reading,
    found_swing,
    measured,
    reading_row,
    true_clip,
    true_swing,
)
from tests.accuracy.pictures import SIDE_PX, frame_of_truth, reading_picture
from tests.accuracy.scored import Scored, worst_figures
from tests.accuracy.scoring import score_clip
from tests.accuracy.truths import Absent, TrueClip, TrueInstant
from worker.picture.strokes import Pen
from worker.video.frames import Picture

LEVEL = KeyframeId.LEAD_ARM_PARALLEL
TRUE_FRAME, FOUND_FRAME = 90, 96
"""Lead arm parallel at 1.5 s of 60 pictures a second, and 100 ms later."""
READING = replace(
    angle_reading(92.0),
    frame=FOUND_FRAME,
    points={PointName.LEAD_SHOULDER: (90.0, 160.0), PointName.LEAD_WRIST: (30.0, 166.0)},
)


@pytest.fixture
def clip(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> TrueClip:
    """A clip whose frames are as grey as their number; the true arm sinks a pixel a frame."""

    def frames(_clip: TrueClip, wanted: Sequence[int]) -> dict[int, Picture]:
        return {index: np.full((320, 240, 3), index, np.uint8) for index in wanted}

    monkeypatch.setattr(pictures, "_frames", frames)
    video = tmp_path / "clip.mp4"
    video.write_bytes(b"frames")
    made = true_clip(video)
    arms = tuple(
        {"lead_shoulder": (90.0, 60.0 + frame), "lead_wrist": (30.0, 60.0 + frame)}
        for frame in range(len(made.frame_times_s))
    )
    return replace(made, points=arms)


def _panels(clip: TrueClip, monkeypatch: pytest.MonkeyPatch) -> list[tuple[int, bool, str]]:
    """Of each panel: the frame under it, whether its lines are dashed, and its title."""
    drawn: list[tuple[int, bool, str]] = []
    seen: list[tuple[int, bool]] = []
    draw = pictures._draw

    def looked_at(panel: Picture, points: pictures.Points, pen: Pen, label: str) -> None:
        seen.append((int(panel[0, 0, 0]), pen.dashed))
        draw(panel, points, pen, label)

    def titled(_panel: Picture, words: str) -> None:
        drawn.append((*seen[-1], words))

    monkeypatch.setattr(pictures, "_draw", looked_at)
    monkeypatch.setattr(pictures, "_title", titled)
    image = reading_picture(clip, reading_row(clip.name, 2.0), READING)
    picture = cv2.imdecode(np.frombuffer(image, np.uint8), cv2.IMREAD_COLOR)
    assert picture is not None
    assert picture.shape[0] == SIDE_PX
    assert (picture.shape[1] > picture.shape[0]) is (len(drawn) == 2)
    return drawn


def test_truth_stands_on_the_true_frame_and_the_found_on_the_read_one(
    clip: TrueClip, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert _panels(clip, monkeypatch) == [
        (TRUE_FRAME, False, f"true: frame {TRUE_FRAME}"),
        (FOUND_FRAME, True, f"found: frame {FOUND_FRAME}"),
    ]


def test_a_stays_true_value_belongs_to_the_arrival(clip: TrueClip) -> None:
    swing = true_swing()
    stays = {**swing.instants, LEVEL: TrueInstant(1.5, 1.5, 1.7)}
    row = reading_row(clip.name, 2.0)
    assert frame_of_truth(replace(clip, swings=(replace(swing, instants=stays),)), row) == 90


def test_without_a_true_instant_only_the_found_is_shown(
    clip: TrueClip, monkeypatch: pytest.MonkeyPatch
) -> None:
    swing = true_swing(absent=(LEVEL,))
    assert isinstance(swing.instants[LEVEL], Absent)
    shown = _panels(replace(clip, swings=(swing,)), monkeypatch)
    assert [words for _, _, words in shown] == [f"found: frame {FOUND_FRAME}"]


def test_the_caption_has_the_instants_error(clip: TrueClip) -> None:
    found = measured(found_swing(0.1, reading=READING))
    scored = Scored({clip.name: clip}, {clip.name: found}, {clip.name: score_clip(clip, found)})
    captions = [figure.caption for figure in worst_figures("x", scored)]
    (reading,) = [words for words in captions if "to shaft angle" in words]
    assert "Read at lead arm parallel as found, +100 ms off the true one. Clip clip" in reading
    assert sum("Read at" in words for words in captions) == 1
