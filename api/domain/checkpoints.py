"""The checkpoints: what each means, what it needs, and its one formula with uncertainty.

``evaluate`` is used by the worker, by the API when a coach moves a point, and (as its twin in
``web/src/geometry``) by the page; ``tests/vectors`` holds all three to the same numbers.
Inputs are named here; both sides of the mirror hand over **original** pixels.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from api.domain.bands import Bands, band_of
from api.domain.geometry import (
    MIN_SEGMENT_PX,
    GroundLine,
    butt_end_inside,
    butt_ground_hit,
    lead_arm_shaft_angle,
    length_px,
)
from api.domain.measurement import Missing, Point, Reading
from api.domain.mirror import normalise_points
from api.domain.names import Band, CheckpointId, Hand, KeyframeId, PointName, Unit, View
from api.domain.uncertainty import combine, direction_sigma, interval95

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

GRIP_LENGTH_M = 0.267
"""Length of the rubber grip, about 10.5 in. Common practice, no published source."""

NO_GROUND_HIT = (
    "The line through the grip end does not reach the ground: the shaft is level or points down "
    "at the clubhead end, flatter than any number can say."
)

Terms = dict[str, float]


@dataclass(frozen=True, slots=True)
class Checkpoint:
    """What a checkpoint is, for people and programs.

    ``points`` must all be on the picture; ``inputs`` are the other numbers ``evaluate`` needs.
    ``bands_source`` says where the default bands come from. ``most`` and ``least`` bound what
    the quantity can be. Above ``withhold_sigma`` no number is given: it could sit in any band.
    """

    id: CheckpointId
    name: str
    meaning: str
    view: View
    keyframe: KeyframeId
    unit: Unit
    points: tuple[PointName, ...]
    inputs: tuple[str, ...]
    bands: Bands
    bands_source: str
    withhold_sigma: float
    least: float = -math.inf
    most: float = math.inf


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


def sigma_input(point: PointName) -> str:
    """Name of the input that holds one sigma (pixels, each axis) of ``point``."""
    return f"sigma_px_{point.value}"


_ANGLE_POINTS = (
    PointName.LEAD_SHOULDER,
    PointName.LEAD_WRIST,
    PointName.BUTT,
    PointName.CLUBHEAD,
)
_BUTT_POINTS = (PointName.BUTT, PointName.CLUBHEAD, PointName.BALL)
_COMMON_SIGMAS = ("sigma_instant", "sigma_view", "sigma_residual")

CHECKPOINTS: Mapping[CheckpointId, Checkpoint] = MappingProxyType(
    {
        CheckpointId.LEAD_ARM_SHAFT_ANGLE: Checkpoint(
            id=CheckpointId.LEAD_ARM_SHAFT_ANGLE,
            name="Lead arm to shaft angle",
            meaning=(
                "The angle between your lead arm and the shaft, as the camera sees it, when the "
                "lead arm is level on the way back. 90 degrees is an upright L; larger means the "
                "wrists have set less, smaller means they have closed more."
            ),
            view=View.FACE_ON,
            keyframe=KeyframeId.LEAD_ARM_PARALLEL,
            unit=Unit.DEGREES,
            points=_ANGLE_POINTS,
            inputs=(*(sigma_input(point) for point in _ANGLE_POINTS), *_COMMON_SIGMAS),
            bands=Bands(watch_low=70.0, good_low=80.0, good_high=100.0, watch_high=112.0),
            bands_source="common practice, no published source",
            withhold_sigma=20.0,
            least=0.0,
            most=180.0,
        ),
        CheckpointId.BUTT_END_INSIDE: Checkpoint(
            id=CheckpointId.BUTT_END_INSIDE,
            name="Where the grip end points",
            meaning=(
                "Prolong the shaft beyond the grip end down to the ground: how far that spot lies "
                "from the ball-target line towards you, in grip lengths, when the lead arm is "
                "level on the way back. 0 is on the line, 1 is one grip length nearer your toes."
            ),
            view=View.DOWN_THE_LINE,
            keyframe=KeyframeId.LEAD_ARM_PARALLEL,
            unit=Unit.GRIP_LENGTHS,
            points=_BUTT_POINTS,
            inputs=(
                *(sigma_input(point) for point in _BUTT_POINTS),
                *_COMMON_SIGMAS,
                "px_per_grip",
                "ground_row_shift_px",
                "scale_ratio",
                "baseline_slope",
                "sigma_depth",
                "sigma_scale",
            ),
            bands=Bands(watch_low=-0.5, good_low=0.0, good_high=1.0, watch_high=1.75),
            bands_source="0 to 1: common practice, no published source; watch limits: working",
            withhold_sigma=1.0,
        ),
    }
)

_POINT_WORDS: dict[PointName, str] = {
    PointName.LEAD_SHOULDER: "lead shoulder",
    PointName.LEAD_ELBOW: "lead elbow",
    PointName.LEAD_WRIST: "lead wrist",
    PointName.TRAIL_SHOULDER: "trail shoulder",
    PointName.TRAIL_WRIST: "trail wrist",
    PointName.BUTT: "grip end",
    PointName.CLUBHEAD: "clubhead",
    PointName.BALL: "ball",
}


def point_words(point: PointName) -> str:
    """A point's name as people say it."""
    return _POINT_WORDS[point]


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

    ``inputs``, both checkpoints: ``sigma_px_<point>`` one sigma of each needed point (pixels, each
    axis); ``sigma_instant``, ``sigma_view``, ``sigma_residual`` one sigma in the reading's unit;
    optional ``sigma_marking`` (degrees), the least sigma of a hand-marked angle.

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
    measured = _FORMULAS[checkpoint](normalise_points(needed, handed, width_px), inputs, handed)
    if isinstance(measured, Missing):
        return measured
    return _judge(definition, *measured, bands or definition.bands)


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
        return Missing("The size of the club in the picture is not known, so nothing scales it.")
    if unknown:
        return Missing(f"Not known, so no honest uncertainty can be given: {', '.join(unknown)}.")
    negative = [name for name in inputs if name.startswith("sigma_") and inputs[name] < 0]
    if negative:
        message = f"a sigma cannot be negative: {', '.join(negative)}"
        raise ValueError(message)
    return None


