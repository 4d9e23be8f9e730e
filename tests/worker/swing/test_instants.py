from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from api.domain.measurement import Missing
from tests.worker.swing.moving import LEAD_SHOULDER, TORSO, arm_elevation, golfer
from worker.body.joints import BodyTrack, Joint
from worker.swing import instants
from worker.swing.instants import Club, Instant, Motion

START, TOP, IMPACT = 1.0, 1.8, 2.1
LEVEL = START + 0.65 * (TOP - START)


def _times(rate: float = 60.0, end: float = 3.5) -> NDArray[np.float64]:
    return np.arange(0.0, end, 1 / rate)


def _track(rate: float = 60.0, noise_px: float = 0.0, pause_s: float = 0.0) -> BodyTrack:
    times = _times(rate, 3.5 + pause_s)
    moments = {"start": START, "top": TOP, "impact": IMPACT, "pause_s": pause_s}
    return golfer(times, arm_elevation(times, **moments), noise_px=noise_px)


def _motion(track: BodyTrack, *, noise_px: float = 0.3, bias_px: float = 4.0) -> Motion:
    rise = LEAD_SHOULDER[1] - track.of(Joint.LEAD_WRIST)[:, 1]
    return Motion(track.times_s, track.hands, noise_px, rise, noise_px, bias_px, TORSO)


def _found(instant: Instant | Missing) -> Instant:
    assert isinstance(instant, Instant), instant
    return instant


@pytest.mark.parametrize("rate", [30.0, 60.0, 240.0])
def test_lead_arm_parallel_is_sub_frame_at_any_rate(rate: float) -> None:
    found = _found(instants.arm_level_up(_motion(_track(rate)), START, IMPACT))
    # Published for interpolated crossings of real arms: within 5 ms even at 30 pictures a second.
    assert found.time_s == pytest.approx(LEVEL, abs=0.005)


def test_lead_arm_parallel_down_is_found_after_the_top() -> None:
    down = TOP + (IMPACT - TOP) * 45 / 120
    found = _found(instants.arm_level_down(_motion(_track()), TOP, IMPACT))
    assert found.time_s == pytest.approx(down, abs=0.005)
    assert found.slope < 0


def test_a_biased_shoulder_widens_the_instant() -> None:
    sure = _found(instants.arm_level_up(_motion(_track(), bias_px=1.0), START, IMPACT))
    unsure = _found(instants.arm_level_up(_motion(_track(), bias_px=10.0), START, IMPACT))
    assert unsure.sigma_s > 5 * sure.sigma_s


def test_a_pause_at_level_is_the_position_and_its_beginning_the_instant() -> None:
    track = _track(pause_s=2.0)
    motion = _motion(track)
    # Held two pixels below level: no crossing until the pause is over.
    low = Motion(motion.times_s, motion.hands, 0.3, motion.arm - 2.0, 0.3, 4.0, motion.torso_px)
    found = _found(instants.arm_level_up(low, START, IMPACT + 2.0))
    assert abs(found.time_s - LEVEL) < 2 * found.sigma_s
    assert LEVEL <= found.time_s < LEVEL + 0.2


def test_a_crossing_into_a_pause_is_no_less_sure_for_the_length_of_the_pause() -> None:
    sigmas = []
    for pause_s in (1.0, 3.0):
        motion = _motion(_track(pause_s=pause_s))
        high = replace(motion, arm=motion.arm + 2.0, arm_bias=4.0)
        sigmas.append(_found(instants.arm_level_up(high, START, IMPACT + pause_s)).sigma_s)
    assert sigmas[0] == pytest.approx(sigmas[1], abs=0.002)
    assert sigmas[1] < 0.1


def test_a_pause_at_level_is_not_the_top() -> None:
    found = _found(instants.top(_motion(_track(pause_s=2.0)), LEVEL + 0.05, IMPACT + 2.0))
    assert found.time_s == pytest.approx(TOP + 2.0, abs=0.03)


def test_the_top_is_where_the_hands_turn() -> None:
    found = _found(instants.top(_motion(_track()), LEVEL + 0.05, IMPACT))
    assert found.time_s == pytest.approx(TOP, abs=0.02)


def test_takeaway_of_a_steady_push_is_traced_back() -> None:
    times = _times()
    push = np.where(times > START, -75.0 + 300.0 * np.maximum(times - START, 0.0) ** 2, -75.0)
    track = golfer(times, np.minimum(push, 40.0), noise_px=0.5)
    found = _found(instants.takeaway(_motion(track, noise_px=0.2), START + 0.5))
    assert abs(found.time_s - START) < 2 * found.sigma_s
    assert found.sigma_s < 0.06


