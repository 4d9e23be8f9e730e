import math
from dataclasses import replace

import numpy as np
import pytest

from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import evaluate
from api.domain.measurement import Estimate, Missing, Reading
from api.domain.names import Hand, PointName
from worker.measure.ground import Behind
from worker.measure.ideal import Stand
from worker.measure.readings import (
    Frame,
    Spot,
    butt_end_reading,
    butt_per_degree,
    ground_value,
    lead_arm_shaft_reading,
    shared_instant_sigma,
)
from worker.measure.residuals import residual
from worker.measure.setting import Setting
from worker.swing.steady import still

FRAME = Frame(number=84, handed=Hand.RIGHT, width_px=1000, scale=1.0, unsteady=still())
SETTING = Setting(
    px_per_m=Estimate(300.0, 15.0),
    distance_m=Estimate(4.0, 0.5),
    horizon_row=Estimate(600.0, 30.0),
    focal_px=1200.0,
)
UPRIGHT_L = {
    PointName.LEAD_SHOULDER: Spot((500.0, 300.0), 4.0),
    PointName.LEAD_WRIST: Spot((300.0, 300.0), 2.0),
    PointName.BUTT: Spot((300.0, 300.0), 0.5),
    PointName.CLUBHEAD: Spot((300.0, 20.0), 0.5),
}


def _given(reading: Reading | Missing) -> Reading:
    assert isinstance(reading, Reading), reading
    return reading


def _camera(setting: Setting, stand: Stand | None = None) -> Behind:
    """A camera that looks level: its horizon runs through the middle of the picture."""
    middle = (499.5, setting.horizon_row.value)
    return Behind.judged(setting, Estimate(300.0, 10.0), middle, stand)


def _behind(pitch_deg: float) -> dict[PointName, Spot]:
    """Vector T5's place: butt 555 rows down, ball at 620, 900."""
    reach = 200.0
    head = (
        420.0 - reach * math.cos(math.radians(pitch_deg)),
        555.0 - reach * math.sin(math.radians(pitch_deg)),
    )
    return {
        PointName.BUTT: Spot((420.0, 555.0), 0.3),
        PointName.CLUBHEAD: Spot(head, 0.3),
        PointName.BALL: Spot((620.0, 900.0), 1.0),
    }


def test_an_upright_l_reads_ninety_with_every_term_in_its_sigma() -> None:
    reading = _given(lead_arm_shaft_reading(UPRIGHT_L, 3.0, FRAME))
    assert reading.value == pytest.approx(90.0)
    arm = math.degrees(math.hypot(4.0, 2.0) / 200.0)
    shaft = math.degrees(math.hypot(0.5, 0.5) / 280.0)
    view = math.hypot(2.8, 1.2)
    left = residual(CheckpointId.LEAD_ARM_SHAFT_ANGLE)
    assert reading.sigma == pytest.approx(math.hypot(arm, shaft, 3.0, view, left), rel=1e-6)


def test_a_reading_holds_all_that_gives_it_again() -> None:
    reading = _given(lead_arm_shaft_reading(UPRIGHT_L, 3.0, FRAME))
    again = evaluate(
        CheckpointId.LEAD_ARM_SHAFT_ANGLE,
        reading.points,
        reading.inputs,
        handed=Hand.RIGHT,
        width_px=1000,
    )
    assert not isinstance(again, Missing)
    assert (again.value, again.sigma) == (reading.value, reading.sigma)


def test_a_left_handers_points_come_back_on_their_own_side() -> None:
    lefty = replace(FRAME, handed=Hand.LEFT)
    reading = _given(lead_arm_shaft_reading(UPRIGHT_L, 3.0, lefty))
    assert reading.value == pytest.approx(90.0)
    assert reading.points[PointName.LEAD_SHOULDER] == pytest.approx((999 - 500.0, 300.0))


def test_a_halved_picture_and_a_shaken_frame_come_back_to_the_originals_pixels() -> None:
    shaken = np.array([[1.0, 0.0, 3.0], [0.0, 1.0, -2.0]])
    frame = replace(FRAME, scale=2.0, width_px=2000, unsteady=shaken)
    assert frame.original((100.0, 50.0)) == pytest.approx((2 * 103.5 - 0.5, 2 * 48.5 - 0.5))


def test_butt_end_without_depth_is_the_exact_vector() -> None:
    flat = _camera(replace(SETTING, distance_m=Estimate(1e7, 1.0)))
    for pitch, expected in ((60.0, 0.010), (69.4, 0.878), (45.0, -1.810)):
        reading = _given(butt_end_reading(_behind(pitch), 0.0, 0.09, FRAME, flat))
        assert reading.value == pytest.approx(expected, abs=2e-3)


