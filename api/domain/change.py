"""Whether a number really changed from one clip to another, or by no more than measuring it anew would.

The smallest detectable change of a measurement whose standard error is SEM is 1.96 x sqrt(2) x SEM: a difference of two
has sqrt(2) times the spread of one, and 95 % of those that mean nothing lie within 1.96 of it (Weir 2005, J Strength
Cond Res 19:231, "minimum difference to be considered real"; Beckerman et al. 2001, Qual Life Res 10:571; both from
memory). Here either clip brings its own sigma, so the two are added as squares; alike they give that formula.

What a swing does of its own from one time to the next is not in it: a real change of one swing may still be a mood.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

from api.domain.bands import Bands
from api.domain.measurement import Estimate
from api.domain.uncertainty import Z95


def detectable_change(sem: float) -> float:
    """Smallest detectable change of a measurement, in its unit, from its standard error ``sem``."""
    return Z95 * math.sqrt(2.0) * sem


class Moved(StrEnum):
    """What a change means for a target."""

    NOT_CLEAR = "not_clear"
    NEARER = "nearer"
    FARTHER = "farther"
    WITHIN = "within"
    CHANGED = "changed"


@dataclass(frozen=True, slots=True)
class Change:
    """How a number changed, in its unit, + where it grew.

    ``least``: what it must change by to be told from chance, at 95 %. ``moved``: ``not_clear`` up to that;
    ``nearer`` the good band or ``farther`` from it; ``within`` where both lie in it; ``changed`` where there is no
    target or both are as far from it on either side.
    """

    difference: float
    least: float
    moved: Moved

    @property
    def is_real(self) -> bool:
        """Whether it is more than the measurement's own noise."""
        return self.moved is not Moved.NOT_CLEAR


def change(before: Estimate, after: Estimate, bands: Bands | None) -> Change:
    """How ``after`` differs from ``before``, and what that means for the target ``bands``, ``None`` for no target."""
    difference = after.value - before.value
    least = Z95 * math.hypot(before.sigma, after.sigma)
    if abs(difference) <= least:
        return Change(difference, least, Moved.NOT_CLEAR)
    return Change(difference, least, _moved(before.value, after.value, bands))


def _moved(before: float, after: float, bands: Bands | None) -> Moved:
    if bands is None:
        return Moved.CHANGED
    was, now = (_off(value, bands) for value in (before, after))
    if was == now:
        return Moved.WITHIN if now == 0.0 else Moved.CHANGED
    return Moved.NEARER if now < was else Moved.FARTHER


def _off(value: float, bands: Bands) -> float:
    """How far a value lies outside the good band, 0 within it."""
    return max(bands.good_low - value, value - bands.good_high, 0.0)
