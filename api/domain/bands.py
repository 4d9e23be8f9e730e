"""Target bands: where a value sits, given how well it is known."""

from dataclasses import dataclass

from api.domain.names import Band


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
