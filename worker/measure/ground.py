"""Where a line of the picture meets the ground behind a golfer, whatever way the camera looks.

Two points of a shaft and the lens span a plane, and the plane cuts the ground in a line. Where the butt end
points lies on that line, nearer the lens than the ball by a stated length along the ball-target line: that
gives its distance from the ball-target line. It needs no depth of the club, only how the camera stands:
azimuth and roll, the horizon, the lens, and the scale at the ball.

Frames: the lens frame of ``worker.measure.ideal`` (x to the picture's right, y down, z along the line of sight),
levelled.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from api.domain.equipment import GRIP_LENGTH_M
from api.domain.measurement import Estimate, Point
from worker.measure.ideal import Stand
from worker.measure.setting import Setting

Array = NDArray[np.float64]

YAW_SIGMA_DEG = 4.0
ROLL_SIGMA_DEG = 1.0
"""How the camera may stand where the swing network does not tell it (a working budget, no source)."""
NEARER_M = Estimate(0.6, 0.15)
"""How much nearer the lens than the ball the butt end's ground point lies (C02: about 0.6 m)."""
LEAST_SLANT = 0.02
"""Sine of the angle between the shaft's plane and the way across the line: below it the plane is as good as
parallel to that way, and the place is nowhere."""


@dataclass(frozen=True, slots=True)
class Ground:
    """A camera over the ground, behind the golfer. Normalised working pixels, degrees, metres.

    ``azimuth_deg`` and ``roll_deg``: signs as in ``tests.studio.dials.CameraDials``; ``horizon_row``: at the
    picture's middle column, with the roll taken out; ``px_per_m``: at the ball; ``distance_m``: lens to ball along
    the line of sight; ``nearer_m``: how much nearer the lens than the ball, along the line, the point on the ground lies.
    """

    middle: Point
    azimuth_deg: float
    roll_deg: float
    horizon_row: float
    px_per_m: float
    distance_m: float
    nearer_m: float

    @property
    def focal_px(self) -> float:
        """The lens with which a metre at the ball's distance is as large as it is seen."""
        return self.px_per_m * self.distance_m

    def inside_grips(self, butt: Point, clubhead: Point, ball: Point) -> float | None:
        """Grip lengths from the ball-target line, positive towards the golfer.

        ``None`` where the shaft, prolonged beyond the butt end, meets no ground, or the ball lies at or above the horizon.
        """
        rays = [self._ray(point) for point in (butt, clubhead, ball)]
        if rays[2][1] <= 0.0 or rays[0][1] <= rays[1][1]:
            return None
        place = rays[2] * (self.distance_m / rays[2][2])
        plane = np.cross(rays[0], rays[1])
        plane /= max(float(np.linalg.norm(plane)), 1e-12)
        turn = math.radians(self.azimuth_deg)
        nearer = np.array([-math.sin(turn), 0.0, -math.cos(turn)])
        inside = np.array([-math.cos(turn), 0.0, math.sin(turn)])
        slant = float(plane @ inside)
        if abs(slant) < LEAST_SLANT:
            return None
        return -float(plane @ (place + self.nearer_m * nearer)) / slant / GRIP_LENGTH_M

    def vanishing_point(self) -> Point:
        """Where the ball-target line meets the horizon in the picture that was filmed."""
        turn, down, roll = (
            math.radians(self.azimuth_deg),
            self._down,
            math.radians(self.roll_deg),
        )
        x = self.focal_px * math.tan(turn) / math.cos(down)
        y = -self.focal_px * math.tan(down)
        return (
            self.middle[0] + math.cos(roll) * x + math.sin(roll) * y,
            self.middle[1] - math.sin(roll) * x + math.cos(roll) * y,
        )

    @property
    def _down(self) -> float:
        return math.atan2(self.middle[1] - self.horizon_row, self.focal_px)

    def _ray(self, point: Point) -> Array:
        """Way from the lens through a pixel, in the level lens frame."""
        x, y = point[0] - self.middle[0], point[1] - self.middle[1]
        roll, down = math.radians(self.roll_deg), self._down
        x, y = math.cos(roll) * x - math.sin(roll) * y, math.sin(roll) * x + math.cos(roll) * y
        focal = self.focal_px
        return np.array(
            [
                x,
                math.cos(down) * y + math.sin(down) * focal,
                math.cos(down) * focal - math.sin(down) * y,
            ]
        )


@dataclass(frozen=True, slots=True)
class Behind:
    """A camera behind a golfer as far as it is known: each of its values with one sigma."""

    middle: Point
    azimuth_deg: Estimate
    roll_deg: Estimate
    horizon_row: Estimate
    px_per_m: Estimate
    distance_m: Estimate

    @classmethod
    def judged(
        cls, setting: Setting, scale: Estimate, middle: Point, stand: Stand | None
    ) -> "Behind":
        """``scale``: pixels per metre at the ball; ``stand``: ``None`` where nothing tells how the camera stood."""
        return cls(
            middle,
            stand.azimuth if stand else Estimate(0.0, YAW_SIGMA_DEG),
            stand.roll if stand else Estimate(0.0, ROLL_SIGMA_DEG),
            setting.horizon_row,
            scale,
            setting.distance_m,
        )

    @property
    def ground(self) -> Ground:
        """With every value as it most likely is."""
        return Ground(
            self.middle,
            self.azimuth_deg.value,
            self.roll_deg.value,
            self.horizon_row.value,
            self.px_per_m.value,
            self.distance_m.value,
            NEARER_M.value,
        )

    def turned(self) -> tuple[Ground, Ground]:
        """Azimuth, then roll, moved by one sigma."""
        here = self.ground
        return (
            replace(here, azimuth_deg=here.azimuth_deg + self.azimuth_deg.sigma),
            replace(here, roll_deg=here.roll_deg + self.roll_deg.sigma),
        )

    def moved(self) -> tuple[Ground, Ground, Ground]:
        """Distance, nearness of the point and horizon, each moved by one sigma."""
        here = self.ground
        return (
            replace(here, distance_m=here.distance_m + self.distance_m.sigma),
            replace(here, nearer_m=here.nearer_m + NEARER_M.sigma),
            replace(here, horizon_row=here.horizon_row + self.horizon_row.sigma),
        )
