"""The one formula of each checkpoint, with the terms of its uncertainty.

Called by ``api.domain.checkpoints.evaluate``, which names the inputs and has checked that all are
there. Points are normalised here: a right-hander's picture, pixels, x right, y down.
"""

import math
from collections.abc import Mapping
from types import MappingProxyType

from api.domain.checkpoint_ids import CheckpointId
from api.domain.geometry import (
    MIN_SEGMENT_PX,
    GroundLine,
    arm_shaft_turn,
    butt_end_inside,
    butt_ground_hit,
    lead_arm_shaft_angle,
    length_px,
)
from api.domain.measurement import Missing, Point
from api.domain.names import Hand, PointName
from api.domain.picture_formulas import (
    COMMON_SIGMAS,
    LEAST_SET_DEG,
    TO_IDEAL,
    TO_INSTANT,
    TOO_LITTLE_SET,
    Formula,
    Pair,
    Picture,
    Terms,
    across,
    added,
    bend,
    between,
    in_space,
    pitch,
    shared_terms,
    sigma_input,
    span,
    tempo,
    tilt,
    turn,
)
from api.domain.uncertainty import combine, direction_sigma

__all__ = [
    "COMMON_SIGMAS",
    "FORMULAS",
    "NO_GROUND_HIT",
    "NO_SCALE",
    "TO_IDEAL",
    "TO_INSTANT",
    "point_words",
    "sigma_input",
]

NO_GROUND_HIT = (
    "The line through the grip end does not reach the ground: the shaft is level or the clubhead "
    "lies below the grip end, flatter than any number can say."
)

BUTT_BELOW_GROUND = (
    "The grip end lies no higher than the ground at the ball, so it points at no ground."
)

NO_SCALE = "The size of the club in the picture is not known, so nothing scales it."

ANGLE_POINTS = (
    PointName.LEAD_SHOULDER,
    PointName.LEAD_WRIST,
    PointName.BUTT,
    PointName.CLUBHEAD,
)
BUTT_POINTS = (PointName.BUTT, PointName.CLUBHEAD, PointName.BALL)
HIPS: Pair = (PointName.LEAD_HIP, PointName.TRAIL_HIP)
SHOULDERS: Pair = (PointName.LEAD_SHOULDER, PointName.TRAIL_SHOULDER)
HANDS: Pair = (PointName.LEAD_WRIST, PointName.TRAIL_WRIST)
EARS: Pair = (PointName.LEAD_EAR, PointName.TRAIL_EAR)

