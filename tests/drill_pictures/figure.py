"""A golfer of the studio at a moment of the swing, and the changes that drills ask of the pose.

All points in metres in the right-hander's world of ``tests.studio.pose``: X to the target, Y from the ball
line to the golfer, Z up.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from tests.studio.dials import ClipDials, ClubName, GolferDials, SwingDials
from tests.studio.pose import Array, ClubPoint, Joint
from tests.studio.swing.motion import SwingMotion, make_motion
from tests.studio.swing.timing import phase_curve

ARM = {side: (f"{side}_shoulder", f"{side}_elbow", f"{side}_wrist") for side in ("lead", "trail")}
LEG = {side: (f"{side}_hip", f"{side}_knee", f"{side}_ankle") for side in ("lead", "trail")}


@dataclass(frozen=True, slots=True)
class Figure:
    """Joints by name, the club's butt end and face (or no club), the ball (or none)."""

    joints: Mapping[Joint, Array]
    club: tuple[Array, Array] | None
    ball: Array | None = None

    def __getitem__(self, joint: Joint) -> Array:
        return self.joints[joint]

    def middle(self, first: Joint, second: Joint) -> Array:
        return (self.joints[first] + self.joints[second]) / 2.0

    def without_club(self) -> "Figure":
        return replace(self, club=None, ball=None)

    def without_ball(self) -> "Figure":
        return replace(self, ball=None)

    def with_hand_at(self, side: str, place: Array, bend: Array) -> "Figure":
        """One wrist moved; the elbow follows, bent towards ``bend`` (a direction)."""
        shoulder, elbow, wrist = (Joint(name) for name in ARM[side])
        joints = dict(self.joints)
        lengths = _length(joints[shoulder], joints[elbow]), _length(joints[elbow], joints[wrist])
        joints[elbow], joints[wrist] = bent(joints[shoulder], place, lengths, bend)
        return replace(self, joints=joints)

    def with_foot_at(self, side: str, ankle: Array) -> "Figure":
        """One foot moved flat along the ground; the knee follows, bent as before."""
        hip, knee, old = (Joint(name) for name in LEG[side])
        joints = dict(self.joints)
        lengths = _length(joints[hip], joints[knee]), _length(joints[knee], joints[old])
        forward = joints[knee] - (joints[hip] + joints[old]) / 2.0
        moved = ankle - joints[old]
        for name in (f"{side}_heel", f"{side}_toe"):
            joints[Joint(name)] = joints[Joint(name)] + moved
        joints[knee], joints[old] = bent(joints[hip], ankle, lengths, forward)
        return replace(self, joints=joints)

    def upright(self) -> "Figure":
        """Standing tall over the same feet: legs nearly straight, trunk and head above the hips."""
        joints = dict(self.joints)
        ankles = (joints[Joint.LEAD_ANKLE] + joints[Joint.TRAIL_ANKLE]) / 2.0
        hips = (joints[Joint.LEAD_HIP] + joints[Joint.TRAIL_HIP]) / 2.0
        leg = _length(joints[Joint.LEAD_HIP], joints[Joint.LEAD_KNEE])
        leg += _length(joints[Joint.LEAD_KNEE], joints[Joint.LEAD_ANKLE])
        shoulders = (joints[Joint.LEAD_SHOULDER] + joints[Joint.TRAIL_SHOULDER]) / 2.0
        trunk = _length(hips, shoulders)
        across = joints[Joint.LEAD_ANKLE] - joints[Joint.TRAIL_ANKLE]
        aside = np.array([1.0, 0.0, 0.0])
        half_hips = _length(joints[Joint.LEAD_HIP], joints[Joint.TRAIL_HIP]) / 2.0
        half_shoulders = _length(joints[Joint.LEAD_SHOULDER], joints[Joint.TRAIL_SHOULDER]) / 2.0
        lean = (leg * 0.97) ** 2 - (_length(across, np.zeros(3)) / 2.0 - half_hips) ** 2
        new_hips = ankles + np.array([0.0, 0.0, float(np.sqrt(lean))])
        new_shoulders = new_hips + np.array([0.0, 0.02, trunk])
        head = shoulders - (joints[Joint.LEAD_EAR] + joints[Joint.TRAIL_EAR]) / 2.0
        ears = new_shoulders + np.array([0.0, -0.03, _length(head, np.zeros(3))])
        half_head = _length(joints[Joint.LEAD_EAR], joints[Joint.TRAIL_EAR]) / 2.0
        for side, sign in (("lead", 1.0), ("trail", -1.0)):
            hip = new_hips + sign * half_hips * aside
            ankle = joints[Joint(f"{side}_ankle")]
            lengths = (
                _length(joints[Joint(f"{side}_hip")], joints[Joint(f"{side}_knee")]),
                _length(joints[Joint(f"{side}_knee")], ankle),
            )
            joints[Joint(f"{side}_hip")] = hip
            joints[Joint(f"{side}_knee")], _ = bent(hip, ankle, lengths, np.array([0.0, -1.0, 0.0]))
            upper = joints[Joint(f"{side}_elbow")] - joints[Joint(f"{side}_shoulder")]
            fore = joints[Joint(f"{side}_wrist")] - joints[Joint(f"{side}_elbow")]
            joints[Joint(f"{side}_shoulder")] = new_shoulders + sign * half_shoulders * aside
            joints[Joint(f"{side}_elbow")] = joints[Joint(f"{side}_shoulder")] + upper
            joints[Joint(f"{side}_wrist")] = joints[Joint(f"{side}_elbow")] + fore
            joints[Joint(f"{side}_ear")] = ears + sign * half_head * aside
        joints[Joint.NOSE] = ears + np.array([0.0, -0.11, -0.03])
        return replace(self, joints=joints)

    def holding(self, hands: Array, along: Array) -> "Figure":
        """Both hands on a club whose grip lies at ``hands`` and whose shaft runs ``along``."""
        assert self.club is not None
        way = along / np.linalg.norm(along)
        length = _length(*self.club)
        down = np.array([0.0, 0.3, -1.0])
        butt = hands - 0.10 * way
        held = self.with_hand_at("lead", hands - 0.06 * way, down)
        held = held.with_hand_at("trail", hands + 0.04 * way, down)
        return replace(held, club=(butt, butt + length * way))

    def crossed_arms(self) -> "Figure":
        """Each hand on the other shoulder, no club."""
        chest = self.middle(Joint.LEAD_SHOULDER, Joint.TRAIL_SHOULDER)
        hips = self.middle(Joint.LEAD_HIP, Joint.TRAIL_HIP)
        out = self.facing()
        down = (hips - chest) / np.linalg.norm(hips - chest)
        crossed = self.without_club()
        for side, other in (("lead", "trail"), ("trail", "lead")):
            target = self[Joint(f"{other}_shoulder")] + 0.10 * down + 0.10 * out
            crossed = crossed.with_hand_at(side, 0.75 * target + 0.25 * chest, down + 0.4 * out)
        return crossed

    def facing(self) -> Array:
        """(3,) unit, out of the chest."""
        across = self[Joint.LEAD_SHOULDER] - self[Joint.TRAIL_SHOULDER]
        up = self.middle(Joint.LEAD_SHOULDER, Joint.TRAIL_SHOULDER) - self.middle(
            Joint.LEAD_HIP, Joint.TRAIL_HIP
        )
        out = np.cross(up, across)
        return np.asarray(-out / np.linalg.norm(out))


