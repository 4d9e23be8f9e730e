"""From a pose in the trade's terms to the skeleton's matrices: spine, two-bone arms and legs, hands
closed round the grip, feet on the ground.

Side names: the rig's ``.L`` is the lead side, ``.R`` the trail side (the world is a right-hander's).
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from tests.studio.body import Body
from tests.studio.pose import Joint
from tests.studio.swing.soles import Lift
from tests.studio.swing.turns import (
    Matrix,
    Vector,
    about,
    between,
    cross,
    frame,
    square_to,
    twist_about,
    two_bones,
    unit,
)

SIDES = {"lead": "L", "trail": "R"}
LEAD_GRIP_AT_M, TRAIL_GRIP_AT_M = 0.062, 0.130
"""Middle of each hand along the club from the butt end."""

HAND_TO_SHAFT_DEG = 47.0
"""Between the fingers' direction and the shaft: the club lies across the fingers' roots."""

PALM_M = 0.024
"""From the knuckles' plane to the middle of the grip."""

CURL_DEG = (58.0, 75.0, 55.0)
SPINE = ("spine05", "spine04", "spine03", "spine02", "spine01")
BLADE_DEG = 24.0
"""How far a collar bone swings to let a hand reach: working value, about 7 cm at the shoulder."""

REACH = 0.9993
"""Largest share of its length a limb is stretched to."""


@dataclass(frozen=True, slots=True)
class Stance:
    """Feet on the ground: ankle places (3,) at rest, turned out by degrees, per side. ``trail_lift``:
    how far the rolled trail foot must rise to stand on its sole instead of in the ground.
    """

    ankles: dict[str, Vector]
    flare_deg: dict[str, float]
    trail_lift: Lift


@dataclass(frozen=True, slots=True)
class Posture:
    """The body without the club. Degrees; metres.

    ``pelvis`` (3,) hip centre; ``*_turn`` away from the target positive, about the tilted spine;
    ``*_tilt`` forward (towards the ball line) positive; ``side_bend`` away from the target positive.
    ``head_turn`` away from the target, of the head in the world. ``lead_reach`` and
    ``trail_reach``: shoulder blades round the ribs, degrees. ``heel_up``: trail heel about its toe.
    """

    pelvis: Vector
    pelvis_turn: float
    pelvis_tilt: float
    chest_turn: float
    chest_tilt: float
    side_bend: float
    head_turn: float
    head_tilt: float
    lead_reach: float
    trail_reach: float
    heel_up: float
    foot_turn: float


@lru_cache(maxsize=16)
def _below(parents: tuple[int, ...]) -> tuple[NDArray[np.intp], ...]:
    """For each bone, all bones that hang on it."""
    found: list[list[int]] = [[] for _ in parents]
    for bone, parent in enumerate(parents):
        above = parent
        while above >= 0:
            found[above].append(bone)
            above = parents[above]
    return tuple(np.array(each, np.intp) for each in found)


