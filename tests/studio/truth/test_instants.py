"""Instants of the stick golfer against times worked out by hand (see ``stick``)."""

import math

import numpy as np
import pytest

from api.domain.geometry import crossing_time
from api.domain.names import KeyframeId
from tests.studio.truth.instants import NO_DOWNSWING, all_swings
from tests.studio.truth.names import Moment
from tests.studio.truth.start import NO_ADDRESS
from tests.studio.truth.stick import ARM_M, BALL_RADIUS_M, LEG_X, TORSO_M, Stick
from tests.studio.truth.track import Track
from tests.studio.truth.when import Absent, Instant, Instants, When

K = KeyframeId


def found(stick: Stick) -> list[Instants]:
    return all_swings(Track(stick, 0.0, stick.duration_s))


def only(stick: Stick) -> Instants:
    (swing,) = found(stick)
    return swing


def life(when: When) -> float:
    assert isinstance(when, Instant), when
    return when.life_s


def back(theta_deg: float) -> float:
    """Own time at which theta is passed going back: 120 (1 - cos(pi t / 0.8)) / 2 = theta."""
    return 0.8 * math.acos(1.0 - 2.0 * theta_deg / 120.0) / math.pi


def down(theta_deg: float) -> float:
    """Own time at which theta is passed coming down: 120 - 240 (1 - cos) / 2 = theta."""
    return 0.8 + 0.6 * math.acos(theta_deg / 120.0) / math.pi


# The arm is level at theta = 90; the shaft at phi = 2 theta = 90, so theta = 45; it rises through 45
# degrees at phi = 135. The hands pass the leg where 0.6 sin(theta) is its distance from the shoulder.
LEG_DEG = math.degrees(math.asin((-BALL_RADIUS_M - LEG_X) / ARM_M))
EXPECTED = {
    K.HANDS_PAST_TRAIL_LEG: back(LEG_DEG),
    K.LEAD_ARM_PARALLEL: 0.8 * 2.0 / 3.0,  # cos = -1/2
    K.TOP: 0.8,
    K.LEAD_ARM_PARALLEL_DOWN: down(90.0),
    K.DELIVERY: down(45.0),
    K.IMPACT: 1.1,  # theta = 0, half-way down
    Moment.SHAFT_LEVEL_BACK: back(45.0),
    Moment.SHAFT_45_BACK: back(67.5),
}


@pytest.mark.parametrize("key", EXPECTED)
def test_an_instant_is_where_it_was_worked_out(key: KeyframeId | Moment) -> None:
    # A hundredth of a degree of level counts as level: at the arm's 204 degrees a second, 0.05 ms.
    assert life(only(Stick())[key]) - 1.0 == pytest.approx(EXPECTED[key], abs=6e-5)


def test_the_swing_starts_when_the_clubhead_passes_the_threshold() -> None:
    # From rest theta' = (pi / 0.8) * 120 / 2 * sin(pi t / 0.8) degrees a second; the clubhead moves at
    # 0.6 theta' + 0.9 * 2 theta', the hands at 0.6 theta'; the threshold is 0.05 torso lengths.
    swing = only(Stick())
    per_sine = math.radians(60.0) * math.pi / 0.8
    head = 0.8 * math.asin(0.05 * TORSO_M / (2.4 * per_sine)) / math.pi
    assert life(swing[K.TAKEAWAY]) - 1.0 == pytest.approx(head, abs=3e-4)
    assert life(swing[K.ADDRESS]) == pytest.approx(life(swing[K.TAKEAWAY]))


def test_the_finish_is_when_the_hands_come_to_rest() -> None:
    # Coming to rest theta' = (pi / 0.6) * 240 / 2 * sin(pi t / 0.6), t before the end at 1.4.
    slow = 0.6 * math.asin(0.05 * TORSO_M / (0.6 * math.radians(120.0) * math.pi / 0.6)) / math.pi
    assert life(only(Stick())[K.FINISH]) - 1.0 == pytest.approx(1.4 - slow, abs=3e-4)


