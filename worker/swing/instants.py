"""The instants of one swing, sub-frame, from a dense body track (normalised picture).

Definitions: ``api.domain.names.KeyframeId`` and the trade notes; each function says its own.
A function returns ``Missing`` with a reason rather than an instant that is not there.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from api.domain.measurement import Missing
from api.domain.uncertainty import ROOT_12
from worker.swing.onset import fit_onset
from worker.swing.signals import Crossing, rising_crossing, speed

Array = NDArray[np.float64]

STILL_SPEED = 0.05
"""Torso lengths per second: the definition's threshold for standing still."""
ONSET_LOW, ONSET_HIGH = 0.06, 0.24
"""Hand travel, torso lengths, at two times from which the onset is traced back. The low one is
far above point noise; four times the travel means twice the time for a steady push."""
ONSET_SIGMA_S = 0.015
"""A start has no edge: two ways of tracing one back differ by this (working value)."""
FIT_SIGMA_S = 0.01
"""A fitted start is no sharper: how travel grows is known by powers only (working value)."""
REST_SEEN_S = 0.5
"""So much of the rest before the start is fitted: more of it is more of its wander."""
ONSET_NOISE = 4.0
"""Sigmas of a point's noise by which it must have left its place."""
STILL_MIN_S = 0.2
STILL_TRAVEL = 0.005 / 0.288
"""Torso lengths: half a hundredth of stature (E0), the least move that counts as one."""
STAY_SHARE = 0.05
"""A stay at the top is hand speed under this share of the backswing's peak (pause_length)."""
STAY_MIN_S = 0.1
STAY_NOISES = 2.5
"""Sigmas of the speed's own noise under which a stay is told from a move (working value)."""
BRIDGED_S = 0.07
"""A stay goes on over so short an interruption (C12), which noise alone makes; also in ``worker.measure.rhythm``."""
RAISED_ARM, UP_SHARE = 0.12, 0.6
"""Where the arm comes up by more than an eighth of a torso above level, and by more than its noise, the top lies in
the upper part of that rise (working values; they only keep lower pauses out)."""
RAISED_NOISES = 4.0
PAUSE_MIN_S = 0.5
"""A pause counts from half a second (C12)."""
SPEED_HALF_WIDTH_S = 0.045
"""Half of the stretch over which the hands' speed is told: of 30, 45 and 60 ms this found the top best on the kept
clips and on another renderer's."""
TURNED_SHARE = 0.25
"""The hands have turned where the arm has come down by as much as counts as raised and they have been faster than this
share of the backswing's peak (working value: no noise makes it, and a downswing is there a tenth of a second after its
top)."""
WHOLE_FAST = 1.5
"""Hands of a downswing are at least so many times as fast as on the way back (working value: the way back takes three
times as long)."""
FINISH_STILL_S = 0.3
"""A held finish, by the definition."""
FINISH_AFTER_S = 0.2
"""The hands are still on their way up this long after impact (working value)."""
FINISH_LOW = 0.02
"""Hands run out much more slowly than they start: the lower travel is nearer to rest (working value)."""
FINISH_SIGMA_S = 0.06
"""Hands run out slowly: where under the threshold begins is no sharper (working value)."""

IMPACT_ASIDE_TORSO = 0.5
"""The head passes its rest no farther beside it than this, torsos: farther is another motion."""
IMPACT_PLACE_TORSO = 0.15
"""How well a blurred clubhead is placed, torsos, one sigma (working value)."""
IMPACT_BEND = 0.1
"""Share of a frame by which a pass between frames errs for its bend (working value)."""


@dataclass(frozen=True, slots=True)
class Instant:
    """A time on the clip's clock with one sigma, seconds. ``slope`` of the signal that gave it."""

    time_s: float
    sigma_s: float
    slope: float = 0.0


