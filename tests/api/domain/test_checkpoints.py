"""Checkpoints as the worker, the API and the page all evaluate them."""

import math
from dataclasses import asdict
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from api.domain import checkpoints, geometry
from api.domain.bands import Bands
from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS, Value, evaluate, sigma_input
from api.domain.measurement import Missing, Point
from api.domain.names import Band, Hand, PointName
from tests.api.domain import vector_files

CASES: list[dict[str, Any]] = vector_files.read("evaluate")["cases"]
SHARED = vector_files.read("checkpoints")
WIDTH = 720

ANGLE = CheckpointId.LEAD_ARM_SHAFT_ANGLE
BUTT_END = CheckpointId.BUTT_END_INSIDE
ANGLE_POINTS: dict[PointName, Point] = {
    PointName.LEAD_SHOULDER: (500.0, 300.0),
    PointName.LEAD_WRIST: (300.0, 300.0),
    PointName.BUTT: (297.0, 305.0),
    PointName.CLUBHEAD: (310.0, 20.0),
}
ANGLE_INPUTS = {sigma_input(name): 4.0 for name in ANGLE_POINTS} | {
    "sigma_instant": 1.2,
    "sigma_view": 2.0,
    "sigma_residual": 0.5,
}
BUTT_POINTS: dict[PointName, Point] = {
    PointName.BUTT: (420.0, 555.0),
    PointName.CLUBHEAD: (300.0, 300.0),
    PointName.BALL: (620.0, 900.0),
}
BUTT_INPUTS = {
    "sigma_px_butt": 2.0,
    "sigma_px_clubhead": 3.0,
    "sigma_px_ball": 1.5,
    "sigma_instant": 0.0,
    "sigma_view": 0.0,
    "sigma_residual": 0.0,
    "px_per_grip": 80.0,
    "ground_row_shift_px": 25.0,
    "scale_ratio": 1.18,
    "baseline_slope": 0.3,
    "sigma_depth": 0.0,
    "sigma_scale": 0.0,
}
WHOLE_PIXELS = st.tuples(st.integers(0, WIDTH - 1), st.integers(0, 1279))
PICTURE_POINTS = st.tuples(st.floats(0, WIDTH - 1), st.floats(0, 1279))


def evaluate_case(case: dict[str, Any], bands: Bands | None = None) -> Value | Missing:
    return evaluate(
        CheckpointId(case["checkpoint"]),
        {PointName(name): tuple(point) for name, point in case["points"].items()},
        case["inputs"],
        handed=Hand(case["handed"]),
        width_px=case["width_px"],
        bands=bands,
    )


def given_value(answer: Value | Missing) -> Value:
    assert isinstance(answer, Value), answer
    return answer


@pytest.mark.parametrize("case", CASES, ids=vector_files.ids)
def test_the_vector_holds(case: dict[str, Any]) -> None:
    answer = evaluate_case(case)
    expected = case["expected"]

    if "missing" in expected:
        assert answer == Missing(expected["missing"])
    else:
        value = given_value(answer)
        assert value.band == expected["band"]
        for name in ("value", "sigma", "low", "high"):
            # The reference differentiates numerically: seven digits are what it has.
            assert getattr(value, name) == pytest.approx(expected[name], rel=1e-6, abs=1e-6)


@pytest.mark.parametrize("checkpoint", CheckpointId)
def test_the_definition_is_the_one_the_page_has(checkpoint: CheckpointId) -> None:
    definition = CHECKPOINTS[checkpoint]
    shared = SHARED["checkpoints"][checkpoint.value]

    assert definition.id is checkpoint
    assert list(definition.views) == shared["views"]
    assert definition.main == shared["main"]
    assert definition.keyframe == shared["keyframe"]
    assert definition.unit == shared["unit"]
    assert list(definition.points) == shared["points"]
    assert list(definition.inputs) == shared["inputs"]
    bands = None if definition.bands is None else asdict(definition.bands)
    assert bands == shared["bands"]
    assert definition.withhold_sigma == shared["withhold_sigma"]
    assert definition.least == (-math.inf if shared["least"] is None else shared["least"])
    assert definition.most == (math.inf if shared["most"] is None else shared["most"])


