"""Directions, angles, crossings and the butt end's ground point, in one picture.

Convention for the whole file: points are (x, y) in upright display pixels, x right, y **down**,
already normalised for handedness (see ``api.domain.mirror``), so every formula is written for a
right-hander. Angles are degrees; radians never leave a function.
"""

import math
from dataclasses import dataclass

from api.domain.measurement import Point

MIN_SEGMENT_PX = 8.0
"""Shorter segments have no direction worth the name: one pixel turns them by seven degrees."""

HALF_TURN_DEG = 180.0
FULL_TURN_DEG = 360.0


def length_px(start: Point, end: Point) -> float:
    """Distance from ``start`` to ``end``, pixels."""
    return math.hypot(end[0] - start[0], end[1] - start[1])


def direction(start: Point, end: Point) -> float:
    """Direction of the segment ``start`` -> ``end``.

    Convention: degrees in (-180, 180]; 0 points to the picture's right, 90 **up** (so ``y`` is
    negated), -90 down, 180 left. Two equal points give 0: check ``length_px`` first.
    """
    # Adding 0.0 turns -0.0 into 0.0, so that a level segment to the left is 180 and never -180.
    rise = -(end[1] - start[1]) + 0.0
    return math.degrees(math.atan2(rise, end[0] - start[0]))


def elevation(start: Point, end: Point) -> float:
    """How far the segment ``start`` -> ``end`` points above level.

    Convention: degrees in [-90, 90]; up positive; left and right are not told apart.
    """
    return math.degrees(math.atan2(-(end[1] - start[1]), abs(end[0] - start[0])))


def wrap360(angle_deg: float) -> float:
    """The same direction, degrees in [0, 360)."""
    wrapped = angle_deg % FULL_TURN_DEG
    return 0.0 if wrapped == FULL_TURN_DEG else wrapped  # -1e-17 % 360 is 360.0 in floats


def wrap180(angle_deg: float) -> float:
    """The same direction, degrees in (-180, 180]."""
    wrapped = wrap360(angle_deg)
    return wrapped - FULL_TURN_DEG if wrapped > HALF_TURN_DEG else wrapped


def angle_between(first_deg: float, second_deg: float) -> float:
    """Unsigned angle between two directions.

    Convention: degrees in [0, 180]; by wrapping the difference, never by ``acos`` of a rounded
    dot product, which loses half its digits near 0 and 180.
    """
    return abs(wrap180(first_deg - second_deg))


def angle_at(vertex: Point, first: Point, second: Point) -> float:
    """Angle at ``vertex`` between the rays to ``first`` and to ``second``.

    Convention: unsigned, degrees in [0, 180]; 180 means the rays are opposed (a straight limb).
    """
    return angle_between(direction(vertex, first), direction(vertex, second))


def arm_shaft_turn(lead_shoulder: Point, lead_wrist: Point, butt: Point, clubhead: Point) -> float:
    """Turn from the lead arm's line to the shaft, with its sense kept.

    Convention: degrees in [0, 360), ``wrap360(direction(butt, clubhead) -
    direction(lead_wrist, lead_shoulder))`` for the normalised (right-handed) picture. About 180
    at address, 90 when set to an upright L, below 90 narrower; over 180 the shaft has passed the
    straight line.
    """
    return wrap360(direction(butt, clubhead) - direction(lead_wrist, lead_shoulder))


def lead_arm_shaft_angle(
    lead_shoulder: Point, lead_wrist: Point, butt: Point, clubhead: Point
) -> float:
    """Angle between the lead arm (lead wrist -> lead shoulder) and the shaft (butt -> clubhead).

    Convention: unsigned, degrees in [0, 180]; 180 is arm and shaft in one line, 90 an upright L.
    What an ideally placed face-on camera sees, not the angle in space. The elbow plays no part.
    """
    turn = arm_shaft_turn(lead_shoulder, lead_wrist, butt, clubhead)
    return min(turn, FULL_TURN_DEG - turn)


