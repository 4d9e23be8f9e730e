"""Names of the body network's points, and tracks of them over time.

Everything here is in the **normalised** picture: a left-hander's frames are mirrored before the
network sees them, so the lead side is always the network's left.
"""

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


class Joint(IntEnum):
    """Index of a body point in the network's output, for the normalised right-hander."""

    NOSE = 0
    LEAD_EAR = 7
    TRAIL_EAR = 8
    LEAD_SHOULDER = 11
    TRAIL_SHOULDER = 12
    LEAD_ELBOW = 13
    TRAIL_ELBOW = 14
    LEAD_WRIST = 15
    TRAIL_WRIST = 16
    LEAD_HIP = 23
    TRAIL_HIP = 24
    LEAD_KNEE = 25
    TRAIL_KNEE = 26
    LEAD_ANKLE = 27
    TRAIL_ANKLE = 28
    LEAD_HEEL = 29
    TRAIL_HEEL = 30
    LEAD_TOE = 31
    TRAIL_TOE = 32


LEAD_HAND, TRAIL_HAND = slice(15, 23, 2), slice(16, 23, 2)
"""Wrist, little finger, index finger and thumb of each hand: the mean of all is the middle of the
grip, since both hands hold it."""

TOGETHER, APART = 0.20, 0.35
"""Distance between the two hands' middles, in torsos: up to the first both are believed, from the
second on only the one seen better. On one grip they are some ten centimetres apart, a fifth of a torso;
with the trail hand hidden at lead arm parallel the network was seen to put it at the lead elbow."""


@dataclass(frozen=True, slots=True)
class BodyTrack:
    """Body points of one person over some frames, in time order.

    ``frames`` (n,) index in the clip; ``times_s`` (n,) presentation time; ``xy`` (n, 33, 2)
    normalised pixels; ``seen`` (n, 33) in [0, 1]. Frames need not be consecutive.
    """

    frames: NDArray[np.int64]
    times_s: Array
    xy: Array
    seen: Array

    def __post_init__(self) -> None:
        """Refuse shapes that do not belong together."""
        n = len(self.frames)
        if self.times_s.shape != (n,) or self.xy.shape != (n, 33, 2) or self.seen.shape != (n, 33):
            raise ValueError("frames, times_s, xy and seen must have the same length")

    def __len__(self) -> int:
        """Number of frames tracked."""
        return len(self.frames)

    def of(self, joint: Joint) -> Array:
        """Track (n, 2) of one joint."""
        return np.asarray(self.xy[:, joint])

    def between(self, first: Joint, second: Joint) -> Array:
        """Track (n, 2) of the midpoint of two joints."""
        return np.asarray((self.xy[:, first] + self.xy[:, second]) / 2.0)

    @property
    def hands(self) -> Array:
        """Track (n, 2) of the middle of both hands."""
        return np.asarray(self.xy[:, LEAD_HAND.start : LEAD_HAND.stop].mean(axis=1))

    @property
    def grip(self) -> Array:
        """Track (n, 2) of the middle of the grip, for finding the club.

        ``hands``, or the hand seen better where the two come apart: less even over time.
        """
        lead, trail = self.xy[:, LEAD_HAND].mean(axis=1), self.xy[:, TRAIL_HAND].mean(axis=1)
        apart = np.linalg.norm(lead - trail, axis=1) / max(self.torso_px(), 1.0)
        doubt = np.clip((apart - TOGETHER) / (APART - TOGETHER), 0.0, 1.0)
        lead_better = self.seen[:, LEAD_HAND].mean(axis=1) >= self.seen[:, TRAIL_HAND].mean(axis=1)
        better = np.where(lead_better[:, None], lead, trail)
        return np.asarray((1.0 - doubt)[:, None] * self.hands + doubt[:, None] * better)

    @property
    def shoulders(self) -> Array:
        """Track (n, 2) of the mid-shoulder."""
        return self.between(Joint.LEAD_SHOULDER, Joint.TRAIL_SHOULDER)

    @property
    def hips(self) -> Array:
        """Track (n, 2) of the mid-hip."""
        return self.between(Joint.LEAD_HIP, Joint.TRAIL_HIP)

    def torso_px(self) -> float:
        """Median length of mid-hip to mid-shoulder: the body's own yardstick in this picture."""
        return float(np.median(np.linalg.norm(self.shoulders - self.hips, axis=1)))

    def nearest(self, time_s: float) -> int:
        """Row of the tracked frame nearest to a time."""
        return int(np.argmin(np.abs(self.times_s - time_s)))

    def part(self, start_s: float, end_s: float) -> "BodyTrack":
        """Rows with ``start_s <= time <= end_s``."""
        keep = (self.times_s >= start_s) & (self.times_s <= end_s)
        return BodyTrack(self.frames[keep], self.times_s[keep], self.xy[keep], self.seen[keep])