def _judge(definition: Checkpoint, value: float, terms: Terms, bands: Bands) -> Value | Missing:
    """Sum the error terms, and give the number its interval and band, or withhold it."""
    sigma = combine(*terms.values())
    if sigma > definition.withhold_sigma:
        return Missing("Too uncertain to give a number: it could lie in any band.")
    low, high = interval95(value, sigma, lowest=definition.least, highest=definition.most)
    band = band_of(low, high, bands)
    return Value(value, sigma, low, high, definition.unit, band, MappingProxyType(terms))


def _segment_sigma(
    points: Mapping[PointName, Point],
    inputs: Mapping[str, float],
    start: PointName,
    end: PointName,
) -> float:
    """One sigma, degrees, of the direction from ``start`` to ``end``."""
    return direction_sigma(
        points[start], points[end], inputs[sigma_input(start)], inputs[sigma_input(end)]
    )


def _too_short(
    points: Mapping[PointName, Point], start: PointName, end: PointName
) -> Missing | None:
    if length_px(points[start], points[end]) >= MIN_SEGMENT_PX:
        return None
    return Missing(
        f"{point_words(start).capitalize()} and {point_words(end)} fall on the same spot of the "
        "picture, so they give no direction."
    )


def _shared_terms(inputs: Mapping[str, float]) -> Terms:
    return {name.removeprefix("sigma_"): inputs[name] for name in _COMMON_SIGMAS}


def _arm_shaft(
    points: Mapping[PointName, Point], inputs: Mapping[str, float], handed: Hand
) -> tuple[float, Terms] | Missing:
    """Angle and its error terms, degrees. Four separate points: no vertex is shared."""
    del handed  # an unsigned angle is the same on both sides of the mirror
    short = _too_short(points, PointName.LEAD_WRIST, PointName.LEAD_SHOULDER) or _too_short(
        points, PointName.BUTT, PointName.CLUBHEAD
    )
    if short is not None:
        return short
    drawn = combine(
        _segment_sigma(points, inputs, PointName.LEAD_WRIST, PointName.LEAD_SHOULDER),
        _segment_sigma(points, inputs, PointName.BUTT, PointName.CLUBHEAD),
    )
    value = lead_arm_shaft_angle(*(points[name] for name in _ANGLE_POINTS))
    marking = inputs.get("sigma_marking", 0.0)
    return value, {"points": max(drawn, marking), **_shared_terms(inputs)}