def test_a_clip_that_starts_in_motion_has_no_takeaway_and_no_address() -> None:
    track = _track().part(START + 0.2, 3.5)
    motion = _motion(track)
    start = instants.takeaway(motion, LEVEL)
    assert isinstance(start, Missing)
    assert isinstance(instants.address(motion, start), Missing)


def test_address_ends_where_the_takeaway_begins() -> None:
    motion = _motion(_track())
    start = _found(instants.takeaway(motion, LEVEL))
    still = _found(instants.address(motion, start))
    assert still == start


def test_hands_pass_the_line_of_the_trail_leg() -> None:
    track = _track()
    hip, ankle = track.of(Joint.TRAIL_HIP), track.of(Joint.TRAIL_ANKLE)
    found = _found(instants.hands_past_leg(_motion(track), hip, ankle, START, LEVEL, 3.0))
    at = track.hands[track.nearest(found.time_s)]
    leg_x = 280.0 - 10.0 * (at[1] - 400.0) / 180.0
    # The hands move five pixels a frame there.
    assert at[0] == pytest.approx(leg_x, abs=5.0)


def test_an_arm_that_never_reaches_level_is_missing() -> None:
    track = _track().part(0.0, START + 0.3)
    assert isinstance(instants.arm_level_up(_motion(track), START, 1.3), Missing)


def _club(times_s: NDArray[np.float64], head: NDArray[np.float64], *, noise_px: float) -> Club:
    """A club whose hosel runs along ``head`` (n, 3) and whose shaft falls through level at 2.0 s."""
    shaft = 200.0 * (2.0 - times_s)
    noise = np.random.default_rng(8).normal(0.0, noise_px, head.shape)
    return Club(head + noise, noise_px, shaft, np.full(len(times_s), 4.0))


def test_delivery_is_where_the_shaft_falls_through_level() -> None:
    motion = _motion(_track())
    club = _club(motion.times_s, np.zeros((len(motion.times_s), 3)), noise_px=0.3)
    found = _found(instants.delivery(replace(motion, club=club), TOP, IMPACT))
    assert found.time_s == pytest.approx(2.0, abs=1e-6)
    # Four pixels at 200 pixels a second.
    assert found.sigma_s == pytest.approx(0.02)


def test_delivery_is_the_last_fall_before_impact() -> None:
    motion = _motion(_track())
    club = _club(motion.times_s, np.zeros((len(motion.times_s), 3)), noise_px=0.3)
    waved = replace(club, shaft=club.shaft * (motion.times_s - 1.9))
    assert isinstance(instants.delivery(replace(motion, club=waved), TOP, IMPACT), Instant)
    assert _found(
        instants.delivery(replace(motion, club=waved), TOP, IMPACT)
    ).time_s == pytest.approx(2.0, abs=0.02)


def test_without_a_club_there_is_no_delivery() -> None:
    assert isinstance(instants.delivery(_motion(_track()), TOP, IMPACT), Missing)


def test_the_clubhead_tells_the_start_where_the_hands_do_not() -> None:
    """Hands that begin by moving towards the lens do not move in the picture; the club does."""
    track = _track()
    times = track.times_s
    motion = _motion(track)
    late = replace(motion, hands=np.where((times < 1.3)[:, None], motion.hands[0], motion.hands))
    push = np.clip(times - 1.0, 0.0, None) ** 2 * 800.0
    head = np.column_stack([push, np.zeros_like(push), np.zeros_like(push)])
    club = _club(times, head, noise_px=0.3)
    by_hands = _found(instants.takeaway(late, 1.6))
    by_head = _found(instants.takeaway(replace(late, club=club), 1.6))
    assert by_hands.time_s > 1.2
    assert by_head.time_s == pytest.approx(1.0, abs=0.02)
    assert by_head.sigma_s >= instants.ONSET_SIGMA_S


@pytest.mark.parametrize("rate", [30.0, 120.0])
def test_a_finish_is_where_the_hands_come_to_rest(rate: float) -> None:
    """Speed falls to the threshold at 3.0 s: 0.05 torsos a second, five pixels."""
    times = np.arange(0.0, 4.2, 1 / rate)
    speed = np.clip(5.0 + (3.0 - times) * 400.0, 0.0, 300.0) * (times > IMPACT)
    path = np.cumsum(speed) / rate
    hands = np.column_stack([path, np.zeros_like(path)])
    hands += np.random.default_rng(3).normal(0.0, 0.4, hands.shape)
    motion = Motion(times, hands, 0.4, np.zeros_like(times), 0.4, 2.0, TORSO)
    found = _found(instants.finish(motion, IMPACT))
    assert found.time_s == pytest.approx(3.0, abs=0.1)
    assert abs(found.time_s - 3.0) < 2.5 * found.sigma_s


