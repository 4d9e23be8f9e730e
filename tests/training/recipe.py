"""What the swing network is taught from: still frames of practice clips, cut round the golfer, with
the place of every joint, of the club and of the ball.

Frames come from practice seeds past the first block, whose clips are kept for looking at what was
learnt. Every golfer is a right-hander here: the pipeline mirrors a left-hander's pictures before any
network sees them.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from api.domain.names import Hand, View
from tests.studio.camera import StudioCamera
from tests.studio.dials import ClipDials
from tests.studio.gl.buffers import Box, Picture
from tests.studio.pose import Array, ClubPoint, Joint, Motion, Pose
from tests.studio.render import Studio, _darken, _lay
from tests.studio.sets import STANDARD, Set, dials_of
from tests.studio.shutter import Bytes, plan_frame
from tests.studio.swing.motion import make_motion
from tests.studio.swing.timing import Schedule, make_schedule
from worker.body import square

CANVAS = 384
"""Side of a saved picture. The network sees its middle, turned, moved and scaled at random."""
STATURES = square.STATURES * CANVAS / square.SQUARE_SIDE
"""Side of a saved picture in statures of the golfer, as seen: its middle is the square that the pipeline
looks at."""
FEET_AT = 0.5 + (square.ANKLES_AT - 0.5) * square.SQUARE_SIDE / CANVAS
"""Row of the ankles at address, share of the side, so that in its middle they lie where the pipeline has
them."""
POINTS: tuple[str, ...] = (*(j.value for j in Joint), *(c.value for c in ClubPoint), "ball")
_HIPS = [POINTS.index(Joint.LEAD_HIP), POINTS.index(Joint.TRAIL_HIP)]
FIRST = STANDARD
"""Practice clips before this one are for looking, not for learning."""
STEP_PX = 5.0
"""Pictures are shrunk about three times: steps of a blur may be longer than in a clip."""
_STREAM = 0x7E
_HEAD_SHARE = 0.93
"""Height of the ears above the ankles over stature, near enough for a cut."""
_NODES, _ROUNDS = 3, 5
"""Times within the read-out at which points are computed, and rounds of finding a point's own row."""
_GONE_M = 0.02
"""A ball that has moved farther than this is in flight and no point of address."""


@dataclass(frozen=True, slots=True)
class Sample:
    """One frame. ``picture`` (384, 384, 4) uint8: RGB and the golfer's, club's and ball's cover.

    ``pixels`` (24, 2): centre of the first pixel at 0, 0; NaN where there is no such point.
    ``depth_m`` (24,): along the line of sight, from the middle of the hips. ``world_m`` (24, 3).
    ``camera``: azimuth, roll, how far the middle of the hips lies below the lens's height as seen from it
    (degrees), canvas pixels a metre at the hips, distance (metres), lens height (metres), face-on (1) or
    not (0).
    """

    picture: Bytes
    pixels: NDArray[np.float32]
    depth_m: NDArray[np.float32]
    world_m: NDArray[np.float32]
    camera: NDArray[np.float32]


def learning_dials(index: int) -> ClipDials:
    """Clip ``index`` of those to learn from, counted from 0: a right-hander, filmed without shake."""
    dials = dials_of(Set.PRACTICE, FIRST + index)
    film = replace(dials.film, short_side=720, slow_motion=1.0, rotation_deg=0)
    return replace(
        dials,
        golfer=replace(dials.golfer, handed=Hand.RIGHT),
        camera=replace(dials.camera, shake_deg=0.0),
        film=film,
    )


def samples_of(dials: ClipDials, count: int) -> Iterator[Sample]:
    """``count`` frames of a clip, at times drawn evenly over the phases of the swing."""
    random = np.random.default_rng([dials.seed, _STREAM])
    motion, camera = make_motion(dials), StudioCamera(dials)
    frame = _Cut(camera, motion.at(0.0))
    with CutStudio(dials, motion, camera) as studio:
        for index, time_s in enumerate(_times(make_schedule(dials.swing), count, random)):
            seen = studio.cut(time_s, index, frame)
            yield _sample(seen, frame, camera, motion, time_s)


def _times(schedule: Schedule, count: int, random: np.random.Generator) -> list[float]:
    """Half of them even over the stretches between two phases, half even over the clip."""
    nodes = np.array(schedule.times_s)
    stretches = np.flatnonzero(np.diff(nodes) > 0.0)
    times: list[float] = []
    for number in range(count):
        if number % 2:
            times.append(float(random.uniform(0.0, 0.97 * schedule.duration_s)))
        else:
            first = int(random.choice(stretches))
            times.append(float(random.uniform(nodes[first], nodes[first + 1])))
    return [min(time, 0.97 * schedule.duration_s) for time in times]


