"""A stick golfer whose every instant can be worked out by hand.

Arm and club swing in the plane of the ball line (Y = 0), about a fixed lead shoulder right above the
ball's near side. ``theta`` is the arm's angle from straight down, away from the target, ``phi`` the
shaft's, degrees. One swing lasts 1.4 s of its own time:

- 0 to 0.8 s back: ``theta = 120 q``, ``q = (1 - cos(pi t / 0.8)) / 2``;
- 0.8 to 1.4 s down and through: ``theta = 120 - 240 q``, ``q = (1 - cos(pi (t - 0.8) / 0.6)) / 2``;
- ``phi = 2 theta`` on the trail side and ``phi = theta`` past the bottom: the wrists set by as much as
  the arm has risen, so that arm and shaft make 180 - theta.
"""

from dataclasses import dataclass

import numpy as np

from tests.studio.pose import Array, ClubPoint, Joint, Pose

BALL_RADIUS_M = 0.04267 / 2.0
ARM_M, CLUB_M, GRIP_M = 0.6, 0.9, 0.267
SHOULDER = np.array([-BALL_RADIUS_M, 0.0, ARM_M + CLUB_M + BALL_RADIUS_M])
LEG_X = -0.30
BACK_S, THROUGH_S = 0.8, 0.6
TOP_DEG = 120.0
TORSO_M = 0.5


@dataclass(frozen=True, slots=True)
class Stick:
    """``starts_s``: when each swing leaves address. ``pause``: own time at which each swing stops, and
    for how long. ``stop_at_top``: it stays there. ``waggle_s``: starts of 0.3 s of waggling 8 degrees.
    ``flight``: the ball leaves at 50 m/s along X from this time on.
    """

    duration_s: float = 4.0
    starts_s: tuple[float, ...] = (1.0,)
    pause: tuple[float, float] = (0.0, 0.0)
    stop_at_top: bool = False
    waggles_s: tuple[float, ...] = ()
    ball: bool = True
    struck_s: float = np.inf

    @property
    def planned_impacts_s(self) -> tuple[float, ...]:
        return ()

    def own_time(self, time_s: float) -> float:
        """Time within the swing under way; negative before the first."""
        begun = [start for start in self.starts_s if start <= time_s]
        own = time_s - begun[-1] if begun else -1.0
        at, length = self.pause
        if own > at:
            own = max(at, own - length)
        return min(own, BACK_S) if self.stop_at_top else own

    def angles(self, time_s: float) -> tuple[float, float]:
        """``theta`` and ``phi``, degrees."""
        own = self.own_time(time_s)
        if own < 0:
            waggling = [one for one in self.waggles_s if one <= time_s < one + 0.3]
            share = (time_s - waggling[-1]) / 0.3 if waggling else 0.0
            return 8.0 * np.sin(np.pi * share) ** 2, 8.0 * np.sin(np.pi * share) ** 2
        if own <= BACK_S:
            theta = TOP_DEG * (1.0 - np.cos(np.pi * own / BACK_S)) / 2.0
        else:
            share = min((own - BACK_S) / THROUGH_S, 1.0)
            theta = TOP_DEG - 2.0 * TOP_DEG * (1.0 - np.cos(np.pi * share)) / 2.0
        return theta, theta + max(theta, 0.0)

    def at(self, time_s: float) -> Pose:
        theta, phi = self.angles(time_s)
        wrist = SHOULDER + ARM_M * _hanging(theta)
        shaft = _hanging(phi)
        hosel = wrist + CLUB_M * shaft
        club = {
            ClubPoint.BUTT: wrist,
            ClubPoint.GRIP_END: wrist + GRIP_M * shaft,
            ClubPoint.HOSEL: hosel,
            ClubPoint.FACE: hosel,
        }
        joints = body() | {Joint.LEAD_WRIST: wrist, Joint.TRAIL_WRIST: wrist}
        joints[Joint.LEAD_ELBOW] = 0.5 * (SHOULDER + wrist)
        flown = max(0.0, time_s - self.struck_s) * 50.0
        ball = np.array([flown, 0.0, BALL_RADIUS_M]) if self.ball else None
        bones = np.zeros((0, 4, 4), np.float32)
        return Pose(time_s, bones, joints, club, np.eye(4), ball)


def _hanging(angle_deg: float) -> Array:
    angle = np.radians(angle_deg)
    return np.array([-np.sin(angle), 0.0, -np.cos(angle)])


def body() -> dict[Joint, Array]:
    """Joints that do not move: an upright trunk, straight legs, the trail leg's line at LEG_X."""
    high, hip = float(SHOULDER[2]), float(SHOULDER[2]) - TORSO_M
    places = {
        Joint.NOSE: (0.0, -0.1, high + 0.25),
        Joint.LEAD_EAR: (0.08, 0.0, high + 0.25),
        Joint.TRAIL_EAR: (-0.08, 0.0, high + 0.25),
        Joint.LEAD_SHOULDER: tuple(SHOULDER),
        Joint.TRAIL_SHOULDER: (SHOULDER[0] - 0.4, 0.0, high),
        Joint.TRAIL_ELBOW: (SHOULDER[0] - 0.3, 0.0, high - 0.3),
        Joint.LEAD_HIP: (LEG_X + 0.2, 0.0, hip),
        Joint.TRAIL_HIP: (LEG_X, 0.0, hip),
        Joint.LEAD_KNEE: (LEG_X + 0.2, 0.0, 0.5),
        Joint.TRAIL_KNEE: (LEG_X, 0.0, 0.5),
        Joint.LEAD_ANKLE: (LEG_X + 0.2, 0.0, 0.1),
        Joint.TRAIL_ANKLE: (LEG_X, 0.0, 0.1),
        Joint.LEAD_HEEL: (LEG_X + 0.2, 0.08, 0.0),
        Joint.TRAIL_HEEL: (LEG_X, 0.08, 0.0),
        Joint.LEAD_TOE: (LEG_X + 0.2, -0.15, 0.0),
        Joint.TRAIL_TOE: (LEG_X, -0.15, 0.0),
    }
    return {name: np.array(place, dtype=np.float64) for name, place in places.items()}


@dataclass(frozen=True, slots=True)
class Pinhole:
    """A level camera without faults, for cases worked by hand. ``along``: 1 looks along Y (face-on),
    0 along X (down the line). ``place``: metres. ``focal_px`` about the picture's centre.
    """

    place: tuple[float, float, float]
    along: int
    focal_px: float = 1200.0
    width: int = 720
    height: int = 1280

    def project(self, points: Array, time_s: float) -> Array:
        """Display pixels (..., 2); the same at any time."""
        del time_s
        offset = np.asarray(points) - np.array(self.place)
        depth = offset[..., self.along]
        across = offset[..., 0] if self.along == 1 else -offset[..., 1]
        scaled = self.focal_px / depth
        return np.stack(
            [
                (self.width - 1) / 2 + scaled * across,
                (self.height - 1) / 2 - scaled * offset[..., 2],
            ],
            axis=-1,
        )


FACE_ON = Pinhole((0.0, -4.0, 1.0), 1)
DOWN_THE_LINE = Pinhole((-4.0, 0.5, 1.0), 0)
