"""The phone: where it stands, how it is turned, and what its lens does to a point.

World and picture as in ``api.domain.projection``: metres, X to the target, Y inside, Z up; pixels
with x right and y down, the first pixel's centre at 0, 0. Display picture of the right-hander: a
left-hander's is mirrored after everything here (``api.domain.mirror``).
"""

import math
from dataclasses import replace
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from api.domain.names import View
from tests.studio.club import CLUB_LENGTH_M
from tests.studio.dials import CameraDials, ClipDials, GolferDials, SwingDials
from tests.studio.pose import Array, Joint, Pose
from tests.studio.shake import Shake
from tests.studio.swing.motion import make_motion

NEAR_M, FAR_M = 0.4, 120.0
"""What the depth buffer spans."""

LONG_SIDE = {720: 1280, 1080: 1920}
"""Pixels along the long side for each short side."""

# Room wanted in the picture: what hangs below the ball, and the club's head above the hands when it
# stands upright with the lead arm level (shoulder height is 0.82 of stature, after Drillis and
# Contini), metres.
_BELOW_M, _SHOULDER_SHARE, _ABOVE_M = 0.12, 0.82, 0.12
_FLAT = np.array([1.0, 1.0, 0.0])


_TRUNK = (Joint.LEAD_HIP, Joint.TRAIL_HIP, Joint.LEAD_SHOULDER, Joint.TRAIL_SHOULDER)


@lru_cache(maxsize=64)
def _address(golfer: GolferDials, swing: SwingDials) -> Pose:
    """The golfer standing still over the ball."""
    return make_motion(ClipDials("address", 0, golfer, replace(swing, unrest_m=0.0))).at(0.0)


def hands_at_address(dials: ClipDials) -> Array:
    """(3,) the ground below the middle of the wrists at address, metres. The lens of a
    down-the-line clip stands on the line through it.
    """
    at = _address(dials.golfer, dials.swing).joints
    middle: Array = (at[Joint.LEAD_WRIST] + at[Joint.TRAIL_WRIST]) / 2.0 * _FLAT
    return middle


def golfer_middle(dials: ClipDials) -> Array:
    """(3,) the ground below the middle of hips and shoulders at address, metres."""
    at = _address(dials.golfer, dials.swing).joints
    middle: Array = np.mean([at[joint] for joint in _TRUNK], axis=0) * _FLAT
    return middle


class StudioCamera:
    """One camera of one clip. ``width`` and ``height``: upright display pixels. ``focal_px``: pixels.
    ``centre``: pixel that the line of sight meets. ``k1``: first radial coefficient of OpenCV's
    model. ``position``: (3,) metres. ``heading_deg`` and ``down_deg`` as in
    ``api.domain.projection.Camera``; ``down_deg`` is the dialled tilt unless the ball or the
    upright club would leave the picture, then as much as keeps them in.
    """

    def __init__(self, dials: ClipDials) -> None:
        self.dials = dials
        camera = dials.camera
        short, long = dials.film.short_side, LONG_SIDE[dials.film.short_side]
        self.width, self.height = (short, long) if camera.portrait else (long, short)
        self.focal_px = long / 2.0 / math.tan(math.radians(camera.fov_deg) / 2.0)
        self.centre = ((self.width - 1) / 2.0, (self.height - 1) / 2.0)
        self.k1 = camera.distortion
        self.azimuth_deg, self.roll_deg = camera.azimuth_deg, camera.roll_deg
        self.heading_deg = _square_heading(camera.view) + camera.azimuth_deg
        self.position = _stand(dials, self.heading_deg)
        self.down_deg = _tilt(dials, self.focal_px, self.height)
        self.shake = Shake(camera.shake_deg, dials.seed)
        self.still_axes = _axes(self.heading_deg, self.down_deg, self.roll_deg)

    @property
    def shaken(self) -> bool:
        """Whether the picture moves."""
        return self.dials.camera.shake_deg > 0.0

    def axes(self, time_s: float) -> Array:
        """(3, 3) unit rows: picture right, picture down, line of sight, in the world frame."""
        if not self.shaken:
            return self.still_axes
        turned: Array = self.shake.rotation(time_s) @ self.still_axes
        return turned

    def project(self, points: ArrayLike, time_s: float) -> Array:
        """Display pixels (..., 2) of world points (..., 3): lens, distortion and shake at that
        instant; no rolling shutter, no mirror. A point at or behind the lens gives NaN.
        """
        seen = (np.asarray(points, dtype=float) - self.position) @ self.axes(time_s).T
        depth = np.where(seen[..., 2:] > 0.0, seen[..., 2:], np.nan)
        return self.to_pixels(seen[..., :2] / depth)

    def to_pixels(self, plane: Array) -> Array:
        """Pixels (..., 2) of points (..., 2) of the plane one unit before the lens, distorted."""
        squared = (plane**2).sum(axis=-1, keepdims=True)
        pixels: Array = plane * (1.0 + self.k1 * squared) * self.focal_px + np.array(self.centre)
        return pixels

    def to_plane(self, pixels: ArrayLike) -> Array:
        """Inverse of ``to_pixels``, by Newton's steps on the radius (within 1e-9)."""
        bent = (np.asarray(pixels, dtype=float) - np.array(self.centre)) / self.focal_px
        radius = np.linalg.norm(bent, axis=-1, keepdims=True)
        straight = radius.copy()
        for _ in range(8):
            slope = 1.0 + 3.0 * self.k1 * straight**2
            straight -= (straight * (1.0 + self.k1 * straight**2) - radius) / slope
        ratio = np.divide(straight, radius, out=np.ones_like(radius), where=radius > 0.0)
        plane: Array = bent * ratio
        return plane

    def view(self, time_s: float) -> Array:
        """(4, 4) from the world to the camera's (right, down, sight) coordinates, metres."""
        matrix = np.eye(4)
        matrix[:3, :3] = self.axes(time_s)
        matrix[:3, 3] = -matrix[:3, :3] @ self.position
        return matrix

    def matrix(self, time_s: float) -> Array:
        """(4, 4) from the world to GL clip coordinates without distortion, whose y runs *down* the
        picture: row 0 of the picture is row 0 of the frame buffer.
        """
        lens = np.zeros((4, 4))
        lens[0, 0] = 2.0 * self.focal_px / self.width
        lens[1, 1] = 2.0 * self.focal_px / self.height
        lens[0, 2] = (2.0 * self.centre[0] + 1.0) / self.width - 1.0
        lens[1, 2] = (2.0 * self.centre[1] + 1.0) / self.height - 1.0
        lens[2, 2] = (FAR_M + NEAR_M) / (FAR_M - NEAR_M)
        lens[2, 3] = -2.0 * FAR_M * NEAR_M / (FAR_M - NEAR_M)
        lens[3, 2] = 1.0
        matrix: Array = lens @ self.view(time_s)
        return matrix

    def horizon(self, time_s: float) -> tuple[Array, float]:
        """The horizon without distortion: a pixel (2,) on it, nearest to the centre, and its
        direction in the picture, degrees anticlockwise from the picture's right.
        """
        up = self.axes(time_s) @ np.array([0.0, 0.0, 1.0])
        across = np.hypot(up[0], up[1])
        foot = -up[:2] / across * (up[2] / across) * self.focal_px + np.array(self.centre)
        return foot, math.degrees(math.atan2(-up[0], -up[1]))

    def ideal(self) -> "StudioCamera":
        """The ideally placed camera of the same view, distance, height and lens: square, level,
        still and without distortion.
        """
        camera = replace(
            self.dials.camera,
            azimuth_deg=0.0,
            roll_deg=0.0,
            offset_m=0.0,
            shake_deg=0.0,
            distortion=0.0,
        )
        ideal = StudioCamera(replace(self.dials, camera=camera))
        ideal.down_deg = 0.0
        ideal.still_axes = _axes(ideal.heading_deg, 0.0, 0.0)
        return ideal


