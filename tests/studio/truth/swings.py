"""Where the swings are: the lead arm rises on the trail side, comes down, rises on the other.

A follow-through lifts the lead arm too; the side on which the hands are when it rises tells the
two apart. A waggle never lifts the arm so far; a stop at the top has no follow-through.
"""

from dataclasses import dataclass

import numpy as np

from tests.studio.pose import Array
from tests.studio.truth.track import Track, lead_arm_elevation

RAISED_DEG = -30.0
LOWERED_DEG = -45.0
"""The lead arm hangs at about -60 to -75 degrees at address; between the two nothing changes."""


@dataclass(frozen=True, slots=True)
class SwingSpan:
    """Samples of one swing. ``after``: first sample after the previous swing, where this one's
    address may lie. ``rise``: the arm is raised on the trail side. ``peak``: highest arm of the
    backswing. ``lower``: it is lowered again. ``through``: raised on the target side. ``end``:
    last sample that is this swing's. ``None``: not in the film.
    """

    after: int
    rise: int
    peak: int
    lower: int | None
    through: int | None
    end: int


def find_swings(track: Track) -> list[SwingSpan]:
    """Every swing of the film in order of time."""
    elevations = track.values(lead_arm_elevation)
    sides = track.values(lambda figure: float(figure.hands[0] - figure.hips[0]))
    raised = _raised(elevations)
    spans: list[SwingSpan] = []
    after = 0
    for number, (first, last) in enumerate(raised):
        if sides[first] >= 0:
            after = last + 1  # a follow-through, or a practice move on the target side
            continue
        following = raised[number + 1] if number + 1 < len(raised) else None
        through = following[0] if following is not None and sides[following[0]] >= 0 else None
        peak = first + int(np.argmax(elevations[first : last + 1]))
        lower = last if last < len(elevations) - 1 else None
        later = [one for one, _ in raised[number + 1 :] if sides[one] < 0]
        end = later[0] - 1 if later else len(elevations) - 1
        spans.append(SwingSpan(after, first, peak, lower, through, end))
        after = last + 1
    return spans


def _raised(elevations: Array) -> list[tuple[int, int]]:
    """Stretches from rising above ``RAISED_DEG`` to falling below ``LOWERED_DEG``."""
    found: list[tuple[int, int]] = []
    first: int | None = None
    for i, value in enumerate(elevations):
        if first is None and value > RAISED_DEG:
            first = i
        elif first is not None and value < LOWERED_DEG:
            found.append((first, i))
            first = None
    if first is not None:
        found.append((first, len(elevations) - 1))
    return found