@dataclass(frozen=True, slots=True)
class Motion:
    """Signals of one swing, all (n,) or (n, 2), normalised pixels; ``torso_px`` is the yardstick.

    ``arm`` is how far the lead wrist stands above the lead shoulder, as the ideal camera sees it,
    pixels, up positive; ``arm_sigma`` its sample noise and ``arm_bias`` what neighbouring frames
    share. ``hands_sigma`` is the noise of the grip's middle.
    """

    times_s: Array
    hands: Array
    hands_sigma: float
    arm: Array
    arm_sigma: float
    arm_bias: float
    torso_px: float
    club: "Club | None" = None
    hands_in_space: "Placed | None" = None


@dataclass(frozen=True, slots=True)
class Placed:
    """A point in space: ``places`` (n, 3), pixels, the last away from the lens; ``sigmas`` (3,) from frame to frame."""

    places: Array
    sigmas: Array

    @property
    def sigma(self) -> float:
        """That of the axis which is known worst."""
        return float(self.sigmas.max())


@dataclass(frozen=True, slots=True)
class Club:
    """The club's motion where it is seen, pixels.

    ``head`` (n, 3) hosel in space and its noise; ``shaft`` (n,) how far the hosel stands above the
    butt end in space, up positive, and one sigma (n,).
    """

    head: Array
    head_sigma: float
    shaft: Array
    shaft_sigma: Array


def takeaway(motion: Motion, before_s: float) -> Instant | Missing:
    """Start of the hands' or the clubhead's lasting move, whichever tells it better.

    ``before_s`` is a time by which the hands are well up. The clubhead moves farther than the hands
    and, seen from behind, does not begin by moving away from the lens.
    """
    early = motion.times_s <= before_s
    times = motion.times_s[early]
    by_hands = _onset(times, motion.hands[early], motion.hands_sigma, motion.torso_px)
    found = [by_hands]
    if motion.club is not None:
        head = motion.club.head[early]
        found.append(_onset(times, head, motion.club.head_sigma, motion.torso_px))
    seen = [one for one in found if isinstance(one, Instant)]
    if not seen:
        return by_hands
    first, best = min(seen, key=_time_s), min(seen, key=_sigma_s)
    apart_s = max(best.time_s - first.time_s - 3.0 * ONSET_SIGMA_S, 0.0)
    # The start is whichever comes first; where the two tell of one start, the sharper tells it.
    chosen = first if apart_s > 3.0 * math.hypot(first.sigma_s, best.sigma_s) else best
    return Instant(chosen.time_s, max(chosen.sigma_s, ONSET_SIGMA_S))


def takeaway_from_behind(motion: Motion, before_s: float) -> Instant | Missing:
    """The same seen from behind, where hands and club start towards the lens.

    Their depth is noisy, so that a threshold on travel is passed late: all samples about the start tell it,
    of the hands and of the clubhead, each in space. Where the two differ by more than they say, both are less sure.
    """
    early = motion.times_s <= before_s
    times = motion.times_s[early]
    points: list[tuple[Array, float]] = []
    if motion.hands_in_space is not None:
        points.append((motion.hands_in_space.places, motion.hands_in_space.sigma))
    if motion.club is not None:
        points.append((motion.club.head, motion.club.head_sigma))
    told = [_fitted(times, places[early], sigma, motion.torso_px) for places, sigma in points]
    seen = [one for one in told if isinstance(one, Instant)]
    if not seen:
        return told[0] if told else Missing("The hands' start could not be seen.")
    weights = [one.sigma_s**-2 for one in seen]
    time_s = sum(w * one.time_s for w, one in zip(weights, seen, strict=True)) / sum(weights)
    sigma_s = 1.0 / math.sqrt(sum(weights))
    apart = max(abs(one.time_s - time_s) / math.hypot(one.sigma_s, sigma_s) for one in seen)
    return Instant(time_s, max(sigma_s * max(1.0, apart), ONSET_SIGMA_S))


def _fitted(times: Array, place: Array, sigma: float, torso_px: float) -> Instant | Missing:
    stretch = _about_start(times, place, sigma, torso_px)
    if isinstance(stretch, Missing):
        return stretch
    found = fit_onset(times[stretch], place[stretch])
    if found is None:
        return Missing("The hands' start could not be seen.")
    return Instant(found.time_s, math.hypot(found.sigma_s, FIT_SIGMA_S))