def crossing_time(before_s: float, before: float, after_s: float, after: float) -> float | None:
    """Time at which a signal crosses zero between two samples, by a straight line.

    Convention: seconds on the clock of the samples. ``None`` when both samples lie on the same
    side of zero, or the times do not increase. A sample of exactly zero is the crossing.
    """
    if after_s <= before_s or before * after > 0:
        return None
    if before == after:  # both exactly zero: the first of them
        return before_s
    return before_s + (after_s - before_s) * before / (before - after)


@dataclass(frozen=True, slots=True)
class GroundHit:
    """Where the shaft's line, prolonged beyond the butt end, meets a ground row.

    ``x`` and ``row`` are pixels. ``per_row`` is the line's sideways move per row downwards.
    """

    x: float
    row: float
    per_row: float


def butt_ground_hit(butt: Point, clubhead: Point, ground_row: float) -> GroundHit | None:
    """Prolong clubhead -> butt beyond the butt end down to the picture row ``ground_row``.

    Convention: pixels, y down. ``None`` is "no ground hit": the prolonged line is level or rises,
    or the butt end is already at or below that row.
    """
    fall = butt[1] - clubhead[1]
    if fall <= 0 or butt[1] >= ground_row:
        return None
    per_row = (butt[0] - clubhead[0]) / fall
    return GroundHit(butt[0] + (ground_row - butt[1]) * per_row, ground_row, per_row)


@dataclass(frozen=True, slots=True)
class GroundLine:
    """The ball-target line as seen, corrected for the hit point being nearer than the ball.

    ``row_shift_px``: rows by which the ground at the hit point lies below the ball's row.
    ``slope``: sideways pixels per row downwards along the ball-target line.
    ``scale_ratio``: pixels per metre at the hit point over pixels per metre at the ball.
    The defaults are the first estimate: no correction.
    """

    row_shift_px: float = 0.0
    slope: float = 0.0
    scale_ratio: float = 1.0


def depth_corrected_line(
    ball: Point,
    vanishing_point: Point,
    *,
    camera_to_ball_m: float,
    nearer_m: float,
) -> GroundLine:
    """Correct the ball-target line for a hit point ``nearer_m`` nearer the lens than the ball.

    Convention: ``vanishing_point`` is where the ball-target line meets the horizon, its y is the
    horizon's row; ``row = horizon + (ball row - horizon) * D / (D - nearer)``, and the scale
    grows by the same ratio (pinhole lens over level ground). Needs ``nearer_m < camera_to_ball_m``
    and a ball below the horizon, else ``ValueError``.
    """
    if not 0 <= nearer_m < camera_to_ball_m:
        message = f"the hit point ({nearer_m} m) must lie between lens and ball"
        raise ValueError(message)
    below_horizon = ball[1] - vanishing_point[1]
    if below_horizon <= 0:
        message = "the ball must lie below the horizon"
        raise ValueError(message)
    ratio = camera_to_ball_m / (camera_to_ball_m - nearer_m)
    slope = (ball[0] - vanishing_point[0]) / below_horizon
    return GroundLine(below_horizon * (ratio - 1.0), slope, ratio)


def butt_end_inside(
    butt: Point,
    clubhead: Point,
    ball: Point,
    *,
    px_per_grip: float,
    line: GroundLine | None = None,
) -> float | None:
    """Where the butt end points on the ground, from the ball-target line towards the golfer.

    Convention: grip lengths; 0 is the ball line, positive inside (the golfer's side: picture left
    in a normalised down-the-line clip). ``px_per_grip`` is at the ball's distance. ``None`` is
    "no ground hit" (see ``butt_ground_hit``).
    """
    ground = line or GroundLine()
    hit = butt_ground_hit(butt, clubhead, ball[1] + ground.row_shift_px)
    if hit is None:
        return None
    line_x = ball[0] + ground.slope * ground.row_shift_px
    return (line_x - hit.x) / (px_per_grip * ground.scale_ratio)