def test_the_crossing_agrees_with_the_product_on_samples() -> None:
    stick = Stick()
    times = 1.5, 1.5 + 1 / 60, 1.5 + 2 / 60, 1.5 + 3 / 60
    above = [90.0 - stick.angles(time_s)[0] for time_s in times]
    pairs = zip(
        zip(times, above, strict=True), zip(times[1:], above[1:], strict=True), strict=False
    )
    crossed = [crossing_time(*one, *two) for one, two in pairs if one[1] * two[1] <= 0]
    assert crossed[0] == pytest.approx(life(only(stick)[K.LEAD_ARM_PARALLEL]), abs=2e-4)


def test_a_waggle_is_no_start() -> None:
    swing = only(Stick(starts_s=(2.0,), waggles_s=(0.5, 1.1)))
    assert life(swing[K.TAKEAWAY]) == pytest.approx(2.0, abs=2e-3)
    assert life(swing[Moment.SETTLED]) == pytest.approx(1.4, abs=0.02)  # the second waggle's end


def test_a_stop_at_lead_arm_parallel_counts_from_its_arrival_and_all_of_it_is_right() -> None:
    # Slowing down to a stop: the pause is put where the arm is level, own time 0.8 * 2 / 3.
    level = 0.8 * 2.0 / 3.0
    swing = only(Stick(pause=(level, 1.0)))
    when = swing[K.LEAD_ARM_PARALLEL]
    assert isinstance(when, Instant)
    assert when.life_s == pytest.approx(1.0 + level, abs=1e-4)
    assert when.from_s == pytest.approx(1.0 + level, abs=0.02)
    assert when.to_s == pytest.approx(2.0 + level, abs=0.02)
    assert life(swing[K.TOP]) == pytest.approx(2.8, abs=1e-4)


def test_a_stop_at_the_top_has_its_middle_as_the_top() -> None:
    when = only(Stick(pause=(0.8, 1.0)))[K.TOP]
    assert isinstance(when, Instant)
    assert when.life_s == pytest.approx(2.3, abs=0.03)
    assert when.to_s - when.from_s == pytest.approx(1.0, abs=0.06)


def test_a_swing_that_ends_at_the_top_has_no_downswing_and_says_so() -> None:
    swing = only(Stick(stop_at_top=True))
    for key in (K.LEAD_ARM_PARALLEL_DOWN, K.DELIVERY, K.IMPACT, K.FINISH):
        assert swing[key] == Absent(NO_DOWNSWING)
    when = swing[K.TOP]
    assert isinstance(when, Instant)
    assert when.from_s == pytest.approx(1.8, abs=0.03)
    assert when.to_s == pytest.approx(4.0)
    assert life(swing[K.LEAD_ARM_PARALLEL]) == pytest.approx(1.5333, abs=1e-3)


def test_a_rehearsal_meets_the_place_where_the_club_rested() -> None:
    assert life(only(Stick(ball=False))[K.IMPACT]) == pytest.approx(2.1, abs=2e-4)


def test_a_film_that_starts_late_has_no_address_but_the_rest() -> None:
    (swing,) = all_swings(Track(Stick(), 1.2, 4.0))
    assert swing[K.ADDRESS] == Absent(NO_ADDRESS)
    assert swing[K.HANDS_PAST_TRAIL_LEG] == Absent(NO_ADDRESS)
    assert life(swing[K.IMPACT]) == pytest.approx(2.1, abs=1e-5)


def test_a_film_that_ends_in_the_backswing_has_no_top() -> None:
    (swing,) = all_swings(Track(Stick(), 0.0, 1.6))
    assert isinstance(swing[K.TOP], Absent)
    assert isinstance(swing[K.IMPACT], Absent)
    assert life(swing[K.LEAD_ARM_PARALLEL]) == pytest.approx(1.5333, abs=1e-3)


def test_every_swing_of_a_film_is_found() -> None:
    swings = found(Stick(duration_s=9.0, starts_s=(1.0, 5.0)))
    assert [life(swing[K.IMPACT]) for swing in swings] == [
        pytest.approx(2.1, abs=1e-5),
        pytest.approx(6.1, abs=1e-5),
    ]


def test_stillness_is_no_swing() -> None:
    assert found(Stick(starts_s=(), waggles_s=(1.0, 2.0))) == []


def test_the_order_is_the_trades() -> None:
    swing = only(Stick())
    times = [life(swing[key]) for key in KeyframeId]
    assert np.all(np.diff(times) >= 0)