def test_shared_constants_are_the_ones_the_page_has() -> None:
    assert SHARED["coach_point_sigma_px"] == checkpoints.COACH_POINT_SIGMA_PX
    assert SHARED["coach_marking_sigma_deg"] == checkpoints.COACH_MARKING_SIGMA_DEG
    assert SHARED["min_segment_px"] == geometry.MIN_SEGMENT_PX


def test_the_terms_make_up_the_sigma() -> None:
    answer = given_value(
        evaluate(ANGLE, ANGLE_POINTS, ANGLE_INPUTS, handed=Hand.RIGHT, width_px=720)
    )

    assert set(answer.terms) == {"points", "instant", "view", "residual"}
    assert math.hypot(*answer.terms.values()) == pytest.approx(answer.sigma)
    assert answer.terms["view"] == 2.0


FAMILIES = {
    "set_before_trail_leg": "set_before_trail_leg, 0.15",
    "wrist_set_kept": "wrist_set_kept, -27.5",
    "across from a place at address": "pelvis_sway, -0.02",
    "across, other sign": "trigger_shift, 0.065",
    "across from a point": "hand_depth, 0.225",
    "turn": "pelvis_turn, 45",
    "bend": "knee_flex, 21",
    "tilt": "spine_side_tilt, 5",
    "tilt, change": "spine_tilt_change_at_top, -2.5",
    "pitch": "shaft_pitch, 64.05",
    "between": "ball_position, 0.55",
    "tempo": "tempo_ratio, 3",
    "span": "start_order, 0.19",
    "in space": "shaft_at_top, 0",
}
"""One vector of every family of formulas: their names without the hand."""

ERRING_INPUTS = {
    "address_deg": "sigma_address",
    "parallel_deg": "sigma_parallel",
    "reference_deg": "sigma_reference",
    "from_x_px": "sigma_from_px",
    "address_width_px": "sigma_width_px",
    "from_s": "sigma_from_s",
    "to_s": "sigma_to_s",
    "takeaway_s": "sigma_takeaway_s",
    "top_s": "sigma_top_s",
    "impact_s": "sigma_impact_s",
    "value_deg": "sigma_depth",
}
"""Inputs that are measured themselves, with what holds their sigma."""


@pytest.mark.parametrize("hand", Hand)
@pytest.mark.parametrize("family", FAMILIES)
def test_the_whole_error_is_what_a_simulation_finds(family: str, hand: Hand) -> None:
    """Points, places and instants err together, as the inputs say; the stated sigma is theirs."""
    case = next(one for one in CASES if one["id"] == f"{FAMILIES[family]} {hand.value}")
    plain = {f"sigma_{name}": 0.0 for name in ("instant", "view", "residual")}
    case = {**case, "inputs": case["inputs"] | plain}
    rng = np.random.default_rng(42)

    def moved() -> dict[str, Any]:
        inputs = dict(case["inputs"])
        for name, sigma in ERRING_INPUTS.items():
            if name in inputs:
                inputs[name] += rng.normal() * inputs[sigma]
        if "px_per_unit" in inputs:
            inputs["px_per_unit"] *= 1.0 + rng.normal() * inputs["sigma_scale"]
        points = {
            name: list(np.add(spot, rng.normal(size=2) * inputs[f"sigma_px_{name}"]))
            for name, spot in case["points"].items()
        }
        return {**case, "points": points, "inputs": inputs}

    stated = given_value(evaluate_case(case))
    found = [given_value(evaluate_case(moved())).value for _ in range(8_000)]

    assert stated.sigma == pytest.approx(float(np.std(found)), rel=0.035)
    assert stated.value == pytest.approx(float(np.mean(found)), abs=0.05 * stated.sigma)


