"""What one lens does to a picture: a pinhole camera, and what its turning does to an angle.

World frame, right-hander: origin at the ball, X to the target, Y from the ball line towards the
golfer, Z up; metres. Picture: x right, y down, pixels.
"""

import math
from dataclasses import dataclass

from api.domain.geometry import wrap180
from api.domain.measurement import Point

Place = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Camera:
    """A pinhole camera without distortion.

    ``place``: metres, world frame. ``heading_deg``: direction of the line of sight about the
    vertical, from X (0, looking to the target) towards Y (90, looking at the chest). ``down_deg``:
    tilt of the line of sight below level. ``roll_deg``: turn about the line of sight, positive
    turns the *picture's content* anticlockwise, so it adds to every direction. ``focal_px``:
    focal length in pixels. ``centre``: pixel the line of sight meets.
    """

    place: Place
    heading_deg: float
    focal_px: float
    centre: Point
    down_deg: float = 0.0
    roll_deg: float = 0.0

    def axes(self) -> tuple[Place, Place, Place]:
        """Unit vectors of picture right, picture down and line of sight, in the world frame."""
        heading, down = math.radians(self.heading_deg), math.radians(self.down_deg)
        sight = (
            math.cos(heading) * math.cos(down),
            math.sin(heading) * math.cos(down),
            -math.sin(down),
        )
        # The camera looks along `heading`; with Z up its right hand points to heading - 90.
        level_right = (math.sin(heading), -math.cos(heading), 0.0)
        level_down = _cross(sight, level_right)
        roll = math.radians(self.roll_deg)
        right = _mix(level_right, math.cos(roll), level_down, math.sin(roll))
        return right, _cross(sight, right), sight

    def project(self, world: Place) -> Point | None:
        """Pixel of a world point; ``None`` when it lies at or behind the lens."""
        right, down, sight = self.axes()
        offset = tuple(part - origin for part, origin in zip(world, self.place, strict=True))
        depth = _dot(offset, sight)
        if depth <= 0:
            return None
        return (
            self.centre[0] + self.focal_px * _dot(offset, right) / depth,
            self.centre[1] + self.focal_px * _dot(offset, down) / depth,
        )


def _cross(first: Place, second: Place) -> Place:
    return (
        first[1] * second[2] - first[2] * second[1],
        first[2] * second[0] - first[0] * second[2],
        first[0] * second[1] - first[1] * second[0],
    )


def _dot(first: tuple[float, ...], second: tuple[float, ...]) -> float:
    return sum(a * b for a, b in zip(first, second, strict=True))


def _mix(first: Place, first_share: float, second: Place, second_share: float) -> Place:
    return (
        first[0] * first_share + second[0] * second_share,
        first[1] * first_share + second[1] * second_share,
        first[2] * first_share + second[2] * second_share,
    )


def yawed_direction(direction_deg: float, depth_deg: float, yaw_deg: float) -> float:
    """Direction in the picture after the camera is turned by ``yaw_deg`` about the vertical.

    Convention: degrees in (-180, 180]. ``depth_deg`` is the segment's lean out of the square
    picture's plane, positive when its far end is farther from the lens; ``yaw_deg`` positive moves
    far things to the picture's right. Parallel projection:
    ``tan(theta') = sin(theta) / (cos(theta) cos(psi) + tan(phi) sin(psi))``.
    """
    theta, phi, psi = (math.radians(part) for part in (direction_deg, depth_deg, yaw_deg))
    across = math.cos(theta) * math.cos(psi) + math.tan(phi) * math.sin(psi)
    return math.degrees(math.atan2(math.sin(theta), across))


def yaw_effect(direction_deg: float, depth_deg: float, yaw_deg: float) -> float:
    """Exact change of a direction by yaw, degrees in (-180, 180]: ``yawed_direction`` minus it."""
    return wrap180(yawed_direction(direction_deg, depth_deg, yaw_deg) - direction_deg)


def yaw_effect_approx(direction_deg: float, depth_deg: float, yaw_deg: float) -> float:
    """Change of a direction by yaw to second order, degrees; for error budgets.

    ``-psi tan(phi) sin(theta) + psi^2/2 sin(2 theta) (1/2 + tan^2 phi)``, radians inside. Within
    0.12 degrees of the exact form for yaw up to 10 and lean up to 35 degrees.
    """
    theta, phi, psi = (math.radians(part) for part in (direction_deg, depth_deg, yaw_deg))
    lean = math.tan(phi)
    first = -psi * lean * math.sin(theta)
    second = psi**2 / 2.0 * math.sin(2.0 * theta) * (0.5 + lean**2)
    return math.degrees(first + second)


def pitched_direction(direction_deg: float, depth_deg: float, down_deg: float) -> float:
    """Direction in the picture after the camera is tilted down by ``down_deg``.

    Convention: as ``yawed_direction``; tilting down moves far things up in the picture.
    ``tan(theta') = (sin(theta) cos(tau) + tan(phi) sin(tau)) / cos(theta)``.
    """
    theta, phi, tau = (math.radians(part) for part in (direction_deg, depth_deg, down_deg))
    up = math.sin(theta) * math.cos(tau) + math.tan(phi) * math.sin(tau)
    return math.degrees(math.atan2(up, math.cos(theta)))


def pitch_effect(direction_deg: float, depth_deg: float, down_deg: float) -> float:
    """Exact change of a direction by tilting down, degrees in (-180, 180]."""
    return wrap180(pitched_direction(direction_deg, depth_deg, down_deg) - direction_deg)


def pitch_effect_approx(direction_deg: float, depth_deg: float, down_deg: float) -> float:
    """Change of a direction by tilting down to second order, degrees.

    ``tau tan(phi) cos(theta) - tau^2/2 sin(2 theta) (1/2 + tan^2 phi)``, radians inside.
    """
    theta, phi, tau = (math.radians(part) for part in (direction_deg, depth_deg, down_deg))
    lean = math.tan(phi)
    first = tau * lean * math.cos(theta)
    second = tau**2 / 2.0 * math.sin(2.0 * theta) * (0.5 + lean**2)
    return math.degrees(first - second)


def local_yaw(sideways_m: float, distance_m: float) -> float:
    """Extra yaw, degrees, of a point ``sideways_m`` off the line of sight at ``distance_m``."""
    return math.degrees(math.atan2(sideways_m, distance_m))


def angle_in_space(
    picture_angle_deg: float, first_depth_deg: float, second_depth_deg: float
) -> float:
    """True angle between two segments from their angle in the picture and their leans in depth.

    Convention: degrees in [0, 180]; leans positive away from the lens.
    ``cos A = cos(phi1) cos(phi2) cos(alpha) + sin(phi1) sin(phi2)`` (parallel projection).
    """
    alpha, one, two = (
        math.radians(part) for part in (picture_angle_deg, first_depth_deg, second_depth_deg)
    )
    cosine = math.cos(one) * math.cos(two) * math.cos(alpha) + math.sin(one) * math.sin(two)
    return math.degrees(math.acos(max(-1.0, min(1.0, cosine))))