class Skeleton:
    """One body's bones, posed step by step. ``rotations`` (b, 3, 3) and ``places`` (b, 3)."""

    def __init__(self, body: Body) -> None:
        self.body = body
        self.rotations = np.tile(np.eye(3), (len(body.names), 1, 1))
        self.places = body.joints.copy()
        self._below = _below(body.parents)

    def place(self, name: str) -> Vector:
        """Where a joint is now, (3,)."""
        now: Vector = self.places[self.body.index(name)]
        return now

    def turn(self, name: str, rotation: Matrix, place: Vector | None = None) -> None:
        """Set a bone's rotation from rest (and its joint's place); its children follow rigidly."""
        bone = self.body.index(name)
        self.rotations[bone] = rotation
        if place is not None:
            self.places[bone] = place
        below = self._below[bone]
        steps = self.body.joints[below] - self.body.joints[bone]
        self.places[below] = self.places[bone] + steps @ rotation.T
        self.rotations[below] = rotation

    def matrices(self) -> NDArray[np.float32]:
        """(b, 4, 4): rest mesh to world."""
        moved = np.tile(np.eye(4), (len(self.places), 1, 1))
        moved[:, :3, :3] = self.rotations
        turned = np.einsum("bij,bj->bi", self.rotations, self.body.joints)
        moved[:, :3, 3] = self.places - turned
        return moved.astype(np.float32)

    # ------------------------------------------------------------ trunk and legs

    def stand(self, posture: Posture, stance: Stance) -> None:
        """Pelvis, spine, head, shoulder blades and legs."""
        pelvis = about(np.array([1.0, 0, 0]), np.radians(posture.pelvis_tilt)) @ about(
            np.array([0, 0, 1.0]), -np.radians(posture.pelvis_turn)
        )
        chest = (
            about(np.array([1.0, 0, 0]), np.radians(posture.chest_tilt))
            @ about(np.array([0, 1.0, 0]), -np.radians(posture.side_bend))
            @ about(np.array([0, 0, 1.0]), -np.radians(posture.chest_turn))
        )
        body = self.body
        hips = (body.joint("upperleg01.L") + body.joint("upperleg01.R")) / 2.0
        root = posture.pelvis - pelvis @ (hips - body.joint("root"))
        self.turn("root", pelvis, root)
        for step, name in enumerate(SPINE, start=1):
            self.turn(name, between(pelvis, chest, step / len(SPINE)))
        head = about(np.array([1.0, 0, 0]), np.radians(posture.head_tilt)) @ about(
            np.array([0, 0, 1.0]), -np.radians(posture.head_turn)
        )
        for share, name in ((0.25, "neck01"), (0.5, "neck02"), (0.75, "neck03"), (1.0, "head")):
            self.turn(name, between(chest, head, share))
        for side, reach in (("L", posture.lead_reach), ("R", -posture.trail_reach)):
            self.turn(f"clavicle.{side}", chest @ about(np.array([0, 0, 1.0]), -np.radians(reach)))
        for side in SIDES:
            self._leg(side, posture, stance)

    def _leg(self, side: str, posture: Posture, stance: Stance) -> None:
        body, tag = self.body, SIDES[side]
        sign = 1.0 if side == "lead" else -1.0
        flare = np.radians(stance.flare_deg[side]) * sign
        foot = about(np.array([0, 0, 1.0]), flare)
        ankle = stance.ankles[side]
        if side == "trail" and (posture.heel_up or posture.foot_turn):
            ball_of_foot = body.joint(f"toe2-1.{tag}") - body.joint(f"foot.{tag}")
            lift = np.array([0.0, 0.0, stance.trail_lift.at(posture.heel_up)])
            pivot = ankle + foot @ ball_of_foot + lift
            rolled = about(np.array([0, 0, 1.0]), np.radians(posture.foot_turn)) @ foot
            axis = unit(cross(np.array([0.0, 0.0, 1.0]), rolled @ unit(ball_of_foot * [1, 1, 0])))
            foot = about(axis, np.radians(posture.heel_up)) @ rolled
            ankle = pivot - foot @ ball_of_foot
        hip = self.place(f"upperleg01.{tag}")
        thigh = body.length(f"upperleg01.{tag}", f"lowerleg01.{tag}")
        shank = body.length(f"lowerleg01.{tag}", f"foot.{tag}")
        pelvis = self.rotations[body.index("root")]
        toes = foot @ np.array([0.0, -1.0, 0.0])
        pole = unit(
            0.5 * unit(toes * [1, 1, 0]) + 0.5 * unit((pelvis @ [0.0, -1.0, 0.0]) * [1, 1, 0])
        )
        self._limb(
            (f"upperleg01.{tag}", f"lowerleg01.{tag}", f"foot.{tag}"),
            (hip, ankle),
            (thigh, shank),
            pole,
            rest_pole=np.array([0.0, -1.0, 0.0]),
        )
        self.turn(f"foot.{tag}", foot, ankle)

    def _limb(
        self,
        bones: tuple[str, str, str],
        ends: tuple[Vector, Vector],
        lengths: tuple[float, float],
        pole: Vector,
        rest_pole: Vector,
    ) -> tuple[Matrix, Matrix]:
        """Turn two bones so that they run from ``ends[0]`` to ``ends[1]``; their rotations."""
        upper, lower, last = bones
        body = self.body
        middle, hinge = two_bones(*ends, *lengths, pole)
        rest_middle, rest_end = body.joint(lower), body.joint(last)
        rest_start = body.joint(upper)
        along = unit(rest_end - rest_start)
        rest_hinge = cross(square_to(rest_pole, along), along)
        first = frame(middle - ends[0], hinge) @ frame(rest_middle - rest_start, rest_hinge).T
        second = frame(ends[1] - middle, hinge) @ frame(rest_end - rest_middle, rest_hinge).T
        self.turn(upper, first, ends[0])
        self.turn(lower, second, middle)
        return first, second

    # ------------------------------------------------------------ arms and hands

    def grip_frames(self, side: str) -> tuple[Matrix, Vector]:
        """At rest: the club's frame as this hand would hold it, and the grip's middle (3,)."""
        body, tag = self.body, SIDES[side]
        wrist = body.joint(f"wrist.{tag}")
        index, middle, little = (body.joint(f"finger{finger}-1.{tag}") for finger in (2, 3, 5))
        fingers = unit((index + middle + little) / 3.0 - wrist)
        across = square_to(index - little, fingers)
        palm = cross(fingers, across) * (1.0 if side == "lead" else -1.0)
        tilt = np.radians(90.0 - HAND_TO_SHAFT_DEG)
        shaft = np.cos(tilt) * across + np.sin(tilt) * fingers
        face = -palm if side == "lead" else palm
        scale = body.stature_m / 1.78
        held = (middle + little) / 2.0 + PALM_M * scale * palm - 0.012 * scale * fingers
        return frame(shaft, face), held

    def hold(self, side: str, club: Matrix, butt: Vector, elbow_pole: Vector) -> Vector:
        """Close a hand round the club (frame (3, 3), butt end (3,)) and bring the arm to it.

        Returns the wrist. For a target out of the arm's reach the shoulder blade swings towards it;
        what is then still lacking is added by moving the shoulder itself.
        """
        body, tag = self.body, SIDES[side]
        rest, held = self.grip_frames(side)
        hand = club @ rest.T
        along = LEAD_GRIP_AT_M if side == "lead" else TRAIL_GRIP_AT_M
        wrist = butt + club[:, 2] * along + hand @ (body.joint(f"wrist.{tag}") - held)
        lengths = (
            body.length(f"upperarm01.{tag}", f"lowerarm01.{tag}"),
            body.length(f"lowerarm01.{tag}", f"wrist.{tag}"),
        )
        self._swing_blade(tag, wrist, REACH * sum(lengths))
        shoulder = self.place(f"upperarm01.{tag}")
        span = wrist - shoulder
        short = float(np.linalg.norm(span)) - REACH * sum(lengths)
        if short > 0.0:
            shoulder = shoulder + unit(span) * short
        rest_pole = (
            body.joint(f"lowerarm01.{tag}")
            - (body.joint(f"upperarm01.{tag}") + body.joint(f"wrist.{tag}")) / 2.0
        )
        names = (f"upperarm01.{tag}", f"lowerarm01.{tag}", f"wrist.{tag}")
        _, lower = self._limb(names, (shoulder, wrist), lengths, elbow_pole, rest_pole)
        axis = unit(body.joint(f"wrist.{tag}") - body.joint(f"lowerarm01.{tag}"))
        twist = twist_about(lower.T @ hand, axis)
        self.turn(f"lowerarm02.{tag}", lower @ about(axis, 0.6 * twist))
        self.turn(f"wrist.{tag}", hand, wrist)
        self._curl(side, hand)
        return wrist

    def _swing_blade(self, tag: str, wrist: Vector, reach: float) -> None:
        """Turn the collar bone towards ``wrist`` until the arm reaches, by no more than a body can."""
        start, shoulder = self.place(f"clavicle.{tag}"), self.place(f"upperarm01.{tag}")
        if np.linalg.norm(wrist - shoulder) <= reach:
            return
        bone = shoulder - start
        axis = unit(cross(bone, wrist - start))

        def lacking(angle: float) -> float:
            return float(np.linalg.norm(wrist - start - about(axis, angle) @ bone)) - reach

        low, high = 0.0, np.radians(BLADE_DEG)
        if lacking(high) < 0.0:
            for _ in range(30):
                middle = (low + high) / 2.0
                low, high = (low, middle) if lacking(middle) < 0.0 else (middle, high)
        now = self.rotations[self.body.index(f"clavicle.{tag}")]
        self.turn(f"clavicle.{tag}", about(axis, high) @ now)

    def _curl(self, side: str, hand: Matrix) -> None:
        """Fingers round the grip, thumb along it."""
        body, tag = self.body, SIDES[side]
        rest, _ = self.grip_frames(side)
        axis = rest[:, 2] * (-1.0 if side == "lead" else 1.0)
        for finger in (2, 3, 4, 5):
            total = 0.0
            for joint, degrees in enumerate(CURL_DEG, start=1):
                total += np.radians(degrees)
                self.turn(f"finger{finger}-{joint}.{tag}", hand @ about(axis, total))
        first, last = body.joint(f"finger1-1.{tag}"), body.joint(f"finger1-3.{tag}")
        palm = rest[:, 0] * (-1.0 if side == "lead" else 1.0)
        wanted = unit(rest[:, 2] + 0.45 * palm)
        now = unit(last - first)
        swing = cross(now, wanted)
        size = float(np.linalg.norm(swing))
        turn = about(swing / size, float(np.arctan2(size, np.dot(now, wanted))))
        self.turn(f"finger1-1.{tag}", hand @ turn)

    def joints(self) -> dict[Joint, Vector]:
        """Places of the joints the truth names, (3,) each; ears and nose move with the head."""
        named = {
            Joint.LEAD_SHOULDER: "upperarm01.L",
            Joint.TRAIL_SHOULDER: "upperarm01.R",
            Joint.LEAD_ELBOW: "lowerarm01.L",
            Joint.TRAIL_ELBOW: "lowerarm01.R",
            Joint.LEAD_WRIST: "wrist.L",
            Joint.TRAIL_WRIST: "wrist.R",
            Joint.LEAD_HIP: "upperleg01.L",
            Joint.TRAIL_HIP: "upperleg01.R",
            Joint.LEAD_KNEE: "lowerleg01.L",
            Joint.TRAIL_KNEE: "lowerleg01.R",
            Joint.LEAD_ANKLE: "foot.L",
            Joint.TRAIL_ANKLE: "foot.R",
        }
        places = {joint: self.place(name).copy() for joint, name in named.items()}
        for joint, (bone, rest) in self._landmarks().items():
            turn = self.rotations[self.body.index(bone)]
            places[joint] = self.place(bone) + turn @ (rest - self.body.joint(bone))
        return places

    def _landmarks(self) -> dict[Joint, tuple[str, Vector]]:
        """Points that are no joints: the bone that carries each, and its rest place."""
        body = self.body
        eyes = (body.joint("eye.L") + body.joint("eye.R")) / 2.0
        head = body.joint("head")
        size = float(eyes[2] - head[2])
        ear = np.array([1.7 * size, head[1] + 0.25 * size, head[2] + 0.7 * size])
        marks: dict[Joint, tuple[str, Vector]] = {
            Joint.NOSE: ("head", eyes + np.array([0.0, -1.0 * size, -0.9 * size])),
            Joint.LEAD_EAR: ("head", ear),
            Joint.TRAIL_EAR: ("head", ear * [-1.0, 1.0, 1.0]),
        }
        for side, tag in SIDES.items():
            ankle = body.joint(f"foot.{tag}")
            heel = np.array([ankle[0], ankle[1] + 0.07, body.sole_z])
            toe = body.joint(f"toe2-3.{tag}") * [1.0, 1.0, 0.0] + [0.0, -0.015, body.sole_z]
            marks[Joint(f"{side}_heel")] = (f"foot.{tag}", heel)
            marks[Joint(f"{side}_toe")] = (f"foot.{tag}", toe)
        return marks
