"""One real person before four calibrated cameras: the recording, its geometry, and what it gives.

Where the same joint is found in several pictures of one instant, the rays must meet. How far they
miss is an error of the points that no hand-made truth is needed for. What all views share (a
network's idea of a joint that lies off the person's, the same from every side) stays unseen.
"""

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import av
import cv2
import numpy as np
from numpy.typing import NDArray

from worker.body.joints import Joint

Array = NDArray[np.float64]
Picture = NDArray[np.uint8]

PHOTOGRAPHS = Path(__file__).resolve().parent / "photographs"
FOUR_CAMERAS = PHOTOGRAPHS / "four_cameras"
CAMERAS = ("cam1", "cam2", "cam3", "cam4")
FRAMES = 100
CHECKED_JOINTS = (
    Joint.LEAD_SHOULDER,
    Joint.TRAIL_SHOULDER,
    Joint.LEAD_ELBOW,
    Joint.TRAIL_ELBOW,
    Joint.LEAD_WRIST,
    Joint.TRAIL_WRIST,
    Joint.LEAD_HIP,
    Joint.TRAIL_HIP,
    Joint.LEAD_KNEE,
    Joint.TRAIL_KNEE,
    Joint.LEAD_ANKLE,
    Joint.TRAIL_ANKLE,
)
_ROUNDS = 30
"""Alternations of meeting points and camera offsets; they settle within ten."""


@dataclass(frozen=True, slots=True)
class Camera:
    """One camera: OpenCV's model. World metres to pixels (centre of the first pixel is 0, 0)."""

    matrix: Array
    distortion: Array
    rotation: Array
    translation_m: Array

    def rays(self, points: Array) -> Array:
        """Pixels (n, 2) to directions (n, 2): x and y at depth 1, lens distortion taken out."""
        found = cv2.undistortPoints(points[:, np.newaxis], self.matrix, self.distortion)
        return np.asarray(found[:, 0], dtype=np.float64)

    def project(self, points_m: Array) -> Array:
        """World points (n, 3) to pixels (n, 2)."""
        turn = cv2.Rodrigues(self.rotation)[0]
        found = cv2.projectPoints(points_m, turn, self.translation_m, self.matrix, self.distortion)
        return np.asarray(found[0][:, 0], dtype=np.float64)


@dataclass(frozen=True, slots=True)
class Meeting:
    """Where rays meet: ``points_m`` (n, 3), and ``left_px`` (cameras, n, 2), seen less met.

    ``offsets_px`` (cameras, 2) is what one camera's points had in common and was taken out, if
    ``common``.
    """

    points_m: Array
    left_px: Array
    offsets_px: Array
    common: bool

    @property
    def sigma_px(self) -> float:
        """One sigma of a point, each axis: the residual's spread, for what the fit has swallowed."""
        points = self.left_px.shape[1]
        return float(np.sqrt((self.left_px**2).mean()) * swallowed(points, common=self.common))


def swallowed(points: int, *, common: bool) -> float:
    """What a root mean square residual of the four cameras must be multiplied by.

    Each point gives eight coordinates and takes three; the cameras' shifts take up to eight more,
    counted in full (by trial about seven: a shift of the world is nearly a shift of every picture), so
    that with few points the sigma errs to the large side.
    """
    given = 2.0 * len(CAMERAS) * points
    taken = 3.0 * points + (2.0 * len(CAMERAS) if common else 0.0)
    return float(np.sqrt(given / (given - taken)))


@cache
def cameras() -> tuple[Camera, ...]:
    """The four cameras as calibrated by those who made the recording."""
    raw = json.loads((FOUR_CAMERAS / "calibration.json").read_text())
    return tuple(
        Camera(
            np.array(raw[name]["matrix"]),
            np.array(raw[name]["distortion"]),
            np.array(raw[name]["rotation"]),
            np.array(raw[name]["translation_m"]),
        )
        for name in CAMERAS
    )


def clip(camera: str) -> Path:
    """The camera's clip."""
    return FOUR_CAMERAS / f"{camera}.mp4"


def frames(camera: str, which: Sequence[int]) -> Iterator[Picture]:
    """Frames of a camera's clip by index, rising; RGB."""
    wanted = set(which)
    with av.open(str(clip(camera))) as container:
        for index, frame in enumerate(container.decode(video=0)):
            if index in wanted:
                yield np.asarray(frame.to_ndarray(format="rgb24"), dtype=np.uint8)


def placed() -> dict[str, dict[Joint, Array]]:
    """Joint centres placed by eye on the first frame, by camera. Pixels."""
    raw = json.loads((FOUR_CAMERAS / "placed.json").read_text())
    return {
        name: {Joint[key.upper()]: np.array(at) for key, at in raw[name].items()}
        for name in CAMERAS
    }


def placed_sigma_px() -> float:
    """One sigma of a placed point, each axis, as stated by who placed them."""
    return float(json.loads((FOUR_CAMERAS / "placed.json").read_text())["sigma_px"])


def meet(seen: Array, seeing: Sequence[Camera], *, common: bool = True) -> Meeting:
    """Meeting points of ``seen`` (cameras, n, 2) pixels.

    With ``common``, a shift that all of one camera's points share is taken out: the recording's
    calibration and its cut borders are good to some pixels only, and that is not the points' error.
    """
    offsets = np.zeros((len(seeing), 2))
    points, left = _meet(seen, seeing)
    for _ in range(_ROUNDS if common else 0):
        offsets += left.mean(axis=1)
        points, left = _meet(seen - offsets[:, np.newaxis], seeing)
    return Meeting(points, left, offsets, common)


def _meet(seen: Array, seeing: Sequence[Camera]) -> tuple[Array, Array]:
    rays = np.stack([camera.rays(seen[k]) for k, camera in enumerate(seeing)])
    points = np.stack([_nearest_point(rays[:, n], seeing) for n in range(seen.shape[1])])
    back = np.stack([camera.project(points) for camera in seeing])
    return points, seen - back


def _nearest_point(rays: Array, seeing: Sequence[Camera]) -> Array:
    """Linear meeting point (3,) of one ray (2,) a camera, each row weighed by the depth it has.

    For direction (u, v): (r1 - u r3) . X = u t3 - t1, and so for v. Divided by the depth, the rows
    are errors of direction, alike for a near and a far camera; two rounds settle the depths.
    """
    depth = np.ones(len(seeing))
    point = np.zeros(3)
    for _ in range(3):
        rows, rights = [], []
        for (u, v), camera, z in zip(rays, seeing, depth, strict=True):
            r, t = camera.rotation, camera.translation_m
            rows += [(r[0] - u * r[2]) / z, (r[1] - v * r[2]) / z]
            rights += [(u * t[2] - t[0]) / z, (v * t[2] - t[1]) / z]
        point = np.linalg.lstsq(np.array(rows), np.array(rights), rcond=None)[0]
        depth = np.array(
            [camera.rotation[2] @ point + camera.translation_m[2] for camera in seeing]
        )
    return np.asarray(point)