_POINT_WORDS: dict[PointName, str] = {
    PointName.LEAD_SHOULDER: "lead shoulder",
    PointName.LEAD_ELBOW: "lead elbow",
    PointName.LEAD_WRIST: "lead wrist",
    PointName.TRAIL_SHOULDER: "trail shoulder",
    PointName.TRAIL_WRIST: "trail wrist",
    PointName.LEAD_EAR: "lead ear",
    PointName.TRAIL_EAR: "trail ear",
    PointName.LEAD_HIP: "lead hip",
    PointName.TRAIL_HIP: "trail hip",
    PointName.TRAIL_KNEE: "trail knee",
    PointName.LEAD_ANKLE: "lead ankle",
    PointName.TRAIL_ANKLE: "trail ankle",
    PointName.TRAIL_TOE: "trail toe",
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


def _arm_shaft(
    points: Mapping[PointName, Point], inputs: Mapping[str, float], picture: Picture
) -> tuple[float, Terms] | Missing:
    """Angle and its error terms, degrees. Four separate points: no vertex is shared."""
    del picture  # an unsigned angle is the same on both sides of the mirror
    short = _arm_or_shaft_too_short(points)
    if short is not None:
        return short
    drawn = _arm_shaft_sigma(points, inputs)
    drawn_deg = lead_arm_shaft_angle(*(points[name] for name in ANGLE_POINTS))
    value = min(max(drawn_deg + added(inputs), 0.0), 180.0)
    marking = inputs.get("sigma_marking", 0.0)
    return value, {"points": max(drawn, marking), **shared_terms(inputs)}


def _arm_or_shaft_too_short(points: Mapping[PointName, Point]) -> Missing | None:
    return _too_short(points, PointName.LEAD_WRIST, PointName.LEAD_SHOULDER) or _too_short(
        points, PointName.BUTT, PointName.CLUBHEAD
    )


def _arm_shaft_sigma(points: Mapping[PointName, Point], inputs: Mapping[str, float]) -> float:
    """One sigma, degrees, of the angle between the lead arm's line and the shaft."""
    return combine(
        _segment_sigma(points, inputs, PointName.LEAD_WRIST, PointName.LEAD_SHOULDER),
        _segment_sigma(points, inputs, PointName.BUTT, PointName.CLUBHEAD),
    )


def _set_share(
    points: Mapping[PointName, Point], inputs: Mapping[str, float], picture: Picture
) -> tuple[float, Terms] | Missing:
    """Share of the wrist set used when the hands pass the trail leg; 0 none, 1 all of it.

    ``address_deg`` and ``parallel_deg``: the turn from arm to shaft at address and at lead arm
    parallel, degrees in [0, 360), so that a shaft past the straight line does not fold back.
    """
    del picture
    short = _arm_or_shaft_too_short(points)
    if short is not None:
        return short
    whole = inputs["address_deg"] - inputs["parallel_deg"]
    if abs(whole) < LEAST_SET_DEG:
        return Missing(TOO_LITTLE_SET)
    here = arm_shaft_turn(*(points[name] for name in ANGLE_POINTS))
    share = (inputs["address_deg"] - here) / whole
    drawn = max(_arm_shaft_sigma(points, inputs), inputs.get("sigma_marking", 0.0))
    return share + added(inputs), {
        "points": drawn / abs(whole),
        "address": abs(1.0 - share) * inputs["sigma_address"] / abs(whole),
        "parallel": abs(share) * inputs["sigma_parallel"] / abs(whole),
        **shared_terms(inputs),
    }


def _set_kept(
    points: Mapping[PointName, Point], inputs: Mapping[str, float], picture: Picture
) -> tuple[float, Terms] | Missing:
    """Angle coming down less the angle going back, degrees: 0 kept, above let go."""
    found = _arm_shaft(points, inputs, picture)
    if isinstance(found, Missing):
        return found
    value, terms = found
    return value - inputs["reference_deg"], {**terms, "reference": inputs["sigma_reference"]}


def _butt_end(
    points: Mapping[PointName, Point], inputs: Mapping[str, float], picture: Picture
) -> tuple[float, Terms] | Missing:
    """Distance inside and its error terms, grip lengths."""
    butt, clubhead, ball = (points[name] for name in BUTT_POINTS)
    short = _too_short(points, PointName.BUTT, PointName.CLUBHEAD)
    if short is not None:
        return short
    if inputs["px_per_grip"] <= 0 or inputs["scale_ratio"] <= 0:
        return Missing(NO_SCALE)
    mirrored = -1.0 if picture.handed is Hand.LEFT else 1.0
    line = GroundLine(
        inputs["ground_row_shift_px"],
        mirrored * inputs["baseline_slope"],
        inputs["scale_ratio"],
    )
    value = butt_end_inside(butt, clubhead, ball, px_per_grip=inputs["px_per_grip"], line=line)
    if value is None:
        return Missing(NO_GROUND_HIT if butt[1] <= clubhead[1] else BUTT_BELOW_GROUND)
    drawn = max(_butt_points_sigma(points, inputs, line), _butt_marking_sigma(points, inputs, line))
    return value + added(inputs), {
        "points": drawn,
        "scale": abs(value) * inputs["sigma_scale"],
        "depth": float(inputs["sigma_depth"]),
        **shared_terms(inputs),
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


_ELBOW = bend(PointName.LEAD_SHOULDER, PointName.LEAD_ELBOW, PointName.LEAD_WRIST)
_CHEST = turn(PointName.LEAD_SHOULDER, PointName.TRAIL_SHOULDER)
_PELVIS = turn(PointName.LEAD_HIP, PointName.TRAIL_HIP)
_SIDE = tilt(HIPS, SHOULDERS, -1.0)  # away from the target is the picture's left
_FORWARD = tilt(HIPS, SHOULDERS, 1.0, change=True)
_PITCH = pitch(PointName.BUTT, PointName.CLUBHEAD)
_DEPTH = across(HANDS, -1.0, since=(PointName.TRAIL_TOE,))

FORMULAS: Mapping[CheckpointId, Formula] = MappingProxyType(
    {
        CheckpointId.LEAD_ARM_SHAFT_ANGLE: _arm_shaft,
        CheckpointId.BUTT_END_INSIDE: _butt_end,
        CheckpointId.SET_BEFORE_TRAIL_LEG: _set_share,
        CheckpointId.LEAD_ARM_SHAFT_ANGLE_AT_TOP: _arm_shaft,
        CheckpointId.WRIST_SET_KEPT: _set_kept,
        CheckpointId.START_ORDER: span,
        CheckpointId.TRIGGER_SHIFT: across(HIPS, -1.0),
        CheckpointId.CHEST_TURN_AT_PARALLEL: _CHEST,
        CheckpointId.CHEST_TURN: _CHEST,
        CheckpointId.PELVIS_TURN_AT_PARALLEL: _PELVIS,
        CheckpointId.PELVIS_TURN: _PELVIS,
        CheckpointId.PELVIS_SWAY: across(HIPS, 1.0),
        CheckpointId.HEAD_SWAY: across(EARS, 1.0),
        CheckpointId.LEAD_ELBOW_BEND: _ELBOW,
        CheckpointId.LEAD_ELBOW_BEND_AT_TOP: _ELBOW,
        CheckpointId.SPINE_SIDE_TILT_AT_ADDRESS: _SIDE,
        CheckpointId.SPINE_SIDE_TILT: _SIDE,
        CheckpointId.SPINE_SIDE_TILT_AT_IMPACT: _SIDE,
        CheckpointId.BALL_POSITION: between(
            PointName.BALL, PointName.TRAIL_ANKLE, PointName.LEAD_ANKLE
        ),
        CheckpointId.HANDS_OVER_TRAIL_SHOULDER: across(
            HANDS, 1.0, since=(PointName.TRAIL_SHOULDER,)
        ),
        CheckpointId.SHAFT_PITCH_AT_ADDRESS: _PITCH,
        CheckpointId.SHAFT_PITCH: _PITCH,
        CheckpointId.SHAFT_PITCH_COMING_DOWN: _PITCH,
        CheckpointId.SHAFT_PITCH_AT_DELIVERY: _PITCH,
        CheckpointId.CLUBHEAD_INSIDE_EARLY: across((PointName.CLUBHEAD,), 1.0, since=HANDS),
        CheckpointId.HAND_DEPTH: _DEPTH,
        CheckpointId.HAND_DEPTH_AT_TOP: _DEPTH,
        CheckpointId.HANDS_IN_FRONT: in_space,
        CheckpointId.PATH_OUTSIDE: across(HANDS, 1.0),
        CheckpointId.SHAFT_AT_TOP: in_space,
        CheckpointId.SPINE_TILT: tilt(HIPS, SHOULDERS, 1.0),
        CheckpointId.SPINE_TILT_CHANGE_AT_PARALLEL: _FORWARD,
        CheckpointId.SPINE_TILT_CHANGE_AT_TOP: _FORWARD,
        CheckpointId.SPINE_TILT_CHANGE_AT_IMPACT: _FORWARD,
        CheckpointId.KNEE_FLEX: bend(
            PointName.TRAIL_HIP, PointName.TRAIL_KNEE, PointName.TRAIL_ANKLE
        ),
        CheckpointId.TEMPO_RATIO: tempo,
        CheckpointId.PAUSE_LENGTH: span,
        CheckpointId.FINISH_HOLD: span,
    }
)
