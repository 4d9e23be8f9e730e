"""What else is in the picture besides the golfer: somebody walking far behind, a bag of clubs."""

import math
from dataclasses import dataclass

import moderngl
import numpy as np
from numpy.typing import NDArray

from api.domain.names import View
from tests.studio.body import Body, load_body
from tests.studio.camera import StudioCamera, golfer_middle
from tests.studio.dials import Background, BodyName, ClipDials, Colour, GolferDials
from tests.studio.gl.buffers import Box, box_around
from tests.studio.gl.meshes import ALWAYS, Figure, Thing
from tests.studio.pose import Array
from tests.studio.scenery.props import bag_mesh, clothed

_BAGS: tuple[Colour, ...] = ((34, 46, 74), (122, 30, 34), (52, 54, 56), (222, 222, 216))
_SHIRTS: tuple[Colour, ...] = ((150, 40, 44), (214, 206, 190), (60, 92, 70), (58, 60, 66))
_STEP_M, _PACE_M_PER_S = 0.68, 1.25
_NO_LIMBS = np.zeros((0, 2, 4))


@dataclass(frozen=True, slots=True)
class Walk:
    """A level walk past the picture: place (2,) of the body at time 0, unit direction (2,)."""

    start: Array
    way: Array

    def place(self, time_s: float) -> Array:
        """(2,) where the body is, metres."""
        there: Array = self.start + _PACE_M_PER_S * time_s * self.way
        return there


class Walker:
    """Somebody who walks across the picture far behind the golfer, in the middle of it half way
    through the clip.
    """

    def __init__(self, dials: ClipDials, duration_s: float) -> None:
        if dials.scene.background is Background.INDOOR:
            raise ValueError(f"{dials.name}: nobody walks far behind in a room")
        random = np.random.default_rng([dials.seed, 0x21])
        face_on = dials.camera.view is View.FACE_ON
        sight = np.array([0.0, 1.0]) if face_on else np.array([1.0, 0.0])
        way = np.array([1.0, 0.0]) if face_on else np.array([0.0, 1.0])
        way = way * (1.0 if random.random() < 0.5 else -1.0)
        far = float(random.uniform(16.0, 26.0))
        middle = golfer_middle(dials)[:2] + far * sight + float(random.uniform(-1.0, 1.0)) * way
        self.walk = Walk(middle - way * _PACE_M_PER_S * duration_s / 2.0, way)
        self.golfer = GolferDials(
            body=BodyName.WOMAN if random.random() < 0.5 else BodyName.MAN,
            stature_m=float(random.uniform(1.62, 1.84)),
            shirt=_SHIRTS[int(random.integers(len(_SHIRTS)))],
            trousers=(70, 72, 80),
        )
        self.body: Body = load_body(self.golfer)

    def bones(self, time_s: float) -> NDArray[np.float32]:
        """(152, 4, 4) from the rest mesh to the world."""
        turn = math.pi * _PACE_M_PER_S * time_s / _STEP_M
        turns = _walking_turns(turn)
        local = np.tile(np.eye(4), (len(self.body.names), 1, 1))
        for name, rotation in turns.items():
            bone = self.body.index(name)
            joint = self.body.joints[bone]
            local[bone, :3, :3] = rotation
            local[bone, :3, 3] = joint - rotation @ joint
        for bone, parent in enumerate(self.body.parents):
            if parent >= 0:
                local[bone] = local[parent] @ local[bone]
        return (self._stood(time_s, turn) @ local).astype(np.float32)

    def _stood(self, time_s: float, turn: float) -> Array:
        """Facing the way it goes, soles on the ground; lowest with the legs apart."""
        way, place = self.walk.way, self.walk.place(time_s)
        heading = math.atan2(way[1], way[0]) + math.pi / 2.0  # the mesh faces -y
        stood = np.eye(4)
        stood[:3, :3] = _about_z(heading)
        sink = 0.035 * math.sin(turn) ** 2
        stood[:3, 3] = [place[0], place[1], -self.body.sole_z - sink]
        return stood

    def outline(self, time_s: float) -> Array:
        """(8, 3) corners about the body."""
        x, y = self.walk.place(time_s)
        spread = [(x + a, y + b) for a in (-0.6, 0.6) for b in (-0.6, 0.6)]
        top = self.golfer.stature_m + 0.15
        return np.array([[a, b, z] for a, b in spread for z in (-0.05, top)])