def _square_heading(view: View) -> float:
    return 90.0 if view is View.FACE_ON else 0.0


def _stand(dials: ClipDials, heading_deg: float) -> Array:
    """Where the lens is: round the golfer by the azimuth, then sideways by the offset."""
    camera = dials.camera
    pivot = golfer_middle(dials) if camera.view is View.FACE_ON else hands_at_address(dials)
    sideways = (1.0, 0.0) if camera.view is View.FACE_ON else (0.0, 1.0)
    heading = math.radians(heading_deg)
    return np.array(
        [
            pivot[0] - camera.distance_m * math.cos(heading) + sideways[0] * camera.offset_m,
            pivot[1] - camera.distance_m * math.sin(heading) + sideways[1] * camera.offset_m,
            camera.height_m,
        ]
    )


def _tilt(dials: ClipDials, focal_px: float, height_px: int) -> float:
    """Tilt below level, degrees: the dialled one, or the nearest to it that keeps ball and upright
    club in the picture; where both do not fit, the ball rules.
    """
    camera = dials.camera
    half = math.degrees(math.atan((height_px / 2.0) / focal_px))
    lowest, highest = _elevations(dials, camera)
    return max(lowest - half, min(half - highest, camera.tilt_deg))


def _elevations(dials: ClipDials, camera: CameraDials) -> tuple[float, float]:
    """How far below and above level the picture has to reach, degrees."""
    face_on = camera.view is View.FACE_ON
    # Nearest to the lens: the ball face-on, the trail foot and the lifted hands down-the-line.
    foot_m, hands_m = (golfer_middle(dials)[1], 0.0) if face_on else (0.35, 0.65)
    low = math.atan2(camera.height_m + _BELOW_M, max(0.5, camera.distance_m - foot_m))
    top = _SHOULDER_SHARE * dials.golfer.stature_m + CLUB_LENGTH_M[dials.swing.club] + _ABOVE_M
    high = math.atan2(top - camera.height_m, max(0.5, camera.distance_m - hands_m))
    return math.degrees(low), math.degrees(high)


def _axes(heading_deg: float, down_deg: float, roll_deg: float) -> NDArray[np.float64]:
    heading, down, roll = (math.radians(part) for part in (heading_deg, down_deg, roll_deg))
    sight = np.array(
        [
            math.cos(heading) * math.cos(down),
            math.sin(heading) * math.cos(down),
            -math.sin(down),
        ]
    )
    level_right = np.array([math.sin(heading), -math.cos(heading), 0.0])
    level_down = np.cross(sight, level_right)
    right = math.cos(roll) * level_right + math.sin(roll) * level_down
    return np.stack([right, np.cross(sight, right), sight])