def _butt_end(
    points: Mapping[PointName, Point], inputs: Mapping[str, float], handed: Hand
) -> tuple[float, Terms] | Missing:
    """Distance inside and its error terms, grip lengths."""
    butt, clubhead, ball = (points[name] for name in _BUTT_POINTS)
    short = _too_short(points, PointName.BUTT, PointName.CLUBHEAD)
    if short is not None:
        return short
    if inputs["px_per_grip"] <= 0 or inputs["scale_ratio"] <= 0:
        return Missing("The size of the club in the picture is not known, so nothing scales it.")
    mirrored = -1.0 if handed is Hand.LEFT else 1.0
    line = GroundLine(
        inputs["ground_row_shift_px"],
        mirrored * inputs["baseline_slope"],
        inputs["scale_ratio"],
    )
    value = butt_end_inside(butt, clubhead, ball, px_per_grip=inputs["px_per_grip"], line=line)
    if value is None:
        return Missing(NO_GROUND_HIT)
    drawn = max(_butt_points_sigma(points, inputs, line), _butt_marking_sigma(points, inputs, line))
    return value, {
        "points": drawn,
        "scale": abs(value) * inputs["sigma_scale"],
        "depth": inputs["sigma_depth"],
        **_shared_terms(inputs),
    }


def _butt_points_sigma(
    points: Mapping[PointName, Point], inputs: Mapping[str, float], line: GroundLine
) -> float:
    """One sigma, grip lengths, from the three points: the gradient of the hit's column.

    With m = sideways per row, f = fall from clubhead to butt, h = rows from butt to ground: the
    butt moves the hit by (1 + h/f) * (1, -m), the clubhead by (-h/f) * (1, -m), the ball's row by
    m and the ball's column by 1 the other way.
    """
    butt, clubhead, ball = (points[name] for name in _BUTT_POINTS)
    fall = butt[1] - clubhead[1]
    lever = (ball[1] + line.row_shift_px - butt[1]) / fall
    tilt = (butt[0] - clubhead[0]) / fall
    oblique = math.hypot(1.0, tilt)
    spread_px = combine(
        (1.0 + lever) * oblique * inputs[sigma_input(PointName.BUTT)],
        lever * oblique * inputs[sigma_input(PointName.CLUBHEAD)],
        oblique * inputs[sigma_input(PointName.BALL)],
    )
    return spread_px / (inputs["px_per_grip"] * line.scale_ratio)


def _butt_marking_sigma(
    points: Mapping[PointName, Point], inputs: Mapping[str, float], line: GroundLine
) -> float:
    """Least sigma, grip lengths, of a hand-marked shaft.

    ``sigma_marking`` is for an angle between two lines; one line carries 1/sqrt(2) of it. The hit
    moves by (length from butt to hit) * (1 / sine of the pitch) per radian.
    """
    butt, clubhead, ball = (points[name] for name in _BUTT_POINTS)
    hit = butt_ground_hit(butt, clubhead, ball[1] + line.row_shift_px)
    if hit is None:
        return 0.0
    turn = math.radians(inputs.get("sigma_marking", 0.0)) / math.sqrt(2.0)
    per_radian = (hit.row - butt[1]) * (1.0 + hit.per_row**2)
    return turn * per_radian / (inputs["px_per_grip"] * line.scale_ratio)


_Formula = Callable[
    [Mapping[PointName, Point], Mapping[str, float], Hand], tuple[float, Terms] | Missing
]
_FORMULAS: Mapping[CheckpointId, _Formula] = MappingProxyType(
    {
        CheckpointId.LEAD_ARM_SHAFT_ANGLE: _arm_shaft,
        CheckpointId.BUTT_END_INSIDE: _butt_end,
    }
)
