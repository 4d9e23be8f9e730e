"""Signs, wraps and edges of the plane formulas; the cases are shared with the page."""

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from api.domain import geometry
from api.domain.measurement import Point
from tests.api.domain import vector_files

SHARED = vector_files.read("geometry")
ANGLES = st.floats(-720, 720)
PIXELS = st.floats(0, 4000)
POINTS = st.tuples(PIXELS, PIXELS)


@pytest.mark.parametrize("case", SHARED["direction"])
def test_direction_counts_from_the_right_and_up_is_positive(case: dict[str, Any]) -> None:
    assert geometry.direction(case["start"], case["end"]) == pytest.approx(case["expected"])


@pytest.mark.parametrize("case", SHARED["elevation"])
def test_elevation_does_not_tell_left_from_right(case: dict[str, Any]) -> None:
    assert geometry.elevation(case["start"], case["end"]) == pytest.approx(case["expected"])


@pytest.mark.parametrize("case", SHARED["angle_between"])
def test_angle_between_wraps(case: dict[str, Any]) -> None:
    assert geometry.angle_between(case["first"], case["second"]) == pytest.approx(case["expected"])


@pytest.mark.parametrize("case", SHARED["angle_at"])
def test_angle_at_a_vertex(case: dict[str, Any]) -> None:
    answer = geometry.angle_at(case["vertex"], case["first"], case["second"])

    assert answer == pytest.approx(case["expected"])


@pytest.mark.parametrize("case", SHARED["ground_hit"])
def test_the_butt_line_meets_the_ground_or_does_not(case: dict[str, Any]) -> None:
    hit = geometry.butt_ground_hit(case["butt"], case["clubhead"], case["ground_row"])

    if case["expected"] is None:
        assert hit is None
    else:
        assert hit is not None
        assert [hit.x, hit.row, hit.per_row] == pytest.approx(case["expected"])


@given(ANGLES)
def test_wraps_stay_in_their_ranges(angle: float) -> None:
    assert 0 <= geometry.wrap360(angle) < 360
    assert -180 < geometry.wrap180(angle) <= 180


def test_wrapping_a_tiny_negative_angle_does_not_reach_360() -> None:
    assert geometry.wrap360(-1e-17) == 0.0


@given(POINTS, POINTS, POINTS, POINTS)
def test_the_unsigned_angle_is_the_turn_folded_at_180(
    shoulder: Point, wrist: Point, butt: Point, head: Point
) -> None:
    turn = geometry.arm_shaft_turn(shoulder, wrist, butt, head)
    angle = geometry.lead_arm_shaft_angle(shoulder, wrist, butt, head)

    assert 0 <= turn < 360
    assert 0 <= angle <= 180
    assert angle == (turn if turn <= 180 else 360 - turn)


def test_the_turn_tells_on_which_side_of_straight_the_shaft_lies() -> None:
    arm = ((500.0, 300.0), (300.0, 300.0), (300.0, 300.0))

    assert geometry.arm_shaft_turn(*arm, (20.0, 320.0)) > 180
    assert geometry.arm_shaft_turn(*arm, (20.0, 280.0)) < 180


def test_a_crossing_on_a_sample_is_that_sample() -> None:
    assert geometry.crossing_time(1.0, 0.0, 2.0, 5.0) == 1.0
    assert geometry.crossing_time(1.0, -5.0, 2.0, 0.0) == 2.0
    assert geometry.crossing_time(1.0, 0.0, 2.0, 0.0) == 1.0


def test_no_crossing_is_invented() -> None:
    assert geometry.crossing_time(1.0, 0.1, 2.0, 0.2) is None
    assert geometry.crossing_time(1.0, -0.1, 2.0, -0.2) is None
    assert geometry.crossing_time(2.0, -1.0, 2.0, 1.0) is None


def test_the_depth_corrected_line_follows_the_horizon() -> None:
    line = geometry.depth_corrected_line(
        (620.0, 900.0), (560.0, 500.0), camera_to_ball_m=4.0, nearer_m=0.6
    )

    assert line.scale_ratio == pytest.approx(4.0 / 3.4)
    assert line.row_shift_px == pytest.approx(400 * (4.0 / 3.4) - 400)
    assert line.slope == pytest.approx(60 / 400)


def test_the_corrected_reading_uses_row_line_and_scale_of_the_hit_point() -> None:
    line = geometry.GroundLine(row_shift_px=70.0, slope=0.15, scale_ratio=1.2)

    answer = geometry.butt_end_inside(
        (420.0, 555.0), (320.0, 455.0), (620.0, 900.0), px_per_grip=80.0, line=line
    )

    # The hit lies 415 rows below the butt at 45 degrees; the line has moved 10.5 px right.
    assert answer == pytest.approx((630.5 - 835.0) / 96.0)


@pytest.mark.parametrize("nearer", [-0.1, 4.0, 5.0])
def test_a_hit_point_beyond_ball_or_lens_is_refused(nearer: float) -> None:
    with pytest.raises(ValueError, match="between lens and ball"):
        geometry.depth_corrected_line(
            (620.0, 900.0), (560.0, 500.0), camera_to_ball_m=4.0, nearer_m=nearer
        )


def test_a_ball_above_the_horizon_is_refused() -> None:
    with pytest.raises(ValueError, match="below the horizon"):
        geometry.depth_corrected_line(
            (620.0, 400.0), (560.0, 500.0), camera_to_ball_m=4.0, nearer_m=0.5
        )


def test_one_degree_of_shaft_is_about_a_tenth_of_a_grip() -> None:
    # Hands 1.15 m high and 0.70 m inside: 0 is a pitch of 58.7, 1 a pitch of 69.4 degrees.
    def inside(pitch: float) -> float:
        head = (-0.70 - math.cos(math.radians(pitch)), -1.15 - math.sin(math.radians(pitch)))
        answer = geometry.butt_end_inside((-0.70, -1.15), head, (0.0, 0.0), px_per_grip=0.267)
        assert answer is not None
        return answer

    assert inside(58.7) == pytest.approx(0.0, abs=0.01)
    assert inside(69.4) == pytest.approx(1.0, abs=0.02)
