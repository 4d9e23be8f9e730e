"""Tracks of the swing network's points over one swing, steadied."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from worker.body.joints import LEAD_HAND, TRAIL_HAND, BodyTrack, Joint
from worker.body.swing_network import AS_JOINT, SwingPoint, SwingPoints

Array = NDArray[np.float64]

SEEN_SIGMA = 0.02
"""One sigma, share of the torso, at which a point counts as half seen."""


@dataclass(frozen=True, slots=True)
class SwingTrack:
    """The points of a swing's frames, in order of time.

    ``frames`` (n,), ``times_s`` (n,); ``xy`` (n, 24, 2) steadied working pixels; ``sigma_px``
    (n, 24) each axis; ``depth_m`` and its sigma (n, 24); ``camera_deg`` and its sigma (n, 3).
    """

    frames: NDArray[np.int64]
    times_s: Array
    xy: Array
    sigma_px: Array
    depth_m: Array
    depth_sigma_m: Array
    camera_deg: Array
    camera_sigma_deg: Array

    @classmethod
    def of_frames(
        cls, frames: Sequence[int], times_s: Sequence[float], points: Sequence[SwingPoints]
    ) -> "SwingTrack":
        """Stack per-frame points."""
        return cls(
            frames=np.array(frames, dtype=np.int64),
            times_s=np.array(times_s, dtype=np.float64),
            xy=np.stack([each.xy for each in points]),
            sigma_px=np.stack([each.sigma_px for each in points]),
            depth_m=np.stack([each.depth_m for each in points]),
            depth_sigma_m=np.stack([each.depth_sigma_m for each in points]),
            camera_deg=np.stack([each.camera_deg for each in points]),
            camera_sigma_deg=np.stack([each.camera_sigma_deg for each in points]),
        )

    def of(self, point: SwingPoint) -> Array:
        """Track (n, 2) of one point."""
        return np.asarray(self.xy[:, point])

    def with_ball(self, centre: tuple[float, float], sigma_px: float) -> "SwingTrack":
        """The same with the ball where it was found to lie, in every frame."""
        xy, sigma = self.xy.copy(), self.sigma_px.copy()
        xy[:, SwingPoint.BALL], sigma[:, SwingPoint.BALL] = centre, sigma_px
        return replace(self, xy=xy, sigma_px=sigma)

    def as_body(self) -> BodyTrack:
        """The joints under the body network's names.

        Fingers lie on their own wrist: the middle of the hands is then the middle of the wrists,
        as the trade notes have it.
        """
        xy = np.repeat(self.xy[:, [SwingPoint.NOSE]], 33, axis=1)
        sigma = np.repeat(self.sigma_px[:, [SwingPoint.NOSE]], 33, axis=1)
        for joint, point in AS_JOINT.items():
            xy[:, joint], sigma[:, joint] = self.xy[:, point], self.sigma_px[:, point]
        for hand, wrist in ((LEAD_HAND, Joint.LEAD_WRIST), (TRAIL_HAND, Joint.TRAIL_WRIST)):
            xy[:, hand], sigma[:, hand] = xy[:, [wrist]], sigma[:, [wrist]]
        trunk = (xy[:, Joint.LEAD_SHOULDER] + xy[:, Joint.TRAIL_SHOULDER]) / 2.0
        trunk = trunk - (xy[:, Joint.LEAD_HIP] + xy[:, Joint.TRAIL_HIP]) / 2.0
        torso_px = max(float(np.median(np.linalg.norm(trunk, axis=1))), 1.0)
        seen = 1.0 / (1.0 + (sigma / (SEEN_SIGMA * torso_px)) ** 2)
        return BodyTrack(self.frames, self.times_s, xy, seen)