class _Cut:
    """The square of the picture that is saved, from the golfer at address."""

    def __init__(self, camera: StudioCamera, address: Pose) -> None:
        joints = address.joints
        seen = camera.project(
            np.array(
                [
                    (joints[Joint.LEAD_EAR] + joints[Joint.TRAIL_EAR]) / 2.0,
                    (joints[Joint.LEAD_ANKLE] + joints[Joint.TRAIL_ANKLE]) / 2.0,
                    (joints[Joint.LEAD_HIP] + joints[Joint.TRAIL_HIP]) / 2.0,
                ]
            ),
            0.0,
        )
        # A golfer bends forward at address: the ears are nearer the ground than standing.
        stature_px = float(np.linalg.norm(seen[0] - seen[1])) / (_HEAD_SHARE * 0.9)
        self.side = STATURES * stature_px
        self.left = float(seen[2, 0]) - self.side / 2.0
        self.top = float(seen[1, 1]) - FEET_AT * self.side
        self.scale = CANVAS / self.side

    def to_canvas(self, pixels: Array) -> Array:
        """Canvas pixels of picture pixels, first pixels' centres at 0, 0 in both."""
        return np.asarray((pixels + 0.5 - np.array([self.left, self.top])) * self.scale - 0.5)

    def cut(self, picture: Bytes) -> Bytes:
        """The square at canvas size; black outside the picture. Shrinks by areas."""
        shrink = max(1, int(1.0 / self.scale))
        if shrink > 1:
            height, width = picture.shape[:2]
            picture = np.asarray(
                cv2.resize(
                    picture[: height // shrink * shrink, : width // shrink * shrink],
                    (width // shrink, height // shrink),
                    interpolation=cv2.INTER_AREA,
                ),
                np.uint8,
            )
        scale = self.scale * shrink
        # x_canvas = (x_small + 0.5) * shrink, less left, times the scale, less 0.5
        offset = (0.5 * shrink - np.array([self.left, self.top])) * self.scale - 0.5
        matrix = np.array([[scale, 0.0, offset[0]], [0.0, scale, offset[1]]])
        return np.asarray(
            cv2.warpAffine(picture, matrix, (CANVAS, CANVAS), flags=cv2.INTER_LINEAR), np.uint8
        )


class CutStudio(Studio):
    """Draws whole frames and keeps the cover of golfer, club and ball beside the light."""

    def cut(self, time_s: float, index: int, frame: _Cut) -> Bytes:
        """(384, 384, 4): sRGB and cover of one frame's square."""
        film = self.dials.film
        plan = plan_frame(self.motion, self.camera, film, time_s, STEP_PX)
        picture = self.plate.at(time_s, film.exposure_s, film.rolling_shutter_s)
        np.nan_to_num(picture, copy=False)
        self._add_surroundings(picture, time_s + film.exposure_s / 2.0)
        box, ground = self._boxes(plan)
        light, dark = self._stage.swing(plan, self._golfer, self._club, self._ball, (box, ground))
        _shade_and_lay(picture, box, ground, light, dark)
        cover = np.zeros(picture.shape[:2], np.float32)
        cover[box.slices] = light[..., 3]
        np.nan_to_num(
            picture, copy=False
        )  # some cards give a normal of no length where triangles meet
        seen = self._sensor.expose(picture, index)
        alpha = np.rint(255.0 * np.clip(cover, 0.0, 1.0)).astype(np.uint8)
        return np.dstack([frame.cut(seen), frame.cut(alpha)])


def _shade_and_lay(picture: Picture, box: Box, ground: Box, light: Picture, dark: Picture) -> None:
    _darken(picture, ground, dark)
    _lay(picture, box, light)


def _sample(
    seen: Bytes, frame: _Cut, camera: StudioCamera, motion: Motion, start_s: float
) -> Sample:
    film = camera.dials.film
    shares = np.linspace(0.0, 1.0, _NODES)
    times = [float(t) for t in start_s + film.exposure_s / 2.0 + shares * film.rolling_shutter_s]
    worlds = [_world(motion.at(time)) for time in times]
    time_s, world = times[_NODES // 2], worlds[_NODES // 2]
    depth = (world - camera.position) @ camera.axes(time_s)[2]
    hips = depth[_HIPS].mean()
    facts = (
        camera.azimuth_deg,
        camera.roll_deg,
        _hips_below_deg(world, camera),
        frame.scale * camera.focal_px / hips,
        hips,
        float(camera.position[2]),
        float(camera.dials.camera.view is View.FACE_ON),
    )
    return Sample(
        picture=seen,
        pixels=frame.to_canvas(_by_rows(camera, worlds, times)).astype(np.float32),
        depth_m=(depth - hips).astype(np.float32),
        world_m=world.astype(np.float32),
        camera=np.array(facts, np.float32),
    )


def _hips_below_deg(world: Array, camera: StudioCamera) -> float:
    """Degrees from level down to the middle of the hips, from the lens: the same however the lens is
    turned, so the pictures of one clip tell it together."""
    from_lens = world[_HIPS].mean(axis=0) - camera.position
    level_m = math.hypot(float(from_lens[0]), float(from_lens[1]))
    return math.degrees(math.atan2(-float(from_lens[2]), level_m))


def _by_rows(camera: StudioCamera, worlds: list[Array], times: list[float]) -> Array:
    """(24, 2) picture pixels of every point, each at the middle of its own row's exposure."""
    shares = np.linspace(0.0, 1.0, _NODES)
    seen = np.array([camera.project(w, t) for w, t in zip(worlds, times, strict=True)])
    at = np.full(len(POINTS), 0.5)
    place = seen[_NODES // 2]
    for _ in range(_ROUNDS):
        place = np.array(
            [
                [np.interp(at[p], shares, seen[:, p, axis]) for axis in (0, 1)]
                for p in range(len(POINTS))
            ]
        )
        at = np.clip(np.nan_to_num(place[:, 1], nan=0.0) / camera.height, 0.0, 1.0)
    return np.asarray(place)


def _world(pose: Pose) -> Array:
    ball = pose.ball
    if ball is None or math.hypot(float(ball[0]), float(ball[1])) > _GONE_M:
        ball = np.full(3, np.nan)
    return np.array([*(pose.joints[j] for j in Joint), *(pose.club[c] for c in ClubPoint), ball])
