"""Where the quick network finds no swing, our own network looks for it; where it is not believed, nobody does."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from api.domain.checkpoint_ids import CheckpointId
from api.domain.measurement import Keyframe, Reading
from api.domain.names import KeyframeId, View
from tests.studio.truth.schema import Absent, load_truth
from worker import pipeline
from worker.body.joints import BodyTrack
from worker.body.points import BodyPoints
from worker.body.tracker import Tracker
from worker.pipeline import MeasureRequest, measure_clip
from worker.swing.cycles import RoughSwing, find_swings

CLIP = Path(__file__).parents[2] / "clips" / "face_on_neutral.mp4"


def blind_at_first() -> Callable[[BodyTrack, View], list[RoughSwing]]:
    asked = iter((True,))

    def find(track: BodyTrack, view: View) -> list[RoughSwing]:
        return [] if next(asked, False) else find_swings(track, view)

    return find


def request() -> MeasureRequest:
    truth = load_truth(CLIP.with_suffix(".json"))
    return MeasureRequest(truth.view, truth.handed, truth.club_length_m, truth.stature_m)


def test_a_swing_that_the_quick_look_lost_is_found_again(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pipeline, "find_swings", blind_at_first())
    (swing,) = measure_clip(CLIP, request()).measurement.swings
    found = swing.keyframes[KeyframeId.LEAD_ARM_PARALLEL]
    true = load_truth(CLIP.with_suffix(".json")).swings[0].instants[KeyframeId.LEAD_ARM_PARALLEL]
    assert isinstance(found, Keyframe)
    assert not isinstance(true, Absent)
    assert found.time_s == pytest.approx(true.file_s, abs=0.03)


def test_a_golfer_whom_the_first_look_lost_is_sought_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    """The quick network follows something beside the golfer: nothing of its track is of any use."""
    step = Tracker.step

    def beside(tracker: Tracker, rgb: NDArray[np.uint8]) -> BodyPoints:
        points = step(tracker, rgb)
        return replace(points, xy=points.xy[::-1] * [0.3, 0.5])

    monkeypatch.setattr(Tracker, "step", beside)
    result = measure_clip(CLIP, request())
    (swing,) = result.measurement.swings
    for key in (KeyframeId.LEAD_ARM_PARALLEL, KeyframeId.TOP):
        found, true = (
            swing.keyframes[key],
            load_truth(CLIP.with_suffix(".json")).swings[0].instants[key],
        )
        assert isinstance(found, Keyframe)
        assert not isinstance(true, Absent)
        assert found.time_s == pytest.approx(true.file_s, abs=0.03)
    assert isinstance(swing.checkpoints[CheckpointId.LEAD_ARM_SHAFT_ANGLE], Reading)


def test_where_our_network_is_not_believed_nothing_is_found(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(pipeline, "find_swings", blind_at_first())
    monkeypatch.setattr(pipeline, "AGREE_STATURE", 0.0)
    measured = measure_clip(CLIP, request()).measurement
    assert measured.swings == ()
    assert "no_swing" in {problem.code for problem in measured.view.problems}
