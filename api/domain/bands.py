"""Target bands: where a value sits, given how well it is known; and bands of a student's own."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from api.domain.errors import Invalid
from api.domain.names import Band, Unit


@dataclass(frozen=True, slots=True)
class Bands:
    """Limits of a checkpoint, in its unit, in rising order. A limit belongs to the better band.

    good: ``good_low`` to ``good_high``; watch: out to ``watch_low`` and ``watch_high``;
    beyond: outside. Coaches may set their own per student and club.
    """

    watch_low: float
    good_low: float
    good_high: float
    watch_high: float

    def __post_init__(self) -> None:
        """Refuse limits out of order (equal limits close a band), and NaN."""
        if not self.watch_low <= self.good_low < self.good_high <= self.watch_high:
            message = "band limits must rise: watch_low <= good_low < good_high <= watch_high"
            raise ValueError(message)

    @property
    def good_width(self) -> float:
        """Width of the good band."""
        return self.good_high - self.good_low


_BAND_OF_REGION = (Band.OUTSIDE, Band.WATCH, Band.GOOD, Band.WATCH, Band.OUTSIDE)


def region(value: float, bands: Bands) -> int:
    """Which of the five stretches a value lies in: 0 below watch ... 2 good ... 4 above watch."""
    if value < bands.watch_low:
        return 0
    if value < bands.good_low:
        return 1
    if value <= bands.good_high:
        return 2
    return 3 if value <= bands.watch_high else 4


def band_of(low: float, high: float, bands: Bands) -> Band:
    """The band of a 95 % interval ``low`` to ``high``.

    ``too_close`` when the interval straddles a limit, or when its half-width exceeds the whole
    good band: such a reading cannot place the swing, however far out its middle lies.
    """
    lowest = region(low, bands)
    if lowest != region(high, bands) or (high - low) / 2.0 > bands.good_width:
        return Band.TOO_CLOSE
    return _BAND_OF_REGION[lowest]


PLAUSIBLE: Mapping[Unit, tuple[float, float]] = MappingProxyType(
    {
        Unit.DEGREES: (-180.0, 180.0),
        Unit.GRIP_LENGTHS: (-10.0, 10.0),
        Unit.SECONDS: (-5.0, 30.0),
        Unit.RATIO: (-5.0, 20.0),
        Unit.STANCES: (-3.0, 3.0),
        Unit.HEADS: (-5.0, 5.0),
        Unit.SHOULDERS: (-5.0, 5.0),
        Unit.STATURES: (-1.0, 1.0),
    }
)
"""Beyond these no target of anybody's lies: such a number was typed in another unit, or wrongly."""

_UNIT_WORDS: Mapping[Unit, str] = MappingProxyType(
    {
        Unit.DEGREES: " degrees",
        Unit.GRIP_LENGTHS: " grip lengths",
        Unit.SECONDS: " seconds",
        Unit.RATIO: "",
        Unit.STANCES: " stance widths",
        Unit.HEADS: " head heights",
        Unit.SHOULDERS: " shoulder widths",
        Unit.STATURES: " (1 is the golfer's height)",
    }
)
_LIMIT_WORDS = (
    "the lower watch limit",
    "the lower end of the target",
    "the upper end of the target",
    "the upper watch limit",
)


def own_bands(
    limits: tuple[float, float, float, float],
    unit: Unit,
    *,
    least: float = -math.inf,
    most: float = math.inf,
) -> Bands:
    """Bands that a coach sets for one student, from (watch low, good low, good high, watch high).

    In the checkpoint's ``unit``; ``least`` and ``most`` are what the quantity can be. Raises ``Invalid``,
    saying which number and why: not finite, out of range, out of order, or a target without width. (A
    target of one point could never be met: every interval is wider.)
    """
    lowest, highest = max(least, PLAUSIBLE[unit][0]), min(most, PLAUSIBLE[unit][1])
    for limit, words in zip(limits, _LIMIT_WORDS, strict=True):
        if not math.isfinite(limit):
            raise Invalid(f"{_start(words)} is not a number.", code="bands_not_finite")
        if not lowest <= limit <= highest:
            raise Invalid(
                f"{_start(words)} is {limit:g}; for this number it lies between {lowest:g} and "
                f"{highest:g}{_UNIT_WORDS[unit]}.",
                code="bands_out_of_range",
            )
    for place in (0, 1, 2):
        if limits[place] > limits[place + 1]:
            raise Invalid(
                f"{_start(_LIMIT_WORDS[place])} ({limits[place]:g}) lies above "
                f"{_LIMIT_WORDS[place + 1]} ({limits[place + 1]:g}): each of the four is at least as large as the "
                "one before it.",
                code="bands_out_of_order",
            )
    if limits[1] == limits[2]:
        raise Invalid(
            "The target has no width: its upper end must lie above its lower one, or no reading could "
            "ever be on it.",
            code="bands_out_of_order",
        )
    return Bands(*limits)


def _start(words: str) -> str:
    return words[0].upper() + words[1:]
