"""Where the lead wrist is and how the club points at each key pose.

A hold is the lead wrist's place from the lead shoulder (3,), metres, and the club's frame (3, 3):
z from butt to head, x out of the face. Address and impact are solved so that the face meets the ball;
lead arm parallel so that the angle and the butt end are what the dials ask for.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq, root

from api.domain.equipment import BALL_DIAMETER_M
from tests.studio.body import Body
from tests.studio.club import Club
from tests.studio.dials import ClubName, SwingDials
from tests.studio.pose import ClubPoint
from tests.studio.swing.keys import Phase
from tests.studio.swing.skeleton import LEAD_GRIP_AT_M, Skeleton
from tests.studio.swing.turns import Matrix, Vector, about, between, cross, frame, unit

BALL_RADIUS_M = BALL_DIAMETER_M / 2.0
TEE_M = 0.035
BEHIND_BALL_M = 0.012
FACE_AT_REST_M = 0.030
"""Middle of a driver's face above the ground with its sole down."""

TAKEAWAY_PHASE, TAKEAWAY_HEIGHT_M, EARLY_HEIGHT_M = 0.5, 0.11, 0.75
"""Half-way to the trail leg the clubhead is still low."""

DOWN_DEEPER_M = 0.32
"""Hands further inside coming down than they were at address: seen face-on the lead arm is then
about 0.82 as wide as going up, the median of 38 annotated real swings."""

SHAFT_LEAN = {
    ClubName.DRIVER: 0.06,
    ClubName.IRON_5: -0.02,
    ClubName.IRON_7: -0.03,
    ClubName.WEDGE: -0.04,
}
"""Target part of the shaft's direction at address: irons have the hands a little ahead."""

TOE_UP_DEG = 3.0
"""Shaft below the club's lie at address: hands hang a little low and the toe is up."""

ADDRESS_ELBOW_DEG = 22.0
"""Arms hang softly at address; the trail hand, lower on the grip, could not reach otherwise."""

IMPACT_LEAN = {
    ClubName.DRIVER: 0.0,
    ClubName.IRON_5: -0.10,
    ClubName.IRON_7: -0.12,
    ClubName.WEDGE: -0.14,
}
IMPACT_HIGHER_DEG = 5.0
"""Shaft steeper at impact than at address: the hands come back a little higher and further out."""


@dataclass(frozen=True, slots=True)
class Hold:
    """Lead wrist from lead shoulder (3,), and the club's frame (3, 3)."""

    wrist: Vector
    club: Matrix


class Grip:
    """How the lead hand sits on this club: what takes a wrist to a butt end and back."""

    def __init__(self, body: Body, club: Club) -> None:
        rest, held = Skeleton(body).grip_frames("lead")
        self._offset = rest.T @ (body.joint("wrist.L") - held)
        self._face = club.points[ClubPoint.FACE]
        self.arm_m = body.length("upperarm01.L", "lowerarm01.L") + body.length(
            "lowerarm01.L", "wrist.L"
        )
        self.bones_m = (
            body.length("upperarm01.L", "lowerarm01.L"),
            body.length("lowerarm01.L", "wrist.L"),
        )

    def wrist_from_butt(self, club: Matrix) -> Vector:
        """Lead wrist less butt end, world, (3,)."""
        offset: Vector = club[:, 2] * LEAD_GRIP_AT_M + club @ self._offset
        return offset

    def face_from_wrist(self, club: Matrix) -> Vector:
        """Middle of the face less lead wrist, world, (3,)."""
        offset: Vector = club @ self._face - self.wrist_from_butt(club)
        return offset

    def span_m(self, elbow_bend_deg: float) -> float:
        """Shoulder to wrist with the elbow bent by so many degrees (0 is straight), metres."""
        first, second = self.bones_m
        bend = np.cos(np.radians(elbow_bend_deg))
        return float(np.sqrt(first**2 + second**2 + 2.0 * first * second * bend))


def ball_height_m(club: ClubName) -> float:
    """Height of the ball's centre: on the ground, or on a tee for the driver."""
    return BALL_RADIUS_M + (TEE_M if club is ClubName.DRIVER else 0.0)


def address_hold(
    grip: Grip, dials: SwingDials, shoulder: Vector, ball_x: float
) -> tuple[Hold, Vector]:
    """Arms hanging, face behind the ball. Returns the hold and where the ball then lies (3,).

    ``shoulder``: lead shoulder (3,) with the feet's middle at the origin; ``ball_x`` in that frame.
    """
    span = grip.span_m(max(dials.elbow_bend_deg, ADDRESS_ELBOW_DEG))
    lean = SHAFT_LEAN[dials.club]
    height = ball_height_m(dials.club)
    rest = FACE_AT_REST_M if dials.club is ClubName.DRIVER else height

    def placed(wrist_x: float, pitch: float) -> tuple[Vector, Matrix]:
        out = -0.14 if dials.club is ClubName.DRIVER else -0.10
        across = wrist_x - shoulder[0]
        fall = np.sqrt(max(span**2 - across**2 - out**2, 0.01))
        shaft = unit(np.array([lean, -np.cos(pitch), -np.sin(pitch)]))
        return np.array([across, out, -fall]), frame(shaft, np.array([1.0, 0.0, 0.0]))

    def missed(unknown: Vector) -> list[float]:
        wrist, club = placed(*unknown)
        face = shoulder + wrist + grip.face_from_wrist(club)
        return [face[0] - (ball_x - BALL_RADIUS_M - BEHIND_BALL_M), face[2] - rest]

    found = root(missed, [ball_x, np.radians(58.0)])
    if not found.success:
        raise ValueError(f"no address for these dials: {found.message}")
    wrist, club = placed(*found.x)
    face = shoulder + wrist + grip.face_from_wrist(club)
    ball = np.array([ball_x, face[1], height])
    return Hold(wrist, club), ball


