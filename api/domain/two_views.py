"""Two clips of one submission, face-on and down-the-line, read together.

They are usually two swings, filmed one after the other: "same player, like swings", never one swing. What
both views show is weighed together where the two agree; where they differ by more than chance allows, no
joined number is given and the difference is told.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from api.domain.bands import Bands, band_of
from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS
from api.domain.measurement import Missing, Reading
from api.domain.names import Band, View
from api.domain.picture_formulas import CUT_OFF
from api.domain.uncertainty import Z95, combine, interval95

Readings = Mapping[CheckpointId, Reading | Missing]
LIKE_SWINGS = (
    "Two clips are two swings of the same player: like swings, not one. Numbers from both are read "
    "together only where they agree."
)


@dataclass(frozen=True, slots=True)
class Disagreement:
    """One checkpoint that the two clips read differently; values in its unit."""

    checkpoint: CheckpointId
    face_on: float
    down_the_line: float


@dataclass(frozen=True, slots=True)
class Joined:
    """``readings``: for every checkpoint what the two clips together say. ``disagreements``: where not."""

    readings: Readings
    disagreements: tuple[Disagreement, ...]


def join(
    face_on: Readings,
    down_the_line: Readings,
    *,
    bands: Mapping[CheckpointId, Bands] | None = None,
) -> Joined:
    """Readings of two clips, for ``findings.find``. ``bands``: a student's own, over the usual ones.

    A reading of one view is taken as it is. Of one in both views the joined reading is the mean weighed by
    certainty, with the frame of the surer one, and none where the two differ by more than 95 % of chance would
    allow. A span that the film's end cut off gives way to a longer one. A joined reading has no points and no inputs: those of either clip say what that clip saw, not what both did.
    """
    readings: dict[CheckpointId, Reading | Missing] = {}
    apart: list[Disagreement] = []
    for checkpoint in CHECKPOINTS:
        one, two = face_on.get(checkpoint), down_the_line.get(checkpoint)
        if isinstance(one, Reading) and isinstance(two, Reading):
            longer = _longer_where_cut_off(one, two)
            if longer is not None:
                readings[checkpoint] = longer
            elif abs(one.value - two.value) > Z95 * combine(one.sigma, two.sigma):
                apart.append(Disagreement(checkpoint, one.value, two.value))
                readings[checkpoint] = _disagreeing(one, two)
            else:
                readings[checkpoint] = _weighed(checkpoint, one, two, bands or {})
            continue
        chosen = _from_its_view(checkpoint, one, two)
        if chosen is not None:
            readings[checkpoint] = chosen
    return Joined(readings, tuple(apart))


def _longer_where_cut_off(one: Reading, two: Reading) -> Reading | None:
    """The longer of two spans where the film cut the shorter one off, which then denies nothing and weighs nothing."""
    shorter, longer = sorted((one, two), key=lambda each: each.value)
    return longer if shorter.inputs.get(CUT_OFF) == 1.0 else None


def _from_its_view(
    checkpoint: CheckpointId, one: Reading | Missing | None, two: Reading | Missing | None
) -> Reading | Missing | None:
    """The reading there is, else the reason of the clip that could have shown it."""
    reading = next((each for each in (one, two) if isinstance(each, Reading)), None)
    if reading is not None:
        return reading
    own = two if CHECKPOINTS[checkpoint].views == (View.DOWN_THE_LINE,) else one
    return own or one or two


def _disagreeing(one: Reading, two: Reading) -> Missing:
    return Missing(
        f"The two clips disagree: {one.value:.2f} seen face-on, {two.value:.2f} seen down-the-line. "
        "They are two swings, or one camera stood off its line; the coach decides."
    )


def _weighed(
    checkpoint: CheckpointId, one: Reading, two: Reading, bands: Mapping[CheckpointId, Bands]
) -> Reading:
    surer = one if one.sigma <= two.sigma else two
    if surer.sigma <= 0.0:
        return replace(surer, points={}, inputs={})
    a, b = one.sigma**-2, two.sigma**-2
    value, sigma = (a * one.value + b * two.value) / (a + b), (a + b) ** -0.5
    definition = CHECKPOINTS[checkpoint]
    low, high = interval95(value, sigma, lowest=definition.least, highest=definition.most)
    target = bands.get(checkpoint) or definition.bands
    band = Band.NO_TARGET if target is None else band_of(low, high, target)
    return replace(
        surer, value=value, sigma=sigma, low=low, high=high, band=band, points={}, inputs={}
    )
