"""The fitted spreads are of this pipeline, and every reading and instant carries its own."""

import json
from pathlib import Path

import pytest

from api.domain.checkpoint_ids import CheckpointId
from api.domain.measurement import Keyframe, Reading
from api.domain.names import KeyframeId
from tests.studio.truth.schema import load_truth
from worker.measure.residuals import FILE, instant_residual_s, residual
from worker.pipeline import PIPELINE_VERSION, MeasureRequest, measure_clip

CLIP = Path(__file__).parents[2] / "clips" / "down_the_line_neutral.mp4"


def test_they_were_fitted_to_this_pipeline_on_the_set_for_it() -> None:
    made = json.loads(FILE.read_text())["made_by"]
    assert made["pipeline"] == PIPELINE_VERSION
    assert made["set"] == "calibration"
    assert made["clips"] >= 32


def test_names_are_known_and_spreads_are_not_negative() -> None:
    kept = json.loads(FILE.read_text())
    for name, one in kept["readings"].items():
        assert residual(CheckpointId(name), otherwise=9.0) == one["sigma"] >= 0.0
    for name, one in kept["instants_s"].items():
        assert instant_residual_s(KeyframeId(name)) == one["sigma"] >= 0.0


def test_a_measurement_carries_them() -> None:
    truth = load_truth(CLIP.with_suffix(".json"))
    request = MeasureRequest(truth.view, truth.handed, truth.club_length_m, truth.stature_m)
    (swing,) = measure_clip(CLIP, request).measurement.swings
    reading = swing.checkpoints[CheckpointId.SHAFT_PITCH]
    assert isinstance(reading, Reading)
    assert reading.inputs["sigma_residual"] == residual(CheckpointId.SHAFT_PITCH)
    assert reading.sigma >= residual(CheckpointId.SHAFT_PITCH)
    keyframe = swing.keyframes[KeyframeId.TAKEAWAY]
    assert isinstance(keyframe, Keyframe)
    assert keyframe.sigma_s >= instant_residual_s(KeyframeId.TAKEAWAY) > 0.0


@pytest.mark.parametrize(
    "checkpoint", [CheckpointId.LEAD_ARM_SHAFT_ANGLE, CheckpointId.BUTT_END_INSIDE]
)
def test_the_main_readings_were_fitted(checkpoint: CheckpointId) -> None:
    # Nought is a fit too: what is stated was wide enough. Unfitted ones are -1 here.
    assert residual(checkpoint, otherwise=-1.0) >= 0.0
