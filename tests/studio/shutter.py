"""Time and light inside one frame: which instants it is made of, and what the sensor makes of it.

A row's exposure starts ``rolling_shutter_s`` * row / last row after the first row's and lasts
``exposure_s``. The span from the first row's start to the last row's end is cut into cells; every
cell shows its own middle instant, weighted in each row by the share of that row's exposure that
falls into it, and the weights of a row sum to one.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation, Slerp

from tests.studio.camera import StudioCamera
from tests.studio.dials import FilmDials
from tests.studio.pose import Array, Motion, Pose

STEP_PX = 2.0
"""Longest move of a point from one cell to the next, pixels."""
BODY_CELLS, FAST_CELLS = 16, 160
"""Most cells of the body, and of club and ball, a frame."""
_TURN_RAD = 0.12
"""Largest turn of the club that is interpolated rather than asked of the motion."""

FULL_WELL = 9000.0
READ_NOISE = 5.0
FULL_SUN_S = 1 / 2500
"""Exposure that fills the sensor in full sunlight, f/1.8 at the lowest gain."""
_FEWEST = 150.0
_STRENGTH = 2.2
_POOL_EXTRA = 131

Picture = NDArray[np.float32]
Bytes = NDArray[np.uint8]


@dataclass(frozen=True, slots=True)
class Plan:
    """What a frame is made of. ``body``: a pose for each of (n, 2) ``body_cells``. Club and ball:
    (m, 4, 4) ``club_frames`` and (m, 3) ``balls`` (NaN for none) for each of (m, 2) ``fast_cells``,
    m a multiple of n. Cells: start and end, seconds after the first row's start. ``poses``: every
    pose that was asked for, in order of time.
    """

    start_s: float
    body: list[Pose]
    body_cells: Array
    club_frames: Array
    balls: Array
    fast_cells: Array
    poses: list[Pose]

    @property
    def fast_a_body(self) -> int:
        """Cells of the club to a cell of the body."""
        return len(self.fast_cells) // len(self.body_cells)


def plan_frame(
    motion: Motion,
    camera: StudioCamera,
    film: FilmDials,
    start_s: float,
    step_px: float = STEP_PX,
) -> Plan:
    """The instants that frame ``start_s`` needs for steps of about ``step_px``."""
    span = film.exposure_s + film.rolling_shutter_s
    known = _asked(motion, camera, start_s, span)
    poses = [known[time] for time in sorted(known)]
    bodies = min(BODY_CELLS, max(1, math.ceil(_path_px(poses, camera, _joints) / step_px)))
    fast = _path_px(poses, camera, _fast_points)
    each = max(1, math.ceil(min(FAST_CELLS, fast / step_px) / bodies))
    body_cells, fast_cells = _cells(span, bodies), _cells(span, bodies * each)
    middles = start_s + body_cells.mean(axis=1)
    body = [_pose_at(known, motion, float(middle)) for middle in middles]
    poses = [known[time] for time in sorted(known)]
    at = start_s + fast_cells.mean(axis=1)
    return Plan(
        start_s=start_s,
        body=body,
        body_cells=body_cells,
        club_frames=_club_frames(poses, at),
        balls=_balls(poses, at),
        fast_cells=fast_cells,
        poses=poses,
    )


def _asked(motion: Motion, camera: StudioCamera, start_s: float, span: float) -> dict[float, Pose]:
    """Poses at both ends, the middle and every strike inside, and between them where the club
    turns far.
    """
    end_s = start_s + span
    strikes = [when for when in motion.planned_impacts_s if start_s < when < end_s]
    times = sorted({start_s, start_s + span / 2.0, end_s, *strikes})
    known = {time: motion.at(time) for time in times}
    for first, second in pairwise(times):
        turn = _turned(known[first], known[second])
        pieces = max(1, math.ceil(turn / _TURN_RAD))
        for piece in range(1, pieces):
            time = first + (second - first) * piece / pieces
            known[time] = motion.at(time)
    return known


def _turned(first: Pose, second: Pose) -> float:
    """Angle between two shafts, radians."""
    cosine = float(first.club_frame[:3, 2] @ second.club_frame[:3, 2])
    return math.acos(max(-1.0, min(1.0, cosine)))


def _pose_at(known: dict[float, Pose], motion: Motion, time_s: float) -> Pose:
    if time_s not in known:
        known[time_s] = motion.at(time_s)
    return known[time_s]


def _cells(span: float, count: int) -> Array:
    edges = np.linspace(0.0, span, count + 1)
    return np.stack([edges[:-1], edges[1:]], axis=1)


def _joints(pose: Pose) -> Array:
    return np.array(list(pose.joints.values()))


def _fast_points(pose: Pose) -> Array:
    ball = np.full(3, np.nan) if pose.ball is None else pose.ball
    return np.array([*pose.club.values(), ball])


def _path_px(poses: list[Pose], camera: StudioCamera, points: Callable[[Pose], Array]) -> float:
    """Longest way of any point that stays in or near the picture, pixels."""
    seen = np.array([camera.project(points(pose), pose.time_s) for pose in poses])
    size = np.array([camera.width, camera.height])
    near = np.abs(seen / size - 0.5) < 0.7
    shown = near[..., 0] & near[..., 1]
    steps = np.linalg.norm(np.diff(seen, axis=0), axis=2)
    steps = np.where(shown[:-1] | shown[1:], steps, 0.0)
    return float(np.nansum(steps, axis=0).max(initial=0.0))


def _club_frames(poses: list[Pose], at: Array) -> Array:
    """(m, 4, 4) club frames at times ``at``: the butt end straight, the turn evenly between poses."""
    frames = np.array([pose.club_frame for pose in poses])
    times = np.array([pose.time_s for pose in poses])
    result = np.tile(np.eye(4), (len(at), 1, 1))
    if len(times) == 1:
        result[:] = frames[0]
        return result
    inside = np.clip(at, times[0], times[-1])
    result[:, :3, :3] = Slerp(times, Rotation.from_matrix(frames[:, :3, :3]))(inside).as_matrix()
    for axis in range(3):
        result[:, axis, 3] = np.interp(inside, times, frames[:, axis, 3])
    return result


def _balls(poses: list[Pose], at: Array) -> Array:
    """(m, 3) the ball's centres at times ``at``; NaN where there is none."""
    times = np.array([pose.time_s for pose in poses])
    places = np.array([np.full(3, np.nan) if pose.ball is None else pose.ball for pose in poses])
    return np.stack([np.interp(at, times, places[:, axis]) for axis in range(3)], axis=1)