def fitting_bow(lie_deg: float, addressed: Callable[[float], Hold]) -> float:
    """Degrees to bend further forward (or less) so that the club's sole lies flat at address.

    The best of the range where none fits: a short golfer with a long club has the toe up.
    """

    def off(bow: float) -> float:
        try:
            hold = addressed(bow)
        except ValueError:  # standing so tall that the club hangs in the air
            return 90.0 - lie_deg
        return float(np.degrees(np.arcsin(-hold.club[2, 2]))) - (lie_deg - TOE_UP_DEG)

    low, high = -13.0, 12.0
    first, last = off(low), off(high)
    if first * last > 0.0:
        return low if abs(first) < abs(last) else high
    return float(brentq(off, low, high, xtol=0.05))


def impact_hold(
    grip: Grip, dials: SwingDials, address: Hold, ball: Vector, stand: Callable[[float], Vector]
) -> tuple[Hold, float]:
    """Face on the ball, lead arm long. ``stand(reach)`` poses the body at impact reaching so far for
    the ball and returns the lead shoulder; the reach found is returned.
    """
    before = address.club[:, 2]
    pitch = np.arcsin(-before[2]) + np.radians(IMPACT_HIGHER_DEG)
    shaft = unit(np.array([IMPACT_LEAN[dials.club], -np.cos(pitch), -np.sin(pitch)]))
    club = frame(shaft, np.array([1.0, 0.0, 0.0]))
    wrist = ball - [BALL_RADIUS_M, 0.0, 0.0] - grip.face_from_wrist(club)
    span = grip.span_m(max(dials.elbow_bend_deg * 0.5, 5.0))

    def slack(out: float) -> float:
        return float(np.linalg.norm(wrist - stand(out))) - span

    grid = np.linspace(-3.0, 3.0, 25)
    values = [slack(out) for out in grid]
    for low, high, first, second in zip(grid, grid[1:], values, values[1:], strict=False):
        if first * second <= 0.0:
            out = float(brentq(slack, low, high))
            return Hold(wrist - stand(out), club), out
    out = float(grid[int(np.argmin(np.abs(values)))])
    return Hold(wrist - stand(out), club), out


def takeaway_hold(
    grip: Grip, first: Hold, second: Hold, shoulder: Vector, *, early: float = 0.0
) -> Hold:
    """Between address and the trail leg, with the clubhead just above the ground.

    ``early`` (0 to 1): the wrists have set already, and the clubhead is up.
    """
    way = unit(unit(first.wrist) + unit(second.wrist))
    wrist = way * (np.linalg.norm(first.wrist) + np.linalg.norm(second.wrist)) / 2.0
    club = between(first.club, second.club, 0.45 + 0.5 * early)
    level = unit(cross(club[:, 2], np.array([0.0, 0.0, 1.0])))

    def height(lift_rad: float) -> float:
        turned = about(level, lift_rad) @ club
        face = shoulder + wrist + grip.face_from_wrist(turned)
        return float(face[2]) - TAKEAWAY_HEIGHT_M - EARLY_HEIGHT_M * early

    low, high = -0.5, 1.2
    if height(low) * height(high) > 0.0:
        return Hold(wrist, club)
    return Hold(wrist, about(level, float(brentq(height, low, high))) @ club)


def parallel_hold(
    grip: Grip,
    shoulder: Vector,
    ball: Vector,
    *,
    hinge_deg: float,
    butt_m: float,
    inside_m: float,
    bend_deg: float,
) -> Hold:
    """Lead arm level, going away from the target, with the shaft as both pictures want it.

    ``hinge_deg``: arm to shaft as seen square from the front: the shaft's direction there, since
    the arm is level. ``butt_m``: metres inside the ball line where the butt end points.
    ``inside_m``: the wrist's distance from the ball line.
    """
    span = grip.span_m(bend_deg)
    across = np.clip((ball[1] + inside_m - shoulder[1]) / span, -0.75, 0.75)
    arm = np.array([-np.sqrt(1.0 - across**2), across, 0.0])
    wrist = shoulder + span * arm
    lean = 1.0 / np.tan(np.radians(hinge_deg))
    club = np.eye(3)
    butt = wrist
    for _ in range(4):  # the butt end depends a little on how the hand is turned
        shaft = unit(np.array([lean, (butt[1] - ball[1] - butt_m) / butt[2], 1.0]))
        club = frame(shaft, cross(shaft, arm))
        butt = wrist - grip.wrist_from_butt(club)
    return Hold(span * arm, club)


