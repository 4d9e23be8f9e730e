"""Which strike is the swing's own, and what it does to the impact."""

import pytest

from api.domain.measurement import Estimate, Missing
from worker.measure.strike import APART_SIGMA_S, with_strike
from worker.swing.instants import Instant
from worker.video.sound import Strike

FOUR_M = Estimate(4.0, 0.3)
TRAVEL_S = 4.0 / 343.0
SEEN = Instant(2.080, 0.010, -3.0)


def told(seen: Instant | Missing, *strikes: Strike, rough_s: float = 2.08) -> Instant:
    found = with_strike(seen, strikes, rough_s, FOUR_M, ball=True)
    assert isinstance(found, Instant)
    return found


def test_sound_is_late_by_its_way() -> None:
    """Trade notes, T13: heard at 2.1000 s from 4.0 m, struck at 2.0883 s."""
    alone = told(Missing("not seen"), Strike(2.1, -15.0))

    assert alone.time_s == pytest.approx(2.0883, abs=0.0001)
    assert alone.sigma_s >= APART_SIGMA_S


def test_what_is_seen_and_heard_is_weighed() -> None:
    both = told(SEEN, Strike(2.090 + TRAVEL_S, -15.0))

    assert SEEN.time_s < both.time_s < 2.090
    assert abs(both.time_s - SEEN.time_s) < 0.005  # the picture is the sharper of the two
    assert both.sigma_s < SEEN.sigma_s


def test_a_neighbours_strike_is_not_the_swings() -> None:
    assert told(SEEN, Strike(2.30, -15.0)) == SEEN
    # Two within reach: the own one is the louder.
    both = told(SEEN, Strike(2.110, -35.0), Strike(2.085 + TRAVEL_S, -15.0))
    alone = told(SEEN, Strike(2.085 + TRAVEL_S, -15.0))
    assert both.time_s == pytest.approx(alone.time_s, abs=0.001)
    assert both.sigma_s == pytest.approx(alone.sigma_s, rel=0.05)


@pytest.mark.parametrize(
    "strikes",
    [
        (),
        (Strike(2.5, -15.0),),  # too far from where the hands are low
        (Strike(2.1, -30.0), Strike(2.6, -15.0)),  # a louder one near by is not this swing's
        (Strike(2.1, -15.0), Strike(2.2, -17.0)),  # two alike
    ],
)
def test_without_an_impact_seen_a_doubtful_strike_tells_nothing(
    strikes: tuple[Strike, ...],
) -> None:
    missing = Missing("No ball was seen to leave its place.")

    assert with_strike(missing, strikes, 2.08, FOUR_M, ball=True) == missing


def test_without_a_ball_there_is_no_strike() -> None:
    """A rehearsal beside others who hit: what is heard is theirs."""
    theirs = (Strike(2.1, -15.0),)
    missing = Missing("No ball was seen to leave its place.")
    assert with_strike(missing, theirs, 2.08, FOUR_M, ball=False) == missing
    assert with_strike(SEEN, theirs, 2.08, FOUR_M, ball=False) == SEEN


@pytest.mark.parametrize(("sigma_s", "late_s"), [(0.02, 0.045), (0.02, 0.06), (0.03, 0.09)])
def test_a_louder_neighbour_does_not_win_over_the_own_strike(sigma_s: float, late_s: float) -> None:
    """Own strike at the true time, a neighbour's twice as loud soon after, and an impact that is seen poorly."""
    seen = Instant(1.0, sigma_s)
    own, other = Strike(1.0 + TRAVEL_S, -20.0), Strike(1.0 + late_s + TRAVEL_S, -14.0)
    found = with_strike(seen, (own, other), 1.0, FOUR_M, ball=True)
    assert isinstance(found, Instant)
    assert abs(found.time_s - 1.0) < 1.96 * found.sigma_s
    alone = with_strike(seen, (own,), 1.0, FOUR_M, ball=True)
    assert isinstance(alone, Instant)
    assert found.sigma_s > alone.sigma_s


def test_by_sound_alone_a_rival_leaves_nothing_and_a_distance_leaves_doubt() -> None:
    missing = Missing("No ball was seen to leave its place.")
    own, louder = Strike(2.0 + TRAVEL_S, -20.0), Strike(2.12 + TRAVEL_S, -10.0)
    assert with_strike(missing, (own, louder), 2.0, FOUR_M, ball=True) == missing
    far = with_strike(missing, (Strike(2.14 + TRAVEL_S, -10.0),), 2.0, FOUR_M, ball=True)
    assert isinstance(far, Instant)
    assert far.sigma_s >= 0.07
