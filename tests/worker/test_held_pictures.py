"""The first look's pictures, taken while the file is probed: the same frames, the same measurement."""

from dataclasses import replace
from pathlib import Path
from typing import ClassVar

import numpy as np
import pytest
from numpy.typing import NDArray

from api.domain.names import Hand, View
from worker import pipeline
from worker.body.crops import Crop
from worker.body.detector import SCORE_MIN, Person, PersonDetector
from worker.pipeline import MeasureRequest, measure_clip
from worker.swing.scan import SCAN_SIDE, Held, Picture, Scanner, looks
from worker.video.frames import iter_frames
from worker.video.probe import probe_clip

CLIPS = Path(__file__).resolve().parents[1] / "clips"
TURNED, COARSE = CLIPS / "face_on_rotated.mp4", CLIPS / "face_on_hands_first.mp4"
PLENTY = 10**9


def test_it_holds_the_looked_at_frames_as_the_file_gives_them_again() -> None:
    held = Held(PLENTY)
    probe = probe_clip(TURNED, on_frame=held.take)
    held.done()
    assert sorted(held.pictures) == list(looks(probe.frame_times_s))
    again = iter_frames(TURNED, probe, held.pictures.keys(), max_side=SCAN_SIDE, order="rgb24")
    for index, picture in again:
        assert np.array_equal(held.pictures[index], picture)


def test_it_holds_nothing_rather_than_too_much() -> None:
    held = Held(3 * 1024**2)
    probe_clip(COARSE, on_frame=held.take)
    held.done()
    assert held.pictures == {}


def test_a_clip_too_long_to_hold_is_measured_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    request = MeasureRequest(View.FACE_ON, Hand.RIGHT, 0.94)
    usual = measure_clip(COARSE, request).measurement
    monkeypatch.setattr(pipeline, "HELD_BYTES", 0)
    again = measure_clip(COARSE, request).measurement
    assert usual.swings
    assert replace(again, timing={}) == replace(usual, timing={})


class _Noticed(Scanner):
    """A scanner that tells what was tracked before the golfer was chosen."""

    ahead: ClassVar[list[int]] = []

    def look_for_people(self, pictures: list[Picture]) -> Crop:
        _Noticed.ahead = list(self._frames)
        return super().look_for_people(pictures)


class _Crowded(PersonDetector):
    """Sees two people in the first picture it is shown, so that nobody can be followed yet."""

    asked = 0

    def find(self, rgb: NDArray[np.uint8], *, score_min: float = SCORE_MIN) -> list[Person]:
        self.asked += 1
        return super().find(rgb, score_min=score_min) * (2 if self.asked == 1 else 1)


def test_the_first_look_begun_while_probing_ends_as_one_begun_afterwards(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    request = MeasureRequest(View.FACE_ON, Hand.LEFT, 0.94)
    path = CLIPS / "face_on_left_handed.mp4"
    monkeypatch.setattr(pipeline, "Scanner", _Noticed)
    usual = measure_clip(path, request).measurement
    assert _Noticed.ahead == list(looks(probe_clip(path).frame_times_s))
    monkeypatch.setattr(pipeline, "PersonDetector", _Crowded)
    again = measure_clip(path, request).measurement
    assert _Noticed.ahead == []
    assert usual.swings
    assert replace(again, timing={}) == replace(usual, timing={})