def _about_start(
    times: Array, place: Array, sigma: float, torso_px: float
) -> NDArray[np.bool_] | Missing:
    """Frames from rest until the point has clearly left: what a waggle before has moved is left out."""
    rest = _rest_place(times, place, sigma, torso_px, STILL_MIN_S)
    if rest is None:
        return Missing("The clip starts when the club is already moving.")
    travel = np.linalg.norm(place - rest, axis=1) / torso_px
    first = max(ONSET_LOW, ONSET_NOISE * sigma / torso_px)
    low = _last_rise(times, travel, first)
    high = _last_rise(times, travel, first * ONSET_HIGH / ONSET_LOW)
    if low is None or high is None or high <= low:
        return Missing("The hands' start could not be seen.")
    within = max(2.0 * _still_range(sigma, torso_px) / torso_px, 1.5 * first)
    before = np.flatnonzero((travel > within) & (times < low))
    since = float(times[before[-1] + 1]) if len(before) else float(times[0])
    return np.asarray((times >= max(since, low - REST_SEEN_S)) & (times <= high))


def _time_s(instant: Instant) -> float:
    return instant.time_s


def _sigma_s(instant: Instant) -> float:
    return instant.sigma_s


def _onset(
    times: Array,
    place: Array,
    place_sigma: float,
    torso_px: float,
    still_s: float = STILL_MIN_S,
    least: float = ONSET_LOW,
) -> Instant | Missing:
    """Start of a point's lasting move: traced back from two travels, as for a steady push.

    Travel grows with the square of time under a steady push, so the root of travel is a straight line
    in time; where it meets zero is the start. ``least``: the lower travel, torso lengths. Sigma: half the step a cubic growth would add, with
    point noise.
    """
    rest = _rest_place(times, place, place_sigma, torso_px, still_s)
    if rest is None:
        return Missing("The clip starts when the club is already moving.")
    travel = np.linalg.norm(place - rest, axis=1) / torso_px
    # A noisy point must be seen to have left before it is traced back.
    first = max(least, ONSET_NOISE * place_sigma / torso_px)
    second = first * ONSET_HIGH / ONSET_LOW
    low, high = _last_rise(times, travel, first), _last_rise(times, travel, second)
    if low is None or high is None or high <= low:
        return Missing("The hands' start could not be seen.")
    step = high - low
    root = float(np.sqrt(ONSET_HIGH / ONSET_LOW))
    start = low - step / (root - 1.0)
    cubic = low - step / (float(np.cbrt(ONSET_HIGH / ONSET_LOW)) - 1.0)
    noise = place_sigma / torso_px / ((second - first) / step)
    start = max(start, float(times[0]))
    return Instant(start, float(np.hypot(abs(start - cubic) / 2.0, noise)))


def _rest_place(
    times: Array, place: Array, sigma: float, torso_px: float, still_s: float
) -> Array | None:
    """Mean place of a point over its last still stretch, or ``None``."""
    limit = _still_range(sigma, torso_px)
    for end in range(len(times) - 1, 0, -1):
        rows = (times <= times[end]) & (times >= times[end] - still_s)
        whole = times[end] - times[0] >= still_s
        if whole and rows.sum() > 1 and np.ptp(place[rows], axis=0).max() < limit:
            return np.asarray(place[rows].mean(axis=0))
    return None


def _still_range(sigma: float, torso_px: float) -> float:
    """Widest range of a point that rests, pixels: the rule is on the distance from the middle, half of it."""
    return 2.0 * max(3.0 * sigma, STILL_TRAVEL * torso_px)


def _last_rise(times: Array, values: Array, level: float) -> float | None:
    """Last time before the end at which ``values`` rises through ``level`` for good."""
    below = np.flatnonzero(values < level)
    if len(below) == 0 or below[-1] + 1 >= len(values):
        return None
    i = int(below[-1])
    share = (level - values[i]) / (values[i + 1] - values[i])
    return float(times[i] + share * (times[i + 1] - times[i]))


def address(motion: Motion, start: Instant | Missing) -> Instant | Missing:
    """End of the last still stretch before the club moves: the moment at which it starts to move."""
    if isinstance(start, Missing):
        return Missing("No still address is in the clip.")
    times = motion.times_s
    if start.time_s - times[0] < STILL_MIN_S / 2:
        return Missing("No still address is in the clip: it starts when the club moves.")
    return start


