"""The first look's pictures, taken while the file is probed: the same frames, the same measurement."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from api.domain.names import Hand, View
from worker import pipeline
from worker.pipeline import MeasureRequest, measure_clip
from worker.swing.scan import SCAN_SIDE, Held, looks
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