def test_a_finish_that_is_not_held_is_missing() -> None:
    times = np.arange(0.0, 4.2, 1 / 30)
    hands = np.column_stack([100.0 * times, np.zeros_like(times)])
    motion = Motion(times, hands, 0.4, np.zeros_like(times), 0.4, 2.0, TORSO)
    assert isinstance(instants.finish(motion, IMPACT), Missing)


def test_a_clip_that_ends_in_the_follow_through_has_no_finish() -> None:
    times = np.arange(0.0, IMPACT + 0.3, 1 / 30)
    motion = Motion(times, np.zeros((len(times), 2)), 0.4, np.zeros_like(times), 0.4, 2.0, TORSO)
    missing = instants.finish(motion, IMPACT)
    assert isinstance(missing, Missing)
    assert "ends before" in missing.reason


HELD_FROM = TOP
"""When the arm of ``_stopped`` has come up."""


def _stopped(end_s: float, lower_s: float | None = None, at_deg: float = 45.0) -> Motion:
    """The arm comes up to ``at_deg`` and stays; from ``lower_s`` on it comes down as slowly as it went up."""
    times = _times(end=end_s)
    knots = [(-1.0, -75.0), (START, -75.0), (TOP, at_deg)]
    if lower_s is not None:
        knots += [(lower_s, at_deg), (lower_s + 1.5 * (TOP - START), -75.0)]
    x, y = np.array(knots).T
    return _motion(golfer(times, np.interp(times, x, y)))


def _turn(motion: Motion) -> instants.Turn:
    level = _found(instants.arm_level_up(motion, START, TOP + 0.1)).time_s
    last = float(motion.times_s[-1])
    return instants.turn_without_impact(motion, level + 0.03, last, ends=True)


def test_a_stay_at_the_top_that_the_film_cuts_off_is_the_top_and_less_sure() -> None:
    top = _found(_turn(_stopped(HELD_FROM + 1.2)).top)
    assert top.time_s == pytest.approx(HELD_FROM + 0.6, abs=0.06)
    assert top.sigma_s == pytest.approx(1.2 / 6**0.5, abs=0.05)


def test_a_film_that_ends_in_the_backswing_has_no_top() -> None:
    turn = _turn(_stopped(TOP - 0.1))
    assert isinstance(turn.top, Missing)
    assert "before the hands are seen to come down" in turn.top.reason


@pytest.mark.parametrize(("held_s", "at_deg"), [(0.3, 45.0), (1.2, 2.0)])
def test_what_may_be_a_stop_on_the_way_is_no_top(held_s: float, at_deg: float) -> None:
    """Shorter than a stop that counts, or with the arm about level, where a drill stops before the top."""
    turn = _turn(_stopped(HELD_FROM + held_s, at_deg=at_deg))
    assert isinstance(turn.top, Missing)
    assert "whether this is the top" in turn.top.reason


def test_a_club_that_is_put_down_again_is_no_downswing_and_leaves_the_top() -> None:
    turn = _turn(_stopped(HELD_FROM + 2.4, lower_s=HELD_FROM + 1.0))
    assert (turn.turned, turn.fast) == (True, False)
    assert _found(turn.top).time_s == pytest.approx(HELD_FROM + 0.5, abs=0.06)


def test_a_rehearsal_that_comes_down_briskly_is_no_downswing() -> None:
    """A quarter faster than it went up, all of it on the film, and no follow-through."""
    times = _times(end=3.0)
    x, y = [-1.0, START, TOP, TOP + 0.8 * (TOP - START), 9.0], [-75.0, -75.0, 45.0, -75.0, -75.0]
    motion = _motion(golfer(times, np.interp(times, x, y)))
    turn = instants.turn_without_impact(motion, LEVEL + 0.03, 2.9, ends=False)
    assert (turn.turned, turn.fast) == (True, False)


def test_a_downswing_that_has_only_begun_tells_the_top() -> None:
    track = _track()
    begun = _motion(track.part(0.0, TOP + 0.12))
    turn = _turn(begun)
    assert (turn.turned, turn.fast) == (True, True)
    assert _found(turn.top).time_s == pytest.approx(TOP, abs=0.03)