def hands_past_leg(
    motion: Motion, hip: Array, ankle: Array, after_s: float, before_s: float, bias_px: float
) -> Instant | Missing:
    """Hands' middle crosses the trail leg's line hip-ankle, at the hands' height (face-on).

    ``hip`` and ``ankle`` (n, 2) of the trail side; ``bias_px`` one sigma of where that line is.
    """
    rows = (motion.times_s >= after_s) & (motion.times_s <= before_s)
    fall = np.maximum(ankle[:, 1] - hip[:, 1], 1.0)
    share = (motion.hands[:, 1] - hip[:, 1]) / fall
    leg_x = hip[:, 0] + share * (ankle[:, 0] - hip[:, 0])
    signal = (leg_x - motion.hands[:, 0])[rows]
    found = rising_crossing(
        motion.times_s[rows], signal, sigma=motion.hands_sigma, bias_sigma=bias_px
    )
    if found is None:
        return Missing("The hands were not seen to pass the trail leg.")
    return Instant(found.time_s, found.sigma_s, found.slope)


def arm_level_up(motion: Motion, after_s: float, before_s: float) -> Instant | Missing:
    """Lead arm parallel on the way back: the wrist rises to the shoulder's height.

    Where the golfer pauses with the arm level as well as can be told, the pause is the position:
    its beginning is the instant, not a chance crossing somewhere inside or after it.
    """
    rows = (motion.times_s >= after_s) & (motion.times_s <= before_s)
    if rows.sum() < 3:  # noqa: PLR2004 - a crossing needs both sides
        return Missing("The lead arm did not reach level on the way back.")
    found = _arm_crossing(motion, rows, rising=True)
    pause = _level_pause(motion, rows)
    if pause is not None and (found is None or pause.time_s <= found.time_s):
        return pause
    if found is None:
        return Missing("The lead arm did not reach level on the way back.")
    if pause is not None:
        # Near level it stays: the instant is before the stay, however long the arm is level in it.
        before = rows & (motion.times_s <= pause.time_s + SPEED_HALF_WIDTH_S)
        found = _arm_crossing(motion, before, rising=True) or found
    return Instant(found.time_s, found.sigma_s, found.slope)


def _level_pause(motion: Motion, rows: NDArray[np.bool_]) -> Instant | None:
    """The first stay of the hands, at least half a second, with the arm within two sigmas of level."""
    times, arm = motion.times_s[rows], motion.arm[rows]
    pace = speed(motion.times_s, motion.hands, SPEED_HALF_WIDTH_S)[rows]
    level = np.abs(arm) <= 2.0 * np.hypot(motion.arm_bias, motion.arm_sigma)
    # The peak of the whole stretch is the downswing's; a stay is far below either.
    stay = _longest_run(times, level & (pace < STAY_SHARE * float(pace.max())))
    if stay is None or stay[1] - stay[0] < PAUSE_MIN_S:
        return None
    # Level was reached somewhere between coming within reach of it and coming to rest.
    outside = np.flatnonzero(~level & (times < stay[0]))
    entered = float(times[outside[-1]]) if len(outside) else float(times[0])
    return Instant(stay[0], max((stay[0] - entered) / float(np.sqrt(3.0)), SPEED_HALF_WIDTH_S))


def arm_level_down(motion: Motion, after_s: float, before_s: float) -> Instant | Missing:
    """Lead arm parallel on the way down: the wrist falls to the shoulder's height."""
    rows = (motion.times_s >= after_s) & (motion.times_s <= before_s)
    found = _arm_crossing(motion, rows, rising=False)
    if found is None:
        return Missing("The lead arm was not seen to pass level on the way down.")
    return Instant(found.time_s, found.sigma_s, -found.slope)