def bent(
    start: Array, end: Array, lengths: tuple[float, float], towards: Array
) -> tuple[Array, Array]:
    """(middle, end) of two bones from ``start`` to ``end``, or as far towards it as they reach."""
    way = end - start
    far = float(np.linalg.norm(way))
    reach = min(far, 0.995 * (lengths[0] + lengths[1]))
    way = way / far
    first = (lengths[0] ** 2 - lengths[1] ** 2 + reach**2) / (2.0 * reach)
    off = float(np.sqrt(max(0.0, lengths[0] ** 2 - first**2)))
    square = towards - float(towards @ way) * way
    square = square / np.linalg.norm(square)
    return start + first * way + off * square, start + reach * way


def _length(one: Array, other: Array) -> float:
    return float(np.linalg.norm(one - other))


@lru_cache(maxsize=4)
def _motion(club: ClubName) -> SwingMotion:
    dials = SwingDials(club=club, unrest_m=0.0)
    return make_motion(ClipDials("drills", 0, golfer=GolferDials(), swing=dials))


def at(phase: float, club: ClubName = ClubName.IRON_7) -> Figure:
    """The studio's plain swing at a phase (``tests.studio.swing.keys.Phase``, parts between)."""
    motion = _motion(club)
    times = np.arange(motion.schedule.starts_s[0], motion.duration_s, 1.0 / 2000.0)
    phases = phase_curve(motion.schedule)(times)
    pose = motion.at(float(times[int(np.argmax(phases >= phase))]))
    points = pose.club[ClubPoint.BUTT], pose.club[ClubPoint.FACE]
    return Figure(pose.joints, points, pose.ball if phase < 6.0 else None)