def free_hold(
    grip: Grip, arm: Vector, shaft: Vector, face: Vector | None, *, bend_deg: float
) -> Hold:
    """An arm direction, a shaft direction and a face (``None``: square to the arm's plane)."""
    way, club = unit(arm), unit(shaft)
    return Hold(
        grip.span_m(bend_deg) * way,
        frame(club, cross(club, way) if face is None else face),
    )


def raised(level: Vector, up_deg: float) -> Vector:
    """A level direction raised by degrees, unit."""
    up = np.radians(up_deg)
    way: Vector = np.cos(up) * unit(level) + np.sin(up) * np.array([0.0, 0.0, 1.0])
    return way


def opened(arm: Vector, shaft: Vector, more_deg: float) -> Vector:
    """The shaft with its angle to the lead arm made larger by degrees, in the plane of the two."""
    back = -unit(arm)
    axis = unit(cross(back, unit(shaft)))
    turned: Vector = about(axis, np.radians(more_deg)) @ unit(shaft)
    return turned


def all_holds(
    grip: Grip,
    dials: SwingDials,
    shoulders: dict[Phase, Vector],
    ball: Vector,
    address: Hold,
    impact: Hold,
) -> dict[float, Hold]:
    """Holds by phase, 0 to 9 (back at address)."""
    bend = dials.elbow_bend_deg
    roll, lift, early = dials.early_roll, dials.arm_lift, dials.hands_first
    wrist_inside = shoulders[Phase.ADDRESS][1] + address.wrist[1] - ball[1]
    depth = wrist_inside + 0.17 + 0.08 * roll - 0.12 * lift
    top_arm = raised(
        np.array([-0.50 - 0.1 * roll, 0.52 + 0.12 * roll - 0.25 * lift, 0.0]),
        dials.top_arm_deg + 12.0 * lift - 6.0 * roll,
    )
    top_shaft = np.array([0.86, -0.20 + 0.25 * roll, 0.34 + 0.2 * lift])
    start_shaft = np.array([-0.93, -0.22 + 0.75 * roll, -0.27 + 0.62 * early])
    start_face = np.array([0.35, -0.75 + 0.25 * roll, -0.45 + 1.1 * roll])
    shoulder = shoulders[Phase.ARM_PARALLEL]
    holds: dict[float, Hold] = {
        Phase.ADDRESS: address,
        Phase.PAST_TRAIL_LEG: free_hold(
            grip, np.array([-0.60, -0.05, -0.80]), start_shaft, start_face, bend_deg=max(bend, 6.0)
        ),
        Phase.ARM_PARALLEL: parallel_hold(
            grip,
            shoulder,
            ball,
            hinge_deg=dials.hinge_deg,
            butt_m=dials.butt_grips * 0.267,
            inside_m=depth,
            bend_deg=max(bend, 4.0),
        ),
        Phase.TOP: free_hold(
            grip,
            top_arm,
            opened(top_arm, top_shaft, 0.5 * (dials.hinge_deg - 90.0)),
            None,
            bend_deg=max(1.3 * bend, 8.0),
        ),
        Phase.ARM_PARALLEL_DOWN: parallel_hold(
            grip,
            shoulders[Phase.ARM_PARALLEL_DOWN],
            ball,
            hinge_deg=max(dials.hinge_deg - 14.0, 45.0),
            butt_m=0.267 * float(np.clip(0.4 * dials.butt_grips + 0.3, -0.6, 1.2)),
            inside_m=wrist_inside + DOWN_DEEPER_M,
            bend_deg=max(bend, 6.0),
        ),
        Phase.DELIVERY: free_hold(
            grip,
            np.array([-0.62, 0.00, -0.78]),
            np.array([-0.97, 0.06, 0.03]),
            np.array([0.25, -0.93, -0.15]),
            bend_deg=6.0,
        ),
        Phase.IMPACT: impact,
        Phase.THROUGH: free_hold(
            grip,
            np.array([0.72, -0.42, -0.52]),
            np.array([0.90, -0.02, 0.36]),
            np.array([-0.10, 0.85, 0.40]),
            bend_deg=10.0,
        ),
        Phase.FINISH: free_hold(
            grip,
            np.array([0.34, 0.02, 0.80]),
            np.array([-0.80, 0.28, -0.42]),
            np.array([0.3, 0.9, 0.2]),
            bend_deg=112.0,
        ),
        8.5: free_hold(
            grip,
            np.array([0.10, -0.55, -0.55]),
            np.array([0.25, -0.65, 0.60]),
            np.array([0.9, 0.3, 0.0]),
            bend_deg=40.0,
        ),
        9: address,
    }
    holds[TAKEAWAY_PHASE] = takeaway_hold(
        grip,
        address,
        holds[Phase.PAST_TRAIL_LEG],
        shoulders[Phase.ADDRESS],
        early=early,
    )
    return holds