def delivery(motion: Motion, after_s: float, before_s: float) -> Instant | Missing:
    """The shaft passes level on the way down, the last time before impact."""
    club = motion.club
    if club is None:
        return Missing("The shaft is not followed through this downswing; a coach can mark it.")
    rows = (motion.times_s >= after_s) & (motion.times_s <= before_s)
    times, shaft, sigmas = motion.times_s[rows], club.shaft[rows], club.shaft_sigma[rows]
    falls = np.flatnonzero((shaft[:-1] >= 0.0) & (shaft[1:] < 0.0))
    if len(falls) == 0:
        return Missing("The shaft was not seen to pass level on the way down.")
    at = int(falls[-1])
    slope = float((shaft[at + 1] - shaft[at]) / (times[at + 1] - times[at]))
    time_s = float(times[at] - shaft[at] / slope)
    sigma = float(max(sigmas[at], sigmas[at + 1]))
    return Instant(time_s, sigma / abs(slope), slope)


def impact_by_club(
    motion: Motion, rest_s: float, after_s: float, before_s: float
) -> Instant | Missing:
    """The clubhead comes back to where it rested, in space, where no ball was seen to leave.

    ``rest_s``: until then the head rests at address. ``after_s``: delivery, or the top. The head's place beside its rest is told along its own way: zero where
    it passes. Near the ball the head moves by its own length in a few milliseconds, so even a poor place gives a
    good time.
    """
    club = motion.club
    if club is None:
        return Missing("No ball was seen to leave its place, and the club is not followed.")
    early = motion.times_s <= rest_s + 1e-6
    rest = _rest_place(
        motion.times_s[early],
        club.head[early],
        club.head_sigma,
        motion.torso_px,
        STILL_MIN_S,
    )
    rows = np.flatnonzero((motion.times_s >= after_s) & (motion.times_s <= before_s))
    if rest is None or len(rows) < 3:  # noqa: PLR2004 - a pass needs both sides
        return Missing("The clubhead was not seen to come back to where it rested.")
    times, places = motion.times_s[rows], club.head[rows] - rest
    nearest = int(np.argmin(np.linalg.norm(places, axis=1)))
    low, high = max(nearest - 1, 0), min(nearest + 1, len(rows) - 1)
    way = places[high] - places[low]
    length = float(np.linalg.norm(way))
    if high - low < 2 or length <= 0.0:  # noqa: PLR2004 - a frame on either side
        return Missing("The clubhead was not seen to pass where it rested.")
    along = places[low : high + 1] @ (way / length)
    aside = float(np.linalg.norm(places[nearest] - along[nearest - low] * way / length))
    passes = along[0] < 0.0 < along[-1] and bool(np.all(np.diff(along) > 0.0))
    if aside > IMPACT_ASIDE_TORSO * motion.torso_px or not passes:
        return Missing("The clubhead was not seen to pass where it rested.")
    pace = length / float(times[high] - times[low])
    time_s = float(np.interp(0.0, along, times[low : high + 1]))
    gap = float(times[high] - times[low]) / 2.0
    # How far beside its rest the head seems to pass says how ill it is placed here, and so does the network.
    place = math.hypot(
        IMPACT_PLACE_TORSO * motion.torso_px, aside, float(club.shaft_sigma[rows[nearest]])
    )
    sigma = math.hypot(place / pace, IMPACT_BEND * gap)
    return Instant(time_s, sigma)


def finish(motion: Motion, impact_s: float, slowed: float = 1.0) -> Instant | Missing:
    """The hands come to rest after the follow-through and stay at rest at least 0.3 s.

    ``slowed``: how many times slower than usual the swing plays.

    Coming to rest is a start seen backwards in time, and traced like one: a speed of its own would be
    all noise at 30 frames a second.
    """
    late = motion.times_s >= impact_s + FINISH_AFTER_S
    times, hands = motion.times_s[late], motion.hands[late]
    if len(times) == 0 or times[-1] - times[0] < FINISH_STILL_S:
        return Missing("The clip ends before the finish is held.")
    back = _onset(
        -times[::-1],
        hands[::-1],
        motion.hands_sigma,
        motion.torso_px,
        still_s=FINISH_STILL_S,
        least=FINISH_LOW,
    )
    if isinstance(back, Missing):
        return Missing("The finish is not held for 0.3 seconds in this clip.")
    return Instant(-back.time_s, max(back.sigma_s, FINISH_SIGMA_S * slowed))


