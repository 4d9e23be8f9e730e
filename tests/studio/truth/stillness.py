"""Stillness: the thresholds of the trade notes, and stretches that keep under them.

Speeds are in space, not in a picture: an instant must not depend on where the phone stands.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from tests.studio.pose import Array, ClubPoint
from tests.studio.truth.roots import bridged, crossing, runs
from tests.studio.truth.track import STEP_S, Figure, Track

STILL_TORSOS_PER_S = 0.05
STILL_S = 0.2
FINISH_STILL_S = 0.3

FIRST_MOVES_S = 0.5
"""The body's shift comes at most so long before the club, by the notes on checkpoint C03."""

STAY_S = 0.2
"""A motion that keeps a position at least this long has stopped there."""
STAY_GAP_S = 0.07
"""Interruptions of a stop no longer than this are bridged, as in the notes on pauses."""


def hands_of(figure: Figure) -> Array:
    """Mid-hands, (3,)."""
    return figure.hands


def head_of(figure: Figure) -> Array:
    """Clubhead: the middle of the face, (3,)."""
    return figure.club[ClubPoint.FACE]


def speed_time(track: Track, point: Callable[[Figure], Array], limit: float, before: int) -> float:
    """When the speed of a point passes ``limit`` about sample ``before`` and the next, exactly."""
    first, last = max(before - 1, 0), min(before + 2, len(track.times) - 1)
    low, high = float(track.times[first]), float(track.times[last])
    over = track.signal_of_speed(point, limit)
    if over(low) * over(high) > 0:
        return float(track.times[before])
    return crossing(over, low, high)


@dataclass(frozen=True, slots=True)
class Stillness:
    """Speeds (n,) of mid-hands and of the middle of the face, m/s, and the threshold, m/s."""

    hands: Array
    head: Array
    limit: float

    def hands_rest(self, track: Track, least_s: float) -> list[tuple[int, int]]:
        """Stretches of samples in which the hands keep under the threshold so long, (first, last)."""
        return [
            (first, last)
            for first, last in runs(self.hands < self.limit)
            if track.times[last] - track.times[first] >= least_s - STEP_S
        ]


def stillness(track: Track) -> Stillness:
    """Speeds over a track; the torso is measured in its first figure."""
    return Stillness(
        track.speeds(hands_of),
        track.speeds(head_of),
        STILL_TORSOS_PER_S * track.figures[0].torso_m,
    )


def calm_window(settled_s: float, address_s: float) -> tuple[float, float]:
    """Where the body is at rest before it starts: 0.2 s that end half a second before address, or
    the still stretch's first 0.2 s where it is shorter. A body that starts first moves after that.
    """
    start = max(settled_s, address_s - FIRST_MOVES_S - STILL_S)
    return start, start + STILL_S


def stay_about(
    track: Track, values: Array, near: int, *, band: float, rate: float
) -> tuple[float, float] | None:
    """The stop that holds sample ``near``: times of its start and end, or ``None``.

    ``values`` (n,): a signal that is 0 at the wanted place. Stopped is within ``band`` of it and
    changing by less than ``rate`` a second, ``STAY_S`` long with gaps up to ``STAY_GAP_S`` bridged.
    """
    slow = np.abs(np.gradient(values, track.times)) < rate
    mask = bridged(slow & (np.abs(values) < band), track.times, STAY_GAP_S)
    for first, last in runs(mask):
        start, end = float(track.times[first]), float(track.times[last])
        close = start - STAY_GAP_S <= track.times[near] <= end + STAY_GAP_S
        if end - start >= STAY_S and close:
            return start, end
    return None
