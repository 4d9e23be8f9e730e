"""Times within one swing: what starts first, how long the hands pause, how long the finish is held."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from api.domain.checkpoint_formulas import ANGLE_POINTS, HANDS, HIPS, SHOULDERS
from api.domain.geometry import arm_shaft_turn
from api.domain.measurement import Missing
from api.domain.names import PointName
from api.domain.onsets import BODY, Onset
from worker.measure.ideal import POINTS
from worker.measure.looks import Looks
from worker.swing.instants import (
    BRIDGED_S,
    PAUSE_MIN_S,
    SPEED_HALF_WIDTH_S,
    STILL_SPEED,
    Instant,
)
from worker.swing.signals import MAD_TO_SIGMA, local_line, noise_sigma, smoothed, speed

Array = NDArray[np.float64]
Run = tuple[float, float]
"""Start and end, seconds."""

LEAST_MOVE_M = 0.005
"""Least departure from rest that counts, of pelvis and hands, metres (E1: half a hundredth of stature is
9 mm on an adult; the studio's truth has 5)."""
LEAST_TURN_DEG = 1.0
"""Least departure of the chest's turn."""
LEAST_SET_DEG = 10.0
"""By so much the angle between lead arm and shaft has fallen where the wrists have begun to set (C04)."""
SET_SURELY = 2.0
"""Sigmas by which the wrists must come before the hands to be told as first (working value)."""
SCATTERS = 3.0
"""Sigmas of its own scatter at rest by which a signal must have left its place."""
CALM_S, FIRST_MOVES_S = 0.2, 0.5
"""The body may move this long before the hands do: rest is looked for before that, so long."""
PAUSE_SHARE = 0.05
"""A pause is hand speed under this share of the backswing's peak."""
EDGE_SIGMA_S = 0.012
"""A pause has no sharp edges (working value)."""
PAUSE_NOISES = 3.0
"""Sigmas of the noise of the hands' speed, in each direction, that count as no motion (working value): still
hands pass it in one picture of ninety, which ``BRIDGED_S`` bridges."""
PAUSE_MOST_SHARE = 0.25
"""A limit over this share of the backswing's peak no longer tells a pause from slow motion (working value)."""
CUT_IN_TWO_S, CUT_IN_TWO_LIMITS = 0.25, 2.0
"""Two stays with so little time between them, over which the hands stay under so many limits, may be one (working
values)."""
EDGE_MOST_S = 0.25
"""An edge moves no farther where noise raises the limit: half of the shortest pause that counts (C12)."""
UNTOLD_PAUSE = "The hands' place is too unsure on this clip to tell a stop from slow motion."
STOP_IN_IT = "A stop lies in this swing: a tempo is told of a swing without one."
HOLD_AFTER_S = 0.2
"""A hold is not given up sooner after the finish, and a look that ends this much before the clip is cut off."""
HOLD_HALF_WIDTH_S = 0.1
"""Half of the time over which the hands' speed in a held finish is told, seconds."""
HOLD_NOISES = 3.0
"""Sigmas of a point's noise over that time that count as no motion (working value)."""
FOOT_STEPS, PELVIS_DRIFTS = 0.03, 0.04
"""Shares of stature by which the lead foot or the middle of the pelvis has left its place (C24). The trail foot
may turn on its toe."""
HOLD_END_SIGMA_S, CLIP_END_SIGMA_S = 0.05, 0.02
"""One sigma of when a held finish is given up, and of the clip's last frame (working values)."""
HALF_UP_DEG = 45.0
"""Elevation of the shaft at which the diagonal hinge is checked."""


@dataclass(frozen=True, slots=True)
class StartOrder:
    """``start``: the body's first move; ``end``: the hands', or the wrists' where they surely set before those.

    ``onsets``: when each leaves its rest; without those that were not followed (no club, no depths) or that move
    later than was looked.
    """

    start: Instant
    end: Instant
    onsets: Mapping[Onset, Instant] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Stay:
    """From when to when the hands stay in one place.

    ``cut_off``: they still do on the last frame that was looked at.
    """

    start: Instant
    end: Instant
    cut_off: bool = False

    @property
    def length_s(self) -> float:
        """How long, seconds."""
        return self.end.time_s - self.start.time_s


@dataclass(frozen=True, slots=True)
class Pause:
    """The hands' longest stay; start and end fall together where there is none.

    ``stays``: every stay in its order, the longest among them.
    """

    start: Instant
    end: Instant
    stays: tuple[Stay, ...] = ()


@dataclass(frozen=True, slots=True)
class Hold:
    """The finish and when it is given up.

    ``cut_off``: the clip ends first, so ``end`` is its last frame and the hold at least that long.
    """

    start: Instant
    end: Instant
    cut_off: bool = False


def start_order(
    looks: Looks, takeaway: Instant | Missing, passed: Instant | Missing
) -> StartOrder | Missing:
    """Which moves first, body or hands (face-on), and hands may be wrists that set.

    Each onset is the first time its signal leaves the band of its rest for good, before the hands pass
    the trail leg.
    """
    if isinstance(takeaway, Missing):
        return takeaway
    if isinstance(passed, Missing):
        return passed
    album, times = looks.ideal, looks.times_s
    rest_s = takeaway.time_s - FIRST_MOVES_S - CALM_S
    calm = (times >= rest_s) & (times <= rest_s + CALM_S)
    if calm.sum() < 4:  # noqa: PLR2004 - a scatter of fewer is none
        return Missing("The clip starts too late to tell what moves first.")
    pelvis = album.middle(HIPS)[:, 0] / album.metre_px[HIPS[0]]
    hands = album.middle(HANDS) / album.metre_px[HANDS[0]]
    from_rest = np.linalg.norm(hands - np.median(hands[calm], axis=0), axis=1)
    chest = _chest_heading(looks)
    until_s = passed.time_s
    found = {
        Onset.PELVIS: _onset(times, pelvis, calm, until_s, LEAST_MOVE_M),
        Onset.CHEST: None if chest is None else _onset(times, chest, calm, until_s, LEAST_TURN_DEG),
        Onset.HANDS: _onset(times, from_rest, calm, until_s, LEAST_MOVE_M),
        Onset.WRISTS: _wrist_set(looks, calm, until_s),
    }
    onsets = {whose: at for whose, at in found.items() if at is not None}
    body = [onsets[whose] for whose in BODY if whose in onsets]
    if not body or Onset.HANDS not in onsets:
        return Missing("What moves first could not be told.")
    first = min(body, key=lambda one: one.time_s)
    return StartOrder(first, _first_of(onsets[Onset.HANDS], onsets.get(Onset.WRISTS)), onsets)


def _first_of(arms: Instant, wrists: Instant | None) -> Instant:
    """The hands' onset, or the wrists' where it surely comes before it.

    The earlier of two unsure times is early by chance: wrists that may only have been first leave the hands' time as
    it is and make it less sure by half of what lies between.
    """
    if wrists is None or wrists.time_s >= arms.time_s:
        return arms
    before = arms.time_s - wrists.time_s
    if before > SET_SURELY * math.hypot(arms.sigma_s, wrists.sigma_s):
        return wrists
    return Instant(arms.time_s, math.hypot(arms.sigma_s, before / 2.0))


def _wrist_set(looks: Looks, calm: NDArray[np.bool_], until_s: float) -> Instant | None:
    """When the angle between lead arm and shaft has fallen from its rest for good; ``None`` without a club.

    A club that is waggled opens the angle too, which is no set.
    """
    if set(ANGLE_POINTS) - set(looks.ideal.places):
        return None
    turns = [
        arm_shaft_turn(*(looks.ideal.at(row)[name] for name in ANGLE_POINTS))
        for row in range(len(looks.times_s))
    ]
    angle = smoothed(looks.times_s, np.unwrap(turns, period=360.0), SPEED_HALF_WIDTH_S)
    rest = float(np.median(angle[calm]))
    scatter = MAD_TO_SIGMA * float(np.median(np.abs(angle[calm] - rest)))
    least = max(LEAST_SET_DEG, SCATTERS * scatter)
    return _onset(looks.times_s, np.maximum(rest - angle, 0.0), calm, until_s, least)


def _chest_heading(looks: Looks) -> Array | None:
    """Direction of the shoulder line from above, degrees (n,), smoothed; ``None`` without depths."""
    if looks.space is None or looks.stand is None:
        return None
    turned = looks.space.turned(*looks.stand.variants()[0])
    lead, trail = (turned[:, int(POINTS[name])] for name in SHOULDERS)
    heading = np.degrees(np.unwrap(np.arctan2(lead[:, 2] - trail[:, 2], lead[:, 0] - trail[:, 0])))
    return smoothed(looks.times_s, heading, SPEED_HALF_WIDTH_S)


def _onset(
    times: Array, signal: Array, calm: NDArray[np.bool_], until_s: float, least: float
) -> Instant | None:
    rest = float(np.median(signal[calm]))
    scatter = MAD_TO_SIGMA * float(np.median(np.abs(signal[calm] - rest)))
    band = max(SCATTERS * scatter, least)
    rows = np.flatnonzero(times <= until_s)
    outside = np.abs(signal[rows] - rest) - band
    within = np.flatnonzero(outside <= 0.0)
    if len(within) == 0 or within[-1] + 1 >= len(rows):
        return None
    at = int(within[-1])
    one, two = rows[at], rows[at + 1]
    share = outside[at] / (outside[at] - outside[at + 1])
    time_s = float(times[one] + share * (times[two] - times[one]))
    rate = abs(local_line(times, signal, time_s, SPEED_HALF_WIDTH_S).slope)
    # A slow start and a noisy point both blur where the band is left; the true band may be narrower.
    return Instant(time_s, min((scatter + band / 2.0) / max(rate, 1e-6), 0.3))


def pause(
    looks: Looks,
    takeaway: Instant | Missing,
    top: Instant | Missing,
    impact_s: float | None,
    end_of_clip_s: float,
) -> Pause | Missing:
    """The longest time with hand speed under a twentieth of the backswing's peak.

    It counts after half of that peak was reached (leaving the start is slow too) and before ``impact_s``, told
    however roughly, or the last frame of a swing that has no downswing. Noisy points seem to move: where their
    speed's noise asks for more than a twentieth, the limit is raised to it, and the edges are less sure.
    """
    if isinstance(takeaway, Missing):
        return takeaway
    times, hands = looks.times_s, looks.ideal.middle(HANDS)
    pace = speed(times, hands, SPEED_HALF_WIDTH_S)
    end_s = float(times[-1]) if impact_s is None else impact_s
    top_s = end_s if isinstance(top, Missing) else top.time_s
    back = (times >= takeaway.time_s) & (times <= top_s)
    peak = float(pace[back].max(initial=0.0))
    fast = back & (pace > peak / 2.0)
    rows = np.flatnonzero((np.arange(len(times)) >= int(np.argmax(fast))) & (times <= end_s))
    if not fast.any() or len(rows) < 3:  # noqa: PLR2004 - no speed from fewer
        return Missing("The backswing is too short to look for a pause.")
    noise = PAUSE_NOISES * _speed_noise(times[back], hands[back])
    if noise > PAUSE_MOST_SHARE * peak:
        return Missing(UNTOLD_PAUSE)
    edges = _Edges(times[rows], pace[rows], PAUSE_SHARE * peak, max(PAUSE_SHARE * peak, noise))
    stays = edges.stays()
    goes_on = rows[-1] == len(times) - 1 and end_of_clip_s - float(times[-1]) > HOLD_AFTER_S
    beyond = _beyond_what_is_seen(
        stays, goes_on=goes_on, unturned=top if impact_s is None else None
    )
    if beyond is not None:
        return beyond
    if not stays:
        none = Instant(top_s, edges.sigma_s)
        return Pause(none, none)
    best = max(stays, key=_length_s)
    return Pause(best.start, best.end, tuple(stays))


def _beyond_what_is_seen(
    stays: Sequence[Stay], *, goes_on: bool, unturned: Instant | Missing | None
) -> Missing | None:
    """Why the longest stay may lie outside what was looked at, if it may.

    ``goes_on``: the film does, after the look; ``unturned``: the top of a swing without an impact.
    """
    if goes_on and stays and max(stays, key=_length_s).cut_off:
        return Missing("The pause lasts longer than this look at the clip reaches.")
    stopped = any(one.cut_off or one.length_s >= PAUSE_MIN_S for one in stays)
    # Hands that were not seen to turn, nor to stop before, may stop after the film's end.
    return unturned if isinstance(unturned, Missing) and not stopped else None


def _length_s(stay: Stay) -> float:
    return stay.length_s


@dataclass(frozen=True, slots=True)
class _Edges:
    """Where the hands' pace (n,), pixels a second at ``times`` (n,), begins and ends to be a stay's.

    ``usual``: the pace under which it is one, ``limit``: the same raised to what noise alone gives.
    """

    times: Array
    pace: Array
    usual: float
    limit: float

    @property
    def sigma_s(self) -> float:
        """One sigma of an edge that noise does not move."""
        return math.hypot(self._gap_s / math.sqrt(12.0), EDGE_SIGMA_S)

    @property
    def _gap_s(self) -> float:
        return float(np.median(np.diff(self.times)))

    def stays(self) -> list[Stay]:
        """Every stay in its order."""
        runs = _below(self.times, self.pace - self.limit)
        return [
            self._stay(run, self._beside(runs[:at][::-1], run), self._beside(runs[at + 1 :], run))
            for at, run in enumerate(runs)
        ]

    def _stay(self, run: Run, before_s: float, after_s: float) -> Stay:
        # A raised limit is passed before the hands are as slow as a twentieth, and left after: what that adds to
        # either end is taken off again, and half of it stays unsure.
        early, late = (_raised_s(self.times, self.pace, at, self.limit - self.usual) for at in run)
        start_s, end_s = run[0] + early, run[1] - late
        if start_s > end_s:
            start_s = end_s = (run[0] + run[1]) / 2.0
        # Through noise a slow turn looks like a short stop: there may be none.
        short = self.limit > self.usual and end_s - start_s < PAUSE_MIN_S
        doubt = (end_s - start_s) / 2.0 if short else 0.0
        return Stay(
            Instant(start_s, math.hypot(self.sigma_s, early / 2.0, doubt, before_s / 2.0)),
            Instant(end_s, math.hypot(self.sigma_s, late / 2.0, doubt, after_s / 2.0)),
            cut_off=run[1] >= float(self.times[-1]) - self._gap_s / 2.0,
        )

    def _beside(self, others: Sequence[Run], run: Run) -> float:
        """How much longer the stay is if the nearest of ``others`` belongs to it, seconds; 0 where it surely does not.

        Noise that passes the limit for longer than is bridged cuts one stay in two. Hands that truly go on are soon
        well over it.
        """
        if not others:
            return 0.0
        other = others[0]
        between = (min(other[1], run[1]), max(other[0], run[0]))
        inside = (self.times >= between[0]) & (self.times <= between[1])
        near = between[1] - between[0] <= CUT_IN_TWO_S
        if not near or self.pace[inside].max(initial=0.0) > CUT_IN_TWO_LIMITS * self.limit:
            return 0.0
        return max(other[1] - run[1], run[0] - other[0])


def stop_in_it(pause: Pause | Missing) -> Missing | None:
    """Why a swing has no tempo: a stop lies in it, or may lie in it unseen."""
    if isinstance(pause, Missing):
        return pause if pause.reason == UNTOLD_PAUSE else None
    held = pause.end.time_s - pause.start.time_s >= PAUSE_MIN_S
    return Missing(STOP_IN_IT) if held else None


def _speed_noise(times: Array, points: Array) -> float:
    """One sigma, pixels a second, of what noise alone adds to each part of ``speed`` of a track (n, 2)."""
    if len(times) < 5:  # noqa: PLR2004 - fewer give no spread worth the name
        return 0.0
    noise = max(noise_sigma(points[:, axis]) for axis in (0, 1))
    gap = float(np.median(np.diff(times)))
    aside = max(int(SPEED_HALF_WIDTH_S / gap + 1e-6), 1)
    # The slope of a line through samples at -m..m gaps: the sum of k squared there is m (m + 1) (2 m + 1) / 3.
    squares = aside * (aside + 1) * (2 * aside + 1) / 3.0
    return noise / (gap * math.sqrt(squares))


def _raised_s(times: Array, pace: Array, at_s: float, raised: float) -> float:
    """By how much the edge of a pause moves where its limit is ``raised`` so much, seconds."""
    rate = abs(local_line(times, pace, at_s, SPEED_HALF_WIDTH_S).slope)
    return min(raised / max(rate, 1e-6), EDGE_MOST_S)


def _below(times: Array, over: Array) -> list[Run]:
    """Start and end of each run below 0, edges by straight lines.

    Interruptions of ``BRIDGED_S`` are bridged, as long as they are themselves: between the frames on either side of
    one lies up to a frame more each.
    """
    inside = np.flatnonzero(over < 0.0)
    if len(inside) == 0:
        return []
    runs: list[Run] = []
    for rows in np.split(inside, np.flatnonzero(np.diff(inside) > 1) + 1):
        start, end = _edge(times, over, rows[0], -1), _edge(times, over, rows[-1], 1)
        if runs and start - runs[-1][1] <= BRIDGED_S:
            runs[-1] = (runs[-1][0], end)
        else:
            runs.append((start, end))
    return runs


def _edge(times: Array, over: Array, row: int, step: int) -> float:
    beyond = row + step
    if not 0 <= beyond < len(times):
        return float(times[row])
    share = over[row] / (over[row] - over[beyond])
    return float(times[row] + share * (times[beyond] - times[row]))


def hold(
    looks: Looks, finish: Instant | Missing, torso_px: float, end_of_clip_s: float
) -> Hold | Missing:
    """From the finish until the hands move again, the pelvis drifts or the lead foot steps; or the look's end.

    That is as much of balance as points show: on which foot the weight is, a coach sees.
    """
    if isinstance(finish, Missing):
        return finish
    times = looks.times_s
    hands = looks.here.middle(HANDS)
    pace = speed(times, hands, HOLD_HALF_WIDTH_S)
    # A noisy point seems to move: it must move faster than its own noise makes it.
    held = times >= finish.time_s
    noise = max(noise_sigma(hands[held, axis]) for axis in (0, 1))
    limit = max(2.0 * STILL_SPEED * torso_px, HOLD_NOISES * noise / HOLD_HALF_WIDTH_S)
    after = times > finish.time_s + HOLD_AFTER_S
    lost = pace > limit
    for pair, share in (((PointName.LEAD_ANKLE,), FOOT_STEPS), (HIPS, PELVIS_DRIFTS)):
        lost |= _left(times, looks.here.middle(pair), held, share * looks.stature_px)
    moving = np.flatnonzero(after & lost)
    last = float(times[-1])
    if len(moving):
        return Hold(finish, Instant(float(times[moving[0]]), HOLD_END_SIGMA_S))
    if end_of_clip_s - last > HOLD_AFTER_S:
        return Missing("The finish is held longer than this look at the clip reaches.")
    return Hold(finish, Instant(end_of_clip_s, CLIP_END_SIGMA_S), cut_off=True)


def _left(
    times: Array, places: Array, held: NDArray[np.bool_], reach_px: float
) -> NDArray[np.bool_]:
    """(n,) frames in which a point is farther than ``reach_px`` from where it was as the finish began.

    Told of smoothed places, and no nearer than their noise allows.
    """
    if not held.any():
        return held
    calm = smoothed(times, places, HOLD_HALF_WIDTH_S)
    since = times[held][0]
    at_first = held & (times <= since + HOLD_AFTER_S)
    away = np.linalg.norm(calm - np.median(calm[at_first], axis=0), axis=1)
    noise = max(noise_sigma(places[held, axis]) for axis in (0, 1))
    beside = np.abs(times - times[:, np.newaxis]) <= HOLD_HALF_WIDTH_S
    spread = noise * math.sqrt(2.0 / float(np.median(beside.sum(axis=1))))
    return np.asarray(away > max(reach_px, HOLD_NOISES * spread))


def shaft_level_back(
    looks: Looks, shaft: Array | None, takeaway: Instant | Missing, parallel: Instant | Missing
) -> Instant | Missing:
    """When the shaft is level on the way back.

    ``shaft`` (n,): how far the hosel stands above the butt end in space, up positive.
    """
    if shaft is None:
        return Missing("The club could not be followed at this moment; a coach can mark it.")
    if isinstance(takeaway, Missing):
        return takeaway
    end_s = float(looks.times_s[-1]) if isinstance(parallel, Missing) else parallel.time_s + 0.1
    rows = np.flatnonzero((looks.times_s >= takeaway.time_s) & (looks.times_s <= end_s))
    height = shaft[rows]
    passes = np.flatnonzero((height[:-1] < 0.0) & (height[1:] >= 0.0))
    if len(passes) == 0:
        return Missing("The shaft was not seen to pass level on the way back.")
    return _pass(looks.times_s, height, rows, int(passes[-1]))


def shaft_half_up(
    looks: Looks, takeaway: Instant | Missing, top: Instant | Missing
) -> Instant | Missing:
    """When the shaft rises through 45 degrees on the way back, in space."""
    if looks.space is None or looks.stand is None:
        return Missing("The club could not be followed at this moment; a coach can mark it.")
    if isinstance(takeaway, Missing):
        return takeaway
    turned = looks.space.turned(*looks.stand.variants()[0])
    shaft = turned[:, int(POINTS[PointName.CLUBHEAD])] - turned[:, int(POINTS[PointName.BUTT])]
    up = np.degrees(np.arctan2(-shaft[:, 1], np.hypot(shaft[:, 0], shaft[:, 2])))
    end_s = float(looks.times_s[-1]) if isinstance(top, Missing) else top.time_s
    rows = np.flatnonzero((looks.times_s >= takeaway.time_s) & (looks.times_s <= end_s))
    over = up[rows] - HALF_UP_DEG
    passes = np.flatnonzero((over[:-1] < 0.0) & (over[1:] >= 0.0))
    if len(passes) == 0:
        return Missing("The shaft was not seen to rise to 45 degrees on the way back.")
    return _pass(looks.times_s, over, rows, int(passes[0]))


def _pass(times: Array, signal: Array, rows: NDArray[np.intp], at: int) -> Instant:
    """Where ``signal`` (over ``rows``) passes 0 between ``at`` and the next, by a straight line."""
    one, two = rows[at], rows[at + 1]
    share = signal[at] / (signal[at] - signal[at + 1])
    gap = float(times[two] - times[one])
    return Instant(float(times[one] + share * gap), gap / 2.0)