def _arm_crossing(motion: Motion, rows: NDArray[np.bool_], *, rising: bool) -> Crossing | None:
    values = motion.arm[rows] if rising else -motion.arm[rows]
    return rising_crossing(
        motion.times_s[rows], values, sigma=motion.arm_sigma, bias_sigma=motion.arm_bias
    )


def top(motion: Motion, after_s: float, before_s: float) -> Instant | Missing:
    """The hands' path reverses: least hand speed, or the middle of the stay where they stay.

    Highest hands are not the top, but it lies where the arm is up: a pause lower down is not it. The speed is
    that in space where depth is told: what turns towards the lens has not stopped.
    Sigma: the hands' speed is flat around its least value; every
    time at which it cannot be told from the least value (two sigmas of speed noise) is as likely.
    """
    rows = np.flatnonzero((motion.times_s >= after_s) & (motion.times_s <= before_s))
    if len(rows) < 3:  # noqa: PLR2004 - a turning point needs both sides
        return Missing("The top of the backswing is not in the clip.")
    rows = _raised(motion, rows)
    pace, noise = _pace(motion, rows)
    usual = STAY_SHARE * _peak(motion, pace, rows, after_s)
    # Noisy points that stay seem to move: no slower than their noise makes them.
    limit = max(usual, STAY_NOISES * noise)
    stay = _longest_run(motion.times_s[rows], pace[rows] < limit)
    # Through noise a slow turn looks like a short stay.
    least_s = STAY_MIN_S if limit <= usual else PAUSE_MIN_S
    if stay is not None and stay[1] - stay[0] >= least_s:
        return Instant((stay[0] + stay[1]) / 2.0, (stay[1] - stay[0]) / ROOT_12)
    least = rows[int(np.argmin(pace[rows]))]
    gap = float(np.median(np.diff(motion.times_s[rows])))
    flat = motion.times_s[rows][pace[rows] <= pace[least] + 2.0 * noise]
    width = max(float(flat[-1] - flat[0]), gap)
    by_speed = _parabola_least(motion.times_s, pace, int(least))
    if limit > usual:
        # Every time in the flat part is as likely, and speed falls and rises alike on both sides of the top.
        by_speed = float(flat[0] + flat[-1]) / 2.0
    # The arm's highest place is a second opinion: where they differ, so does "the top".
    by_arm = float(motion.times_s[rows[int(np.argmax(motion.arm[rows]))]])
    return Instant(by_speed, max(width / ROOT_12, abs(by_speed - by_arm) / 2.0))


@dataclass(frozen=True, slots=True)
class Turn:
    """The top of a swing without an impact, and what follows it as far as the film shows.

    ``turned``: the hands come back down; ``fast``: they do so faster than they went back, as a downswing does, and
    half as fast again where the film shows all of it: a rehearsal of the backswing may come down briskly.
    """

    top: Instant | Missing
    turned: bool = False
    fast: bool = False


def turn_without_impact(motion: Motion, after_s: float, before_s: float, *, ends: bool) -> Turn:
    """The top where no impact follows: the hands come back down, or they stay with the arm well up.

    ``ends``: the film ends at ``before_s``. A stay up to there must last half a second, or it may be the slow end of
    the backswing. The middle of what is seen of it is told: it may have gone on for as long again, all lengths alike
    likely, which moves its middle by the root mean square of half of that.
    """
    rows = np.flatnonzero((motion.times_s >= after_s) & (motion.times_s <= before_s))
    found = top(motion, after_s, before_s)
    if isinstance(found, Missing):
        return Turn(Missing(ENDS_GOING_BACK) if ends else found)
    pace, noise = _pace(motion, rows)
    peak = _peak(motion, pace, rows, after_s)
    least = max(RAISED_ARM * motion.torso_px, RAISED_NOISES * motion.arm_sigma)
    at = int(np.argmin(np.abs(motion.times_s - found.time_s)))
    later = rows[rows >= at]
    fell = float(motion.arm[at] - motion.arm[later[-1]]) if len(later) else 0.0
    fastest = float(pace[later].max(initial=0.0))
    if fell > least and fastest > TURNED_SHARE * peak:
        return Turn(found, turned=True, fast=fastest > (1.0 if ends else WHOLE_FAST) * peak)
    up = _raised(motion, rows)
    still = pace[up] < max(STAY_SHARE * peak, STAY_NOISES * noise)
    stay = _longest_run(motion.times_s[up], still)
    last_s = float(motion.times_s[rows[-1]])
    if stay is None or last_s - stay[1] > BRIDGED_S:
        return Turn(Missing(ENDS_GOING_BACK if ends else NOT_COME_DOWN))
    length_s = stay[1] - stay[0]
    if length_s < PAUSE_MIN_S or float(motion.arm[rows].max()) <= least:
        return Turn(Missing(ENDS_IN_A_STAY if ends else NOT_COME_DOWN))
    return Turn(Instant((stay[0] + stay[1]) / 2.0, math.sqrt(2.0) * length_s / ROOT_12))


