"""A coach's points go over the machine's, with a hand's uncertainty. Shared with the page."""

from typing import Any

import pytest

from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import COACH_MARKING_SIGMA_DEG, Value, evaluate, sigma_input
from api.domain.coach_points import inputs_without_machine, place_points
from api.domain.measurement import Missing, Point
from api.domain.names import Hand, PointName
from tests.api.domain import vector_files

ANGLE_POINTS: dict[PointName, Point] = {
    PointName.LEAD_SHOULDER: (1000.0, 600.0),
    PointName.LEAD_WRIST: (600.0, 600.0),
    PointName.BUTT: (600.0, 600.0),
    PointName.CLUBHEAD: (600.0, 40.0),
}


def as_points(found: dict[str, list[float]]) -> dict[PointName, Point]:
    return {PointName(name): (point[0], point[1]) for name, point in found.items()}


@pytest.mark.parametrize("case", vector_files.read("checkpoints")["placing"], ids=vector_files.ids)
def test_placing_points(case: dict[str, Any]) -> None:
    before = dict(case["inputs"])
    points, inputs = place_points(
        CheckpointId(case["checkpoint"]),
        as_points(case["points"]),
        case["inputs"],
        as_points(case["placed"]),
    )

    assert points == as_points(case["expected_points"])
    assert inputs == case["expected_inputs"]
    assert case["inputs"] == before


@pytest.mark.parametrize("checkpoint", CheckpointId)
def test_inputs_for_a_clip_the_machine_could_not_read(checkpoint: CheckpointId) -> None:
    expected = vector_files.read("checkpoints")["inputs_without_machine"]
    assert inputs_without_machine(checkpoint) == expected[checkpoint.value]


def test_a_coach_can_read_the_angle_where_the_machine_could_not() -> None:
    checkpoint = CheckpointId.LEAD_ARM_SHAFT_ANGLE
    points, inputs = place_points(checkpoint, {}, inputs_without_machine(checkpoint), ANGLE_POINTS)

    answer = evaluate(checkpoint, points, inputs, handed=Hand.RIGHT, width_px=1080)

    assert isinstance(answer, Value)
    assert answer.value == pytest.approx(90)
    # Large picture: pixels alone would say 1.0 degree; the hand-marking floor rules.
    assert answer.terms["points"] == COACH_MARKING_SIGMA_DEG


def test_the_butt_end_stays_missing_without_a_scale() -> None:
    checkpoint = CheckpointId.BUTT_END_INSIDE
    placed: dict[PointName, Point] = {
        PointName.BUTT: (420.0, 555.0),
        PointName.CLUBHEAD: (300.0, 300.0),
        PointName.BALL: (620.0, 900.0),
    }
    points, inputs = place_points(checkpoint, {}, inputs_without_machine(checkpoint), placed)

    answer = evaluate(checkpoint, points, inputs, handed=Hand.RIGHT, width_px=1080)

    assert isinstance(answer, Missing)
    assert "size of the club" in answer.reason
    assert inputs[sigma_input(PointName.BALL)] == 4.0
