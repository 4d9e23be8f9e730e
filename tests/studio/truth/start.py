"""How a swing starts: the last still stretch, address, takeaway. Definitions: ``instants``."""

from collections.abc import Callable

import numpy as np

from tests.studio.pose import Array, ClubPoint
from tests.studio.truth.roots import crossing, dips, peak, rises
from tests.studio.truth.stillness import STILL_S, Stillness, hands_of, head_of, speed_time
from tests.studio.truth.swings import SwingSpan
from tests.studio.truth.track import Figure, Track
from tests.studio.truth.when import Absent, When, at_once

AT_PLACE_M = 0.30
"""At address the clubhead is no farther than this from the ball (or from its first rest)."""
OWN_UNREST = 1.5
"""Where a resting clubhead already sways faster than the threshold, its own is this many times that."""

NO_ADDRESS = "no still stretch of 0.2 s with the club behind the ball before this swing"


def start_of(track: Track, span: SwingSpan, rest: Stillness) -> tuple[When, When, When]:
    """Start of the last still stretch, its end (address), and takeaway."""
    away = _from_place(track, rest)
    stretches = [
        (first, last)
        for first, last in rest.hands_rest(track, STILL_S)
        if span.after <= last < span.rise and away[last] < AT_PLACE_M
    ]
    if not stretches:
        return (Absent(NO_ADDRESS),) * 3
    first, last = stretches[-1]
    left = last + int(np.argmax(away[last : span.rise + 1] > AT_PLACE_M))
    takeaway = min(
        last_rise(track, hands_of, rest.hands, rest.limit, (last, left)),
        last_rise(track, head_of, rest.head, _head_limit(track, rest, first), (first, left)),
    )
    end = speed_time(track, hands_of, rest.limit, last)
    settled = at_once(float(track.times[first]))
    return settled, at_once(min(end, takeaway)), at_once(takeaway)


def _from_place(track: Track, rest: Stillness) -> Array:
    """(n,) of the clubhead from its place on the ground plan: the ball, or its first rest."""
    faces = np.array([figure.club[ClubPoint.FACE][:2] for figure in track.figures])
    stretches = rest.hands_rest(track, STILL_S)
    place = faces[stretches[0][0]] if stretches else faces[0]
    balls = [figure.ball for figure in track.figures]
    places = np.array([place if ball is None else ball[:2] for ball in balls])
    return np.asarray(np.linalg.norm(faces - places, axis=1))


def _head_limit(track: Track, rest: Stillness, first: int) -> float:
    until = track.index(float(track.times[first]) + STILL_S)
    return max(rest.limit, OWN_UNREST * float(rest.head[first : until + 1].max()))


def last_rise(
    track: Track,
    point: Callable[[Figure], Array],
    speeds: Array,
    limit: float,
    between: tuple[int, int],
) -> float:
    """Time at which a speed rises above its limit and stays there until the second sample.

    ``speeds`` (n,) of the point at the samples. A dip shorter than a sampling step counts too: each
    low place is looked into.
    """
    over = track.signal_of_speed(point, limit)
    for low in reversed(dips(speeds, *between, 4.0 * limit)):
        around = [float(one) for one in track.times[max(low - 2, 0) : low + 3]]
        lowest = peak(lambda time_s: -over(time_s), around[0], around[-1])
        if over(lowest) < 0.0 < over(around[-1]):
            return crossing(over, lowest, around[-1])
    found = rises(speeds - limit, *between)
    return speed_time(track, point, limit, found[-1] if found else between[1] - 1)