ENDS_GOING_BACK = "The film ends before the hands are seen to come down from the top."
ENDS_IN_A_STAY = "The film ends while the hands hardly move: whether this is the top is not in it."
NOT_COME_DOWN = "The hands were not seen to come down from the top."


def _raised(motion: Motion, rows: NDArray[np.intp]) -> NDArray[np.intp]:
    """Those of the rows about which the arm is well up; all where it does not come well above level."""
    highest = float(motion.arm[rows].max())
    if highest <= max(RAISED_ARM * motion.torso_px, RAISED_NOISES * motion.arm_sigma):
        return rows
    up = rows[motion.arm[rows] >= UP_SHARE * highest]
    # One look at which the arm is up has its neighbours: a turning point needs both sides.
    return np.arange(max(up[0] - 1, rows[0]), min(up[-1] + 1, rows[-1]) + 1)


def _pace(motion: Motion, rows: NDArray[np.intp]) -> tuple[Array, float]:
    """The hands' speed (n,), in space where depth is told, and one sigma of its noise over the rows."""
    space = motion.hands_in_space
    hands = motion.hands if space is None else space.places
    sigmas = np.full(2, motion.hands_sigma) if space is None else space.sigmas
    noise = float(np.linalg.norm(sigmas)) * _speed_noise(motion.times_s[rows])
    return speed(motion.times_s, hands, SPEED_HALF_WIDTH_S), noise


def _peak(motion: Motion, pace: Array, rows: NDArray[np.intp], after_s: float) -> float:
    """The backswing's highest speed: up to lead arm parallel, after which the top is looked for."""
    back = motion.times_s <= after_s
    return float(pace[back].max()) if back.any() else float(pace[rows].max())


def _speed_noise(times: Array) -> float:
    """One sigma of a speed, per second, for one of the places it is told from: a line's slope over even samples."""
    gap = float(np.median(np.diff(times)))
    half = max(int(SPEED_HALF_WIDTH_S / gap), 1)
    return 1.0 / (gap * math.sqrt(2.0 * sum(i * i for i in range(1, half + 1))))


def _parabola_least(times: Array, values: Array, at: int) -> float:
    if at == 0 or at == len(values) - 1:
        return float(times[at])
    x = times[at - 1 : at + 2] - times[at]
    a, b, _ = np.polyfit(x, values[at - 1 : at + 2], 2)
    if a <= 0.0:
        return float(times[at])
    return float(times[at] + np.clip(-b / (2.0 * a), x[0], x[2]))


def _longest_run(times: Array, flags: NDArray[np.bool_]) -> tuple[float, float] | None:
    """First and last time of the longest run of true flags; gaps up to ``BRIDGED_S`` are bridged."""
    inside = np.flatnonzero(flags)
    if len(inside) == 0:
        return None
    apart = (np.diff(inside) > 1) & (np.diff(times[inside]) > BRIDGED_S)
    runs = np.split(inside, np.flatnonzero(apart) + 1)
    longest = max(runs, key=lambda run: float(times[run[-1]] - times[run[0]]))
    return float(times[longest[0]]), float(times[longest[-1]])
