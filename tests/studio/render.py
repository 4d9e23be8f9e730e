"""The studio: frames of a clip, drawn in linear light and exposed as a phone would."""

from types import TracebackType
from typing import Self

import cv2
import moderngl
import numpy as np
from numpy.typing import NDArray

from api.domain.names import Hand
from tests.studio.body import load_body
from tests.studio.camera import StudioCamera
from tests.studio.club import load_club
from tests.studio.dials import ClipDials
from tests.studio.gl.buffers import SHADOW_COARSE, Box, Picture, box_around
from tests.studio.gl.context import gl_reason, make_context
from tests.studio.gl.meshes import Figure, Thing, limbs_of
from tests.studio.gl.stage import Stage
from tests.studio.pose import Array, Motion, Pose
from tests.studio.scenery.lights import light_of
from tests.studio.scenery.plate import Plate
from tests.studio.scenery.props import ball_mesh, clothed
from tests.studio.scenery.surroundings import Surroundings
from tests.studio.shutter import Plan, Sensor, plan_frame

__all__ = ["Studio", "gl_reason"]

Bytes = NDArray[np.uint8]

_PERSON_PAD_M = 0.26
"""What of a person reaches beyond the joints: fingers, a cap's peak, soles."""
_SOFT_PX = 1.3
"""Softness of shadow edges, one sigma, pixels of the shadow's own coarse picture."""


class Studio:
    """Draws the frames of one clip. Use it in ``with``: it holds an OpenGL context.

    ``frame(time_s, index)``: the frame whose first row's exposure starts at ``time_s`` seconds of
    life, (H, W, 3) uint8 sRGB, upright; ``index`` only picks its noise. A left-hander's frame is
    mirrored last. The same dials, time and index give the same bytes.
    """

    def __init__(self, dials: ClipDials, motion: Motion, camera: StudioCamera) -> None:
        self.dials, self.motion, self.camera = dials, motion, camera
        self.light = light_of(dials)
        self._context: moderngl.Context | None = None

    def __enter__(self) -> Self:
        dials, camera = self.dials, self.camera
        context = make_context()
        self._context = context
        self.plate = Plate(context, camera, self.light)
        self._golfer = Figure(context, clothed(load_body(dials.golfer), dials.golfer))
        self._club = Thing(
            context, load_club(dials.swing.club, dark_shaft=dials.swing.dark_shaft), gloss=0.5
        )
        self._ball = Thing(context, ball_mesh(), gloss=0.1)
        self._around = Surroundings(context, dials, camera, self.motion.duration_s)
        self._stage = Stage(context, camera, self.light, self._limbs)
        for part in (self._golfer, self._club, self._ball, self._around):
            self._stage.use(part.shaders)
        shape = (camera.height, camera.width)
        self._sensor = Sensor(dials.film, self.light.illuminance, shape, dials.seed)
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        problem: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._context is not None:
            self._context.release()
            self._context = None

    def frame(self, time_s: float, index: int) -> Bytes:
        """One frame; see the class."""
        seen = self._sensor.expose(self.linear(time_s), index)
        if self.dials.golfer.handed is Hand.LEFT:
            return np.ascontiguousarray(seen[:, ::-1])
        return seen

    def linear(self, time_s: float) -> Picture:
        """(H, W, 3) float32: the light of a frame before the sensor, not mirrored."""
        film = self.dials.film
        plan = plan_frame(self.motion, self.camera, film, time_s)
        picture = self.plate.at(time_s, film.exposure_s, film.rolling_shutter_s)
        self._add_surroundings(picture, time_s + (film.exposure_s + film.rolling_shutter_s) / 2.0)
        box, ground = self._boxes(plan)
        light, dark = self._stage.swing(plan, self._golfer, self._club, self._ball, (box, ground))
        _darken(picture, ground, dark)
        _lay(picture, box, light)
        return picture

    def _add_surroundings(self, picture: Picture, time_s: float) -> None:
        box = self._around.box(time_s)
        if box is None or box.empty:
            return
        self._around.pose(time_s)
        _darken(picture, box, self._stage.shade(time_s, self._around.draw_shadow, box))
        _lay(picture, box, self._stage.still(time_s, self._around.draw, box))

    def _limbs(self, pose: Pose) -> Array:
        return limbs_of(pose, self.dials.golfer.stature_m, self.dials.golfer.girth)

    def _boxes(self, plan: Plan) -> tuple[Box, Box]:
        """Where golfer, club and ball are during the frame, and where their shadows are."""
        person, shadow = [], []
        for pose in plan.poses:
            points = [*pose.joints.values(), *pose.club.values()]
            if pose.ball is not None and self._shown(pose.ball, pose.time_s):
                points.append(pose.ball)
            solid = np.array(points)
            person.append(self.camera.project(solid, pose.time_s))
            for way, _ in self.light.shadows:
                flat = solid - way * np.maximum(solid[:, 2:], 0.0) / way[2]
                shadow.append(self.camera.project(flat * [1.0, 1.0, 0.0], pose.time_s))
        near = self.camera.dials.camera.distance_m - 0.8
        pad = self.camera.focal_px * _PERSON_PAD_M / max(near, 1.0)
        size = (self.camera.width, self.camera.height)
        return (
            box_around(np.concatenate(person), pad, *size),
            box_around(np.concatenate(shadow), pad, *size),
        )

    def _shown(self, ball: Array, time_s: float) -> bool:
        """Whether the ball is before the lens: one that flew behind it would open the box."""
        return bool(np.isfinite(self.camera.project(ball, time_s)).all())


def _lay(picture: Picture, box: Box, layer: Picture) -> None:
    """Lay light (h, w, 4), already weighted by its cover, over a box of the picture."""
    if box.empty:
        return
    part = picture[box.slices]
    part *= 1.0 - layer[..., 3:]
    part += layer[..., :3]


def _darken(picture: Picture, box: Box, dark: Picture) -> None:
    """Take the share ``dark`` (coarse pixels) of the light of a box away, with soft edges."""
    if box.empty:
        return
    ground = box.coarse()
    soft = cv2.GaussianBlur(np.clip(dark, 0.0, 0.93), (0, 0), _SOFT_PX)
    size = (soft.shape[1] * SHADOW_COARSE, soft.shape[0] * SHADOW_COARSE)
    fine = cv2.resize(soft, size, interpolation=cv2.INTER_LINEAR)
    top, left = ground.top * SHADOW_COARSE, ground.left * SHADOW_COARSE
    cut = fine[box.top - top : box.bottom - top, box.left - left : box.right - left]
    picture[box.slices] *= 1.0 - cut[..., None]
