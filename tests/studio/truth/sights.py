"""What a camera sees of a figure at a time.

Pixels here are the right-hander's upright display pixels, x right, y down, before any mirror; a
rolling shutter plays no part: the truth of an instant is the whole figure at that instant.
Directions: degrees, 0 to the picture's right, 90 up.
"""

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from api.domain.names import View
from tests.studio.pose import Array, ClubPoint, Joint
from tests.studio.truth.points import Points
from tests.studio.truth.track import Figure, Track


class Camera(Protocol):
    """What a truth needs of a camera: its picture's size, and where it sees points (..., 3)."""

    @property
    def width(self) -> int: ...

    @property
    def height(self) -> int: ...

    def project(self, points: Array, time_s: float) -> Array: ...


@dataclass(frozen=True, slots=True)
class Seen(Points):
    """A figure in a picture: (2,) pixels of each point."""

    joints: dict[Joint, Array]
    club: dict[ClubPoint, Array]
    ball: Array | None

    @property
    def shaft_px(self) -> float:
        return float(np.linalg.norm(self.shaft))


@dataclass(frozen=True, slots=True)
class Scene:
    """One swing's film: the motion, the two cameras, and facts that formulas need.

    ``club_m`` from butt end to hosel; ``grip_m`` of rubber; ``stature_m``.
    """

    track: Track
    view: View
    ideal: Camera
    actual: Camera
    club_m: float
    grip_m: float
    stature_m: float

    def seen(self, camera: Camera, time_s: float) -> Seen:
        """A camera's picture of the figure at a time."""
        figure = self.track.at(time_s)
        return see(figure, camera, time_s)


@dataclass(frozen=True, slots=True)
class Look:
    """One camera's eye on a scene: ``look(time_s)`` is its picture then."""

    scene: Scene
    camera: Camera

    def __call__(self, time_s: float) -> Seen:
        return self.scene.seen(self.camera, time_s)

    def grip_px(self, address_s: float) -> float:
        """Pixels per grip length, from the club at address (leaning or not)."""
        return self(address_s).shaft_px * self.scene.grip_m / self.scene.club_m


def see(figure: Figure, camera: Camera, time_s: float) -> Seen:
    """Project every point of a figure."""
    joints, club = list(figure.joints), list(figure.club)
    places = [figure.joints[one] for one in joints] + [figure.club[one] for one in club]
    if figure.ball is not None:
        places.append(figure.ball)
    pixels = camera.project(np.array(places), time_s)
    named = dict(zip(joints, pixels, strict=False))
    held = dict(zip(club, pixels[len(joints) :], strict=False))
    return Seen(named, held, None if figure.ball is None else pixels[-1])


def bearing(vector: Array) -> float:
    """Direction of a vector in the picture: degrees in (-180, 180], 0 right, 90 up."""
    return float(np.degrees(np.arctan2(-vector[1], vector[0])))


def full_turn(angle_deg: float) -> float:
    """The same direction in [0, 360)."""
    return float(angle_deg % 360.0)


def half_turn(angle_deg: float) -> float:
    """The same direction in [-180, 180)."""
    return float((angle_deg + 180.0) % 360.0 - 180.0)


def between(one: Array, two: Array) -> float:
    """Angle between two vectors of any dimension: degrees in [0, 180], well conditioned.

    Kahan's form: ``2 atan2(|a/|a| - b/|b||, |a/|a| + b/|b||)``.
    """
    first, second = one / np.linalg.norm(one), two / np.linalg.norm(two)
    apart, along = np.linalg.norm(first - second), np.linalg.norm(first + second)
    return float(np.degrees(2.0 * np.arctan2(apart, along)))
