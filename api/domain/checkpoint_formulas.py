"""The one formula of each checkpoint, with the terms of its uncertainty.

Called by ``api.domain.checkpoints.evaluate``, which names the inputs and has checked that all are
there. Points are normalised here: a right-hander's picture, pixels, x right, y down.
"""

import math
from collections.abc import Callable, Mapping
from types import MappingProxyType

from api.domain.geometry import (
    MIN_SEGMENT_PX,
    GroundLine,
    butt_end_inside,
    butt_ground_hit,
    lead_arm_shaft_angle,
    length_px,
)
from api.domain.measurement import Missing, Point
from api.domain.names import CheckpointId, Hand, PointName
from api.domain.uncertainty import combine, direction_sigma

NO_GROUND_HIT = (
    "The line through the grip end does not reach the ground: the shaft is level or the clubhead "
    "lies below the grip end, flatter than any number can say."
)

BUTT_BELOW_GROUND = (
    "The grip end lies no higher than the ground at the ball, so it points at no ground."
)

NO_SCALE = "The size of the club in the picture is not known, so nothing scales it."

Terms = dict[str, float]


ANGLE_POINTS = (
    PointName.LEAD_SHOULDER,
    PointName.LEAD_WRIST,
    PointName.BUTT,
    PointName.CLUBHEAD,
)
BUTT_POINTS = (PointName.BUTT, PointName.CLUBHEAD, PointName.BALL)
COMMON_SIGMAS = ("sigma_instant", "sigma_view", "sigma_residual")
TO_INSTANT = "to_instant"
"""Optional input, in the reading's unit: what the value changes from the frame shown to the instant
itself, by its rate. At 30 pictures a second the nearest frame may lie 17 ms off, four degrees."""


def sigma_input(point: PointName) -> str:
    """Name of the input that holds one sigma (pixels, each axis) of ``point``."""
    return f"sigma_px_{point.value}"


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
    return {name.removeprefix("sigma_"): float(inputs[name]) for name in COMMON_SIGMAS}


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
    drawn_deg = lead_arm_shaft_angle(*(points[name] for name in ANGLE_POINTS))
    value = min(max(drawn_deg + inputs.get(TO_INSTANT, 0.0), 0.0), 180.0)
    marking = inputs.get("sigma_marking", 0.0)
    return value, {"points": max(drawn, marking), **_shared_terms(inputs)}


def _butt_end(
    points: Mapping[PointName, Point], inputs: Mapping[str, float], handed: Hand
) -> tuple[float, Terms] | Missing:
    """Distance inside and its error terms, grip lengths."""
    butt, clubhead, ball = (points[name] for name in BUTT_POINTS)
    short = _too_short(points, PointName.BUTT, PointName.CLUBHEAD)
    if short is not None:
        return short
    if inputs["px_per_grip"] <= 0 or inputs["scale_ratio"] <= 0:
        return Missing(NO_SCALE)
    mirrored = -1.0 if handed is Hand.LEFT else 1.0
    line = GroundLine(
        inputs["ground_row_shift_px"],
        mirrored * inputs["baseline_slope"],
        inputs["scale_ratio"],
    )
    value = butt_end_inside(butt, clubhead, ball, px_per_grip=inputs["px_per_grip"], line=line)
    if value is None:
        return Missing(NO_GROUND_HIT if butt[1] <= clubhead[1] else BUTT_BELOW_GROUND)
    drawn = max(_butt_points_sigma(points, inputs, line), _butt_marking_sigma(points, inputs, line))
    return value, {
        "points": drawn,
        "scale": abs(value) * inputs["sigma_scale"],
        "depth": float(inputs["sigma_depth"]),
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
    butt, clubhead, ball = (points[name] for name in BUTT_POINTS)
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
    butt, clubhead, ball = (points[name] for name in BUTT_POINTS)
    hit = butt_ground_hit(butt, clubhead, ball[1] + line.row_shift_px)
    if hit is None:
        return 0.0
    turn = math.radians(inputs.get("sigma_marking", 0.0)) / math.sqrt(2.0)
    per_radian = (hit.row - butt[1]) * (1.0 + hit.per_row**2)
    return turn * per_radian / (inputs["px_per_grip"] * line.scale_ratio)


Formula = Callable[
    [Mapping[PointName, Point], Mapping[str, float], Hand], tuple[float, Terms] | Missing
]
FORMULAS: Mapping[CheckpointId, Formula] = MappingProxyType(
    {
        CheckpointId.LEAD_ARM_SHAFT_ANGLE: _arm_shaft,
        CheckpointId.BUTT_END_INSIDE: _butt_end,
    }
)