@pytest.mark.parametrize("turned", [0.0, 2.0, 5.0, 9.0, 15.0, 30.0, 80.0])
def test_a_turns_interval_holds_the_true_turn_however_small_it_is(turned: float) -> None:
    rng = np.random.default_rng(7)
    half = 85.0 * math.cos(math.radians(turned))
    inputs = {
        "sigma_px_lead_shoulder": 3.0,
        "sigma_px_trail_shoulder": 3.0,
        "sigma_instant": 0.0,
        "sigma_view": 0.0,
        "sigma_residual": 0.0,
        "address_width_px": 170.0,
        "sigma_width_px": 0.0,
    }
    answers = []
    for _ in range(4_000):
        lead, trail = rng.normal(size=2) * 3.0
        points = {
            PointName.LEAD_SHOULDER: (360.0 + half + lead, 400.0),
            PointName.TRAIL_SHOULDER: (360.0 - half + trail, 400.0),
        }
        answers.append(
            evaluate(CheckpointId.CHEST_TURN, points, inputs, handed=Hand.RIGHT, width_px=WIDTH)
        )
    # A line wider than at address says so; of the numbers given, 19 of 20 must be right.
    numbers = [answer for answer in answers if isinstance(answer, Value)]

    assert len(numbers) > 1_500
    assert np.mean([one.low <= turned <= one.high for one in numbers]) > 0.935


def simulated(
    checkpoint: CheckpointId, points: dict[PointName, Point], inputs: dict[str, float], hand: Hand
) -> list[float]:
    """Values of 20,000 pictures whose points err as the inputs say."""
    rng = np.random.default_rng(42)
    answers = []
    for _ in range(20_000):
        moved = {
            name: (
                spot[0] + rng.normal() * inputs[sigma_input(name)],
                spot[1] + rng.normal() * inputs[sigma_input(name)],
            )
            for name, spot in points.items()
        }
        answers.append(
            given_value(evaluate(checkpoint, moved, inputs, handed=hand, width_px=WIDTH)).value
        )
    return answers


@pytest.mark.parametrize("hand", Hand)
@pytest.mark.parametrize(
    ("checkpoint", "points", "inputs"),
    [
        (ANGLE, ANGLE_POINTS, ANGLE_INPUTS | {"sigma_instant": 0.0, "sigma_view": 0.0}),
        (BUTT_END, BUTT_POINTS, BUTT_INPUTS),
    ],
)
def test_the_point_error_is_what_a_simulation_finds(
    checkpoint: CheckpointId, points: dict[PointName, Point], inputs: dict[str, float], hand: Hand
) -> None:
    if hand is Hand.LEFT:
        points = {name: (WIDTH - 1 - x, y) for name, (x, y) in points.items()}
    stated = given_value(evaluate(checkpoint, points, inputs, handed=hand, width_px=WIDTH))
    found = simulated(checkpoint, points, inputs, hand)

    assert stated.terms["points"] == pytest.approx(float(np.std(found)), rel=0.02)
    assert stated.value == pytest.approx(float(np.mean(found)), abs=0.05 * stated.sigma)


@given(WHOLE_PIXELS, WHOLE_PIXELS, WHOLE_PIXELS)
def test_a_left_handers_mirror_picture_reads_the_same(
    butt: Point, clubhead: Point, ball: Point
) -> None:
    seen = {PointName.BUTT: butt, PointName.CLUBHEAD: clubhead, PointName.BALL: ball}
    mirrored = {name: (WIDTH - 1 - x, y) for name, (x, y) in seen.items()}
    flipped = BUTT_INPUTS | {"baseline_slope": -BUTT_INPUTS["baseline_slope"]}

    right = evaluate(BUTT_END, seen, BUTT_INPUTS, handed=Hand.RIGHT, width_px=WIDTH)
    left = evaluate(BUTT_END, mirrored, flipped, handed=Hand.LEFT, width_px=WIDTH)

    # Whole pixels mirror without rounding, so nothing may differ at all.
    assert left == right