def _walking_turns(turn: float) -> dict[str, Array]:
    """Rotation (3, 3) of each bone that takes part, ``turn`` radians into a pair of steps."""
    swing = math.sin(turn)
    turns = {}
    for side, sign in (("L", 1.0), ("R", -1.0)):
        forward = sign * swing
        bent = max(0.0, math.cos(turn) * sign)
        turns[f"upperleg01.{side}"] = _about_x(-0.40 * forward - 0.25 * bent)
        turns[f"lowerleg01.{side}"] = _about_x(0.10 + 0.75 * bent)
        turns[f"upperarm01.{side}"] = _about_x(0.35 * forward) @ _about_y(sign * 0.72)
        turns[f"lowerarm01.{side}"] = _about_x(-0.25)
    return turns


def _about_x(angle: float) -> Array:
    c, s = math.cos(angle), math.sin(angle)
    return np.array([[1.0, 0.0, 0.0], [0.0, c, -s], [0.0, s, c]])


def _about_y(angle: float) -> Array:
    c, s = math.cos(angle), math.sin(angle)
    return np.array([[c, 0.0, s], [0.0, 1.0, 0.0], [-s, 0.0, c]])


def _about_z(angle: float) -> Array:
    c, s = math.cos(angle), math.sin(angle)
    return np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])


class Surroundings:
    """Walker and bag of one clip, on a context."""

    def __init__(
        self, context: moderngl.Context, dials: ClipDials, camera: StudioCamera, duration_s: float
    ) -> None:
        self._camera = camera
        self.walker = Walker(dials, duration_s) if dials.scene.bystander else None
        self._figure: Figure | None = None
        self._bag: Thing | None = None
        if self.walker is not None:
            self._figure = Figure(context, clothed(self.walker.body, self.walker.golfer))
        if dials.scene.bag:
            self._bag_frame = _bag_place(dials)
            self._bag = Thing(context, bag_mesh(_BAGS[dials.seed % len(_BAGS)]), gloss=0.10)
            self._bag.place(self._bag_frame[None], np.array([ALWAYS]))

    @property
    def shaders(self) -> list[moderngl.Program]:
        """Those that need the clip's lens and light."""
        parts = [part for part in (self._figure, self._bag) if part is not None]
        return [shader for part in parts for shader in part.shaders]

    def box(self, time_s: float) -> Box | None:
        """Where they and their shadows are in the picture; ``None`` when there is nothing."""
        corners = []
        if self.walker is not None:
            corners.append(self.walker.outline(time_s))
        if self._bag is not None:
            x, y = self._bag_frame[:2, 3]
            corners.append(
                np.array(
                    [[x + a, y + b, z] for a in (-0.5, 0.5) for b in (-0.5, 1.0) for z in (0, 1.3)]
                )
            )
        if not corners:
            return None
        pixels = self._camera.project(np.concatenate(corners), time_s)
        return box_around(pixels, 2.0, self._camera.width, self._camera.height)

    def pose(self, time_s: float) -> None:
        """Put everything where it is at that instant."""
        if self._figure is not None and self.walker is not None:
            self._figure.pose(self.walker.bones(time_s), _NO_LIMBS)

    def draw(self) -> None:
        """Draw it as it was posed last."""
        if self._figure is not None:
            self._figure.draw()
        if self._bag is not None:
            self._bag.draw()

    def draw_shadow(self, way: Array, dark: float, layer: float) -> None:
        """Darken the ground."""
        if self._figure is not None:
            self._figure.draw_shadow(way, dark, layer, ALWAYS)
        if self._bag is not None:
            self._bag.draw_shadow(way, dark, layer, 0.0)


def _bag_place(dials: ClipDials) -> Array:
    """(4, 4): beside the swing's room, behind the golfer as the camera sees it."""
    random = np.random.default_rng([dials.seed, 0x22])
    frame = np.eye(4)
    frame[:3, :3] = _about_z(float(random.uniform(-0.7, 0.7)))
    if dials.camera.view is View.FACE_ON:
        side = 1.0 if random.random() < 0.5 else -1.0
        frame[:2, 3] = [side * random.uniform(1.15, 1.30), random.uniform(1.35, 1.6)]
    else:
        frame[:2, 3] = [random.uniform(0.9, 1.3), random.uniform(1.75, 1.95)]
    return frame
