"""A golfer and a club at one instant, and a motion that gives them for every instant."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


class Joint(StrEnum):
    """Joint centres of the rig, and points of the head and feet."""

    NOSE = "nose"
    LEAD_EAR = "lead_ear"
    TRAIL_EAR = "trail_ear"
    LEAD_SHOULDER = "lead_shoulder"
    TRAIL_SHOULDER = "trail_shoulder"
    LEAD_ELBOW = "lead_elbow"
    TRAIL_ELBOW = "trail_elbow"
    LEAD_WRIST = "lead_wrist"
    TRAIL_WRIST = "trail_wrist"
    LEAD_HIP = "lead_hip"
    TRAIL_HIP = "trail_hip"
    LEAD_KNEE = "lead_knee"
    TRAIL_KNEE = "trail_knee"
    LEAD_ANKLE = "lead_ankle"
    TRAIL_ANKLE = "trail_ankle"
    LEAD_HEEL = "lead_heel"
    TRAIL_HEEL = "trail_heel"
    LEAD_TOE = "lead_toe"
    TRAIL_TOE = "trail_toe"


class ClubPoint(StrEnum):
    """Points of the club's axis: top end, lower end of the grip, hosel centre, middle of the face."""

    BUTT = "butt"
    GRIP_END = "grip_end"
    HOSEL = "hosel"
    FACE = "face"


@dataclass(frozen=True, slots=True)
class Pose:
    """One instant in the right-hander's world (metres; X target, Y inside, Z up).

    ``bones``: (152, 4, 4) matrices that take the scaled rest mesh to the world. ``joints`` and
    ``club``: (3,) points. ``club_frame``: (4, 4) from the club's own frame (origin at the butt end,
    z along the shaft to the head, x out of the face) to the world. ``ball``: (3,) its centre, or
    ``None`` where there is none.
    """

    time_s: float
    bones: NDArray[np.float32]
    joints: dict[Joint, Array]
    club: dict[ClubPoint, Array]
    club_frame: Array
    ball: Array | None


class Motion(Protocol):
    """The whole clip as a function of time, from 0 to ``duration_s`` (seconds of life, not of a
    slowed file). ``planned_impacts_s`` are the times the ball was set to be hit, for sound and ball.
    """

    @property
    def duration_s(self) -> float: ...

    @property
    def planned_impacts_s(self) -> tuple[float, ...]: ...

    def at(self, time_s: float) -> Pose: ...