@given(st.dictionaries(st.sampled_from(PointName), PICTURE_POINTS), st.sampled_from(Hand))
def test_whatever_the_points_the_answer_is_a_finite_number_or_a_reason(
    points: dict[PointName, Point], hand: Hand
) -> None:
    sigmas = {sigma_input(name): 3.0 for name in PointName}
    others = {
        name: 0.5 if name.startswith("sigma") else 90.0
        for definition in CHECKPOINTS.values()
        for name in definition.inputs
    }
    others |= {"parallel_deg": 170.0, "top_s": 91.0, "impact_s": 91.3}
    inputs = others | ANGLE_INPUTS | BUTT_INPUTS | sigmas
    for checkpoint in CheckpointId:
        answer = evaluate(checkpoint, points, inputs, handed=hand, width_px=WIDTH)
        if isinstance(answer, Missing):
            assert answer.reason
        else:
            numbers = (answer.value, answer.sigma, answer.low, answer.high)
            assert all(math.isfinite(number) for number in numbers)
            assert answer.low <= answer.value <= answer.high
            assert answer.sigma <= CHECKPOINTS[checkpoint].withhold_sigma


@pytest.mark.parametrize("broken", [math.nan, math.inf])
def test_a_point_that_is_no_number_counts_as_unseen(broken: float) -> None:
    points = ANGLE_POINTS | {PointName.CLUBHEAD: (broken, 20.0)}

    answer = evaluate(ANGLE, points, ANGLE_INPUTS, handed=Hand.RIGHT, width_px=WIDTH)

    assert answer == Missing("Not found in the picture: clubhead.")


@pytest.mark.parametrize("name", [*ANGLE_INPUTS])
def test_an_unknown_uncertainty_is_never_taken_for_none(name: str) -> None:
    inputs = {key: value for key, value in ANGLE_INPUTS.items() if key != name}

    answer = evaluate(ANGLE, ANGLE_POINTS, inputs, handed=Hand.RIGHT, width_px=WIDTH)

    assert isinstance(answer, Missing)
    assert name in answer.reason


def test_a_negative_sigma_is_our_own_mistake() -> None:
    with pytest.raises(ValueError, match="sigma_view"):
        evaluate(
            ANGLE,
            ANGLE_POINTS,
            ANGLE_INPUTS | {"sigma_view": -1.0},
            handed=Hand.RIGHT,
            width_px=WIDTH,
        )


def test_a_coachs_own_bands_replace_the_defaults() -> None:
    bands = Bands(watch_low=50, good_low=60, good_high=75, watch_high=80)

    def judged(own: Bands | None) -> Value:
        return given_value(
            evaluate(
                ANGLE, ANGLE_POINTS, ANGLE_INPUTS, handed=Hand.RIGHT, width_px=WIDTH, bands=own
            )
        )

    # 81.3 to 93.5 degrees.
    assert judged(None).band is Band.GOOD
    assert judged(bands).band is Band.OUTSIDE
    assert judged(bands).value == judged(None).value


def test_a_reading_evaluates_to_itself_again() -> None:
    value = given_value(
        evaluate(ANGLE, ANGLE_POINTS, ANGLE_INPUTS, handed=Hand.RIGHT, width_px=720)
    )
    reading = checkpoints.to_reading(value, frame=91, points=ANGLE_POINTS, inputs=ANGLE_INPUTS)

    again = evaluate(ANGLE, reading.points, reading.inputs, handed=Hand.RIGHT, width_px=720)

    assert again == value
    assert (reading.frame, reading.value, reading.low) == (91, value.value, value.low)
    assert reading.band is value.band
