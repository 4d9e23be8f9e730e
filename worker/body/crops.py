"""Square crops for the landmark network: where they lie and how points come back from them."""

import math
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from worker.body.networks import LANDMARK_SIDE

CROP_MARGIN = 1.25
"""The landmark networks were trained on the body circle's square enlarged by this factor
(published pose graph of the network)."""


@dataclass(frozen=True, slots=True)
class Crop:
    """A rotated square in picture pixels.

    ``angle`` in radians turns the crop's up direction away from the picture's up, clockwise as
    seen (y down). ``mirrored`` flips the crop left-right after it is cut.
    """

    x: float
    y: float
    side: float
    angle: float = 0.0
    mirrored: bool = False

    @classmethod
    def around(cls, centre: NDArray[np.float64], edge: NDArray[np.float64]) -> "Crop":
        """Crop from the mid-hip point and the point on the body circle above it."""
        dx, dy = edge - centre
        radius = math.hypot(dx, dy)
        angle = math.atan2(dx, -dy)
        return cls(float(centre[0]), float(centre[1]), 2.0 * radius * CROP_MARGIN, angle)

    def jittered(self, shift_x: float, shift_y: float, grow: float, turn: float) -> "Crop":
        """Same crop moved by shares of its side, enlarged by ``grow`` and turned (radians)."""
        return replace(
            self,
            x=self.x + shift_x * self.side,
            y=self.y + shift_y * self.side,
            side=self.side * grow,
            angle=self.angle + turn,
        )

    def matrix(self) -> NDArray[np.float64]:
        """2 x 3 affine matrix from crop pixels (0 to 256) to picture pixels."""
        scale = self.side / LANDMARK_SIDE
        cos, sin = math.cos(self.angle), math.sin(self.angle)
        flip = -1.0 if self.mirrored else 1.0
        linear = scale * np.array([[cos * flip, -sin], [sin * flip, cos]])
        half = LANDMARK_SIDE / 2
        offset = np.array([self.x, self.y]) - linear @ np.array([half, half])
        return np.hstack([linear, offset[:, np.newaxis]])

    def cut(self, rgb: NDArray[np.uint8]) -> NDArray[np.uint8]:
        """Cut the crop out of the picture; outside the picture it is black."""
        # warpAffine takes pixel centres at integers; crop coordinates have them at halves.
        matrix = self.matrix()
        matrix[:, 2] += matrix[:, :2] @ np.array([0.5, 0.5]) - 0.5
        return np.asarray(
            cv2.warpAffine(
                rgb,
                matrix,
                (LANDMARK_SIDE, LANDMARK_SIDE),
                flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
            ),
            dtype=np.uint8,
        )

    def to_picture(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        """Map points (n, 2) from crop pixels to picture pixels, both with edges at integers."""
        matrix = self.matrix()
        return np.asarray(points @ matrix[:, :2].T + matrix[:, 2])