def test_a_level_shaft_has_no_ground_hit() -> None:
    found = butt_end_reading(_behind(0.0), 0.0, 0.09, FRAME, _camera(SETTING))
    assert isinstance(found, Missing)


def test_a_lens_below_the_ball_sees_no_ground() -> None:
    low = _camera(replace(SETTING, horizon_row=Estimate(950.0, 10.0)))
    found = butt_end_reading(_behind(64.0), 0.0, 0.09, FRAME, low)
    assert found == Missing("The camera stands too low to see where the grip end points.")


def test_depth_correction_moves_the_reading_and_both_hands_agree() -> None:
    right = _given(butt_end_reading(_behind(64.0), 0.0, 0.09, FRAME, _camera(SETTING)))
    lefty = replace(FRAME, handed=Hand.LEFT)
    left = _given(butt_end_reading(_behind(64.0), 0.0, 0.09, lefty, _camera(SETTING)))
    far = _camera(replace(SETTING, distance_m=Estimate(1e7, 1.0)))
    plain = _given(butt_end_reading(_behind(64.0), 0.0, 0.09, FRAME, far))
    assert left.value == pytest.approx(right.value)
    assert left.sigma == pytest.approx(right.sigma)
    # A level, square camera adds nothing to what its picture shows.
    assert right.inputs["to_ideal"] == pytest.approx(0.0, abs=1e-9)
    # Published size of the two corrections together: up to a third of a grip.
    assert 0.01 < abs(right.value - plain.value) < 0.5


def test_an_unknown_camera_place_widens_the_butt_end() -> None:
    known = replace(SETTING, distance_m=Estimate(4.0, 0.01), horizon_row=Estimate(600.0, 0.1))
    sure = _given(butt_end_reading(_behind(64.0), 0.0, 0.09, FRAME, _camera(known)))
    unsure = _given(butt_end_reading(_behind(64.0), 0.0, 0.09, FRAME, _camera(SETTING)))
    assert unsure.sigma > sure.sigma
    # Five degrees of yaw are published as 0.20 grip; ours carries four, and half as much roll.
    assert 0.1 < unsure.inputs["sigma_view"] < 0.4


def test_a_camera_known_to_look_aside_is_corrected_and_its_doubt_is_what_is_known_of_it() -> None:
    """Five degrees of yaw are published as about 0.20 grip lengths (domain detail, section 5)."""
    square = Stand(Estimate(0.0, 2.0), Estimate(0.0, 0.7))
    aside = replace(square, azimuth=Estimate(5.0, 2.0))
    before, after = (
        _given(butt_end_reading(_behind(64.0), 0.0, 0.09, FRAME, _camera(SETTING, stand)))
        for stand in (square, aside)
    )
    assert 0.1 < abs(after.value - before.value) < 0.35
    told = _given(butt_end_reading(_behind(64.0), 0.0, 0.09, FRAME, _camera(SETTING)))
    assert after.inputs["sigma_view"] < told.inputs["sigma_view"]
    # The picture's line and what it leaves together are the ground's number, and the server's formula gives it.
    points = {name: FRAME.original(spot.at) for name, spot in _behind(64.0).items()}
    again = evaluate(
        CheckpointId.BUTT_END_INSIDE, points, after.inputs, handed=Hand.RIGHT, width_px=1000
    )
    assert not isinstance(again, Missing)
    ground = _camera(SETTING, aside).ground
    spots = _behind(64.0)
    assert again.value == pytest.approx(ground_value(ground, spots))


def test_shared_errors_add_with_their_sign() -> None:
    """Simulated: a shoulder error moves the instant, the arm's line and hence the angle."""
    rng = np.random.default_rng(3)
    shaft_rate, arm_rate, sigma_s = -250.0, -200.0, 0.015
    late = rng.normal(0.0, sigma_s, 20_000)
    # At the true instant the angle is 90. Found late, the shaft has moved on; the arm looks level.
    errors = shaft_rate * late
    points = abs(arm_rate) * sigma_s
    extra = shared_instant_sigma(sigma_s, 0.0, shaft_rate=shaft_rate, arm_rate=arm_rate)
    assert math.hypot(points, extra) == pytest.approx(float(np.std(errors)), rel=0.03)


def test_a_degree_of_shaft_is_the_published_share_of_a_grip() -> None:
    assert butt_per_degree(180.0 - 64.05) == pytest.approx(0.09)
    assert butt_per_degree(135.0) > 1.5 * butt_per_degree(110.0)