class Sensor:
    """Noise and tone of one clip. ``illuminance``: of full sunlight."""

    def __init__(
        self, film: FilmDials, illuminance: float, shape: tuple[int, int], seed: int
    ) -> None:
        filled = min(1.0, illuminance * film.exposure_s / FULL_SUN_S)
        self.electrons = max(_FEWEST, FULL_WELL * filled)
        self._shot = np.float32((film.noise * _STRENGTH) ** 2 / self.electrons)
        self._read = np.float32((film.noise * _STRENGTH * READ_NOISE / self.electrons) ** 2)
        self._shape, self._seed = shape, seed
        self._pool = _grain(shape, seed) if film.noise > 0.0 else None

    def sigma(self, light: NDArray[np.float32] | float) -> NDArray[np.float32]:
        """One sigma of the noise on a linear light, same unit."""
        sigma: Picture = np.sqrt(self._shot * np.maximum(np.float32(0.0), light) + self._read)
        return sigma

    def expose(self, light: Picture, index: int) -> Bytes:
        """(H, W, 3) uint8 sRGB of linear light (H, W, 3); frame ``index`` picks the noise. Changes
        ``light``.
        """
        if self._pool is not None:
            rows, columns = self._shape
            random = np.random.default_rng([self._seed, 0x40, index])
            down, right = random.integers(0, _POOL_EXTRA, 2)
            grain = self._pool[down : down + rows, right : right + columns]
            if index % 2:
                grain = grain[::-1]
            light += self.sigma(light) * grain
        return toned(light)


def _grain(shape: tuple[int, int], seed: int) -> Picture:
    """(h, w, 3) noise of unit size; neighbours hang together a little, as after a demosaic, and the
    colours share half of it.
    """
    random = np.random.default_rng([seed, 0x41])
    size = (shape[0] + _POOL_EXTRA, shape[1] + _POOL_EXTRA, 3)
    grain = random.standard_normal(size, dtype=np.float32)
    grain += random.standard_normal((*size[:2], 1), dtype=np.float32)
    soft: Picture = np.asarray(cv2.GaussianBlur(grain, (0, 0), 0.55), np.float32)
    soft /= soft.std()
    return soft


_STEPS = 8191
_BRIGHTEST = 1.6


def _tone_table() -> Bytes:
    """sRGB of linear light 0 to ``_BRIGHTEST``, highlights rolled off above 0.75."""
    light = np.linspace(0.0, _BRIGHTEST, _STEPS + 1)
    over = np.maximum(light - 0.75, 0.0)
    light = np.minimum(light, 0.75) + 0.25 * (1.0 - np.exp(-over / 0.25))
    coded = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    return np.rint(255.0 * np.clip(coded, 0.0, 1.0)).astype(np.uint8)


_TONES = _tone_table()


def toned(light: Picture) -> Bytes:
    """8-bit sRGB of linear light; straight up to 0.75, softly rolled off above. Changes ``light``."""
    light *= np.float32(_STEPS / _BRIGHTEST)
    light += np.float32(0.5)  # to the nearest step, not to the one below
    np.clip(light, 0.0, _STEPS, out=light)
    return _TONES[light.astype(np.uint16)]
