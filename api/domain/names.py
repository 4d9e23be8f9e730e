"""Ids of views, sides, instants and overlay points. Stable: stored and sent as text."""

from enum import StrEnum


class Role(StrEnum):
    """What a person may do inside one academy."""

    STUDENT = "student"
    COACH = "coach"
    ADMIN = "admin"
    GUARDIAN = "guardian"
    """Answers for children of the academy: consents, reads along, withdraws. Never invited by the office
    without a child (``api.services.guardians``)."""


INVITED = (Role.STUDENT, Role.COACH, Role.ADMIN)
"""Whom the office invites."""


class View(StrEnum):
    """Where the camera stands: square to the chest, or behind on the hands' line."""

    FACE_ON = "face-on"
    DOWN_THE_LINE = "down-the-line"


class Hand(StrEnum):
    """The side the golfer plays from, with this club."""

    RIGHT = "right"
    LEFT = "left"


class Purpose(StrEnum):
    """What the swing on the clip is."""

    FULL = "full"
    REHEARSAL = "rehearsal"
    PAUSE = "pause"
    SLOW = "slow"


class KeyframeId(StrEnum):
    """Instants of a swing, in order."""

    ADDRESS = "address"
    TAKEAWAY = "takeaway"
    HANDS_PAST_TRAIL_LEG = "hands_past_trail_leg"
    LEAD_ARM_PARALLEL = "lead_arm_parallel"
    TOP = "top"
    LEAD_ARM_PARALLEL_DOWN = "lead_arm_parallel_down"
    DELIVERY = "delivery"
    IMPACT = "impact"
    FINISH = "finish"


class PointName(StrEnum):
    """Points on a picture that a checkpoint is computed from and a coach may drag."""

    LEAD_SHOULDER = "lead_shoulder"
    LEAD_ELBOW = "lead_elbow"
    LEAD_WRIST = "lead_wrist"
    TRAIL_SHOULDER = "trail_shoulder"
    TRAIL_WRIST = "trail_wrist"
    LEAD_EAR = "lead_ear"
    TRAIL_EAR = "trail_ear"
    LEAD_HIP = "lead_hip"
    TRAIL_HIP = "trail_hip"
    TRAIL_KNEE = "trail_knee"
    LEAD_ANKLE = "lead_ankle"
    TRAIL_ANKLE = "trail_ankle"
    TRAIL_TOE = "trail_toe"
    BUTT = "butt"
    CLUBHEAD = "clubhead"
    BALL = "ball"


class Unit(StrEnum):
    """Units a reading may have."""

    DEGREES = "deg"
    GRIP_LENGTHS = "grip"
    SECONDS = "s"
    RATIO = "ratio"
    STANCES = "stance"
    HEADS = "head"
    SHOULDERS = "shoulder"
    STATURES = "stature"


class Band(StrEnum):
    """How a value sits against its target.

    ``too_close`` when its interval straddles a limit, ``no_target`` where nothing is asked of it.
    """

    GOOD = "good"
    WATCH = "watch"
    OUTSIDE = "outside"
    TOO_CLOSE = "too_close"
    NO_TARGET = "no_target"
