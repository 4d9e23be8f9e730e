"""The checkpoints: what each means, what it needs, and its one formula with uncertainty.

``evaluate`` is used by the worker, by the API when a coach moves a point, and (as its twin in
``web/src/geometry``) by the page; ``tests/vectors`` holds all three to the same numbers.
Inputs are named here; both sides of the mirror hand over **original** pixels.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from api.domain.bands import Bands, band_of
from api.domain.checkpoint_formulas import (
    FORMULAS,
    NO_GROUND_HIT,
    NO_SCALE,
    point_words,
    sigma_input,
)
from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoint_table import CHECKPOINTS, Checkpoint
from api.domain.measurement import Missing, Point, Reading
from api.domain.mirror import normalise_points
from api.domain.names import Band, Hand, PointName, Unit
from api.domain.picture_formulas import NO_UNIT, Picture, Terms
from api.domain.uncertainty import combine, interval95

__all__ = [
    "CHECKPOINTS",
    "COACH_MARKING_SIGMA_DEG",
    "COACH_POINT_SIGMA_PX",
    "NO_GROUND_HIT",
    "Checkpoint",
    "Value",
    "evaluate",
    "judge",
    "point_words",
    "sigma_input",
    "to_reading",
]

COACH_POINT_SIGMA_PX = 4.0
"""One sigma of a point a coach places, pixels, each axis.

On an ordinary clip (arm 200 px, shaft 300 px) it makes 1.95 degrees, between the published
1.6 (one person again) and 2.6 (two people) of ``COACH_MARKING_SIGMA_DEG``'s source.
"""

COACH_MARKING_SIGMA_DEG = 2.6
"""Least sigma of an angle marked by hand: standard error between people, two-dimensional angles.

Guadagnin et al. 2025, Braz. J. Motor Behav. 19(1), abstract: 1.6 within one person, 2.6 between.
It is a floor: on a large picture four pixels alone would promise more than people can do.
"""


@dataclass(frozen=True, slots=True)
class Value:
    """A checkpoint's value. ``low`` and ``high`` bound the 95 % interval.

    ``terms`` are the one-sigma parts that make up ``sigma``, each in the value's unit.
    """

    value: float
    sigma: float
    low: float
    high: float
    unit: Unit
    band: Band
    terms: Mapping[str, float]


def evaluate(
    checkpoint: CheckpointId,
    points: Mapping[PointName, Point],
    inputs: Mapping[str, float],
    *,
    handed: Hand,
    width_px: int,
    bands: Bands | None = None,
) -> Value | Missing:
    """Value, uncertainty and band of a checkpoint from points on one picture, or why there is none.

    ``points``: upright display pixels of the original clip, never mirrored; a left-hander's are
    mirrored here, with ``width_px`` the picture's width. ``bands`` replaces the default bands.

    ``inputs``, all checkpoints: ``sigma_px_<point>`` one sigma of each needed point (pixels, each
    axis); ``sigma_instant``, ``sigma_view``, ``sigma_residual`` one sigma in the reading's unit;
    optional ``sigma_marking`` (degrees), the least sigma of a hand-marked angle, and ``to_instant`` and
    ``to_ideal`` (the reading's unit), added to what the points show: from the frame to the instant, and
    from the camera that filmed to the ideal one. The other inputs are named in ``picture_formulas``.

    ``inputs``, butt_end_inside, as seen in the **original** picture: ``px_per_grip`` pixels per
    grip length at the ball; ``ground_row_shift_px`` rows by which the ground at the hit point lies
    below the ball's row; ``scale_ratio`` D / (D - x_h); ``baseline_slope`` sideways pixels per row
    downwards along the ball-target line (its sign flips under the mirror: done here);
    ``sigma_depth`` grip lengths, what the depth correction leaves; ``sigma_scale`` one sigma of
    ``px_per_grip`` as a share of it.

    Uncertainty: one sigma, first order, see ``api.domain.uncertainty``; interval 95 %.
    """
    definition = CHECKPOINTS[checkpoint]
    lacking = _lacking(definition, points, inputs)
    if lacking is not None:
        return lacking
    needed = {name: points[name] for name in definition.points}
    measured = FORMULAS[checkpoint](
        normalise_points(needed, handed, width_px), inputs, Picture(handed, width_px)
    )
    if isinstance(measured, Missing):
        return measured
    return judge(definition, *measured, bands or definition.bands)


def to_reading(
    value: Value, *, frame: int, points: Mapping[PointName, Point], inputs: Mapping[str, float]
) -> Reading:
    """A ``Reading`` of the measurement contract: the value plus what it was computed from."""
    return Reading(
        value=value.value,
        sigma=value.sigma,
        low=value.low,
        high=value.high,
        unit=value.unit,
        band=value.band,
        frame=frame,
        points=dict(points),
        inputs=dict(inputs),
    )


def _lacking(
    definition: Checkpoint, points: Mapping[PointName, Point], inputs: Mapping[str, float]
) -> Missing | None:
    """What ``evaluate`` would need and has not got, in words; ``None`` when all is there."""
    unseen = [
        point_words(name)
        for name in definition.points
        if name not in points or not all(math.isfinite(part) for part in points[name])
    ]
    if unseen:
        return Missing(f"Not found in the picture: {', '.join(unseen)}.")
    unknown = [name for name in definition.inputs if not math.isfinite(inputs.get(name, math.nan))]
    if "px_per_grip" in unknown:
        return Missing(NO_SCALE)
    if "px_per_unit" in unknown or "address_width_px" in unknown:
        return Missing(NO_UNIT)
    if unknown:
        return Missing(f"Part of its uncertainty is not known, so no number: {', '.join(unknown)}.")
    negative = [name for name in inputs if name.startswith("sigma_") and inputs[name] < 0]
    if negative:
        message = f"a sigma cannot be negative: {', '.join(negative)}"
        raise ValueError(message)
    return None


def judge(
    definition: Checkpoint, value: float, terms: Terms, bands: Bands | None
) -> Value | Missing:
    """Sum the error terms (one sigma each), and give the number its interval and band, or withhold it.

    ``value`` and ``terms`` in the checkpoint's unit; ``bands`` as they are, ``None`` for no target.
    """
    sigma = combine(*terms.values())
    value = min(max(value, definition.least), definition.most)
    if sigma > definition.withhold_sigma:
        return Missing("Too uncertain to give a number: it could lie in any band.")
    low, high = interval95(value, sigma, lowest=definition.least, highest=definition.most)
    band = Band.NO_TARGET if bands is None else band_of(low, high, bands)
    return Value(value, sigma, low, high, definition.unit, band, dict(terms))
