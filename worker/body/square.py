"""The upright square of the picture that the swing network looks at.

It is the same in every frame of a swing: golfer, ball and the club's whole way back.
"""

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from worker.body.joints import BodyTrack, Joint

SQUARE_SIDE = 320
"""Side of the network's input, pixels."""
STATURES = 1.75
"""Side of the square in statures, so that a driver stays inside with the lead arm level. The network is taught on
this square (``tests/training/recipe.py``)."""
ANKLES_AT = 0.89
"""Row of the ankles at address, share of the side: above them the club needs the room, and face-on
the ball lies below them in the picture."""


@dataclass(frozen=True, slots=True)
class Square:
    """``left`` and ``top`` edges and ``side``, picture pixels counted from the picture's edge."""

    left: float
    top: float
    side: float

    @classmethod
    def around(cls, still: BodyTrack, stature_px: float) -> "Square":
        """The square for a golfer at address; ``stature_px``: stature as seen."""
        side = STATURES * stature_px
        ankles = float(np.median(still.between(Joint.LEAD_ANKLE, Joint.TRAIL_ANKLE)[:, 1]))
        hips = float(np.median(still.hips[:, 0]))
        return cls(hips + 0.5 - side / 2.0, ankles + 0.5 - ANKLES_AT * side, side)

    def scaled(self, scale: float) -> "Square":
        """The same square in a picture ``scale`` times larger."""
        return Square(self.left * scale, self.top * scale, self.side * scale)

    def cut(self, rgb: NDArray[np.uint8]) -> NDArray[np.uint8]:
        """The square (320, 320, 3) of a picture; black outside it.

        Shrinks by areas, so that a shaft of one pixel is not lost between samples.
        """
        scale = SQUARE_SIDE / self.side
        shrink = max(1, int(1.0 / scale))
        left, right = _covered(self.left, self.side, shrink, rgb.shape[1])
        top, bottom = _covered(self.top, self.side, shrink, rgb.shape[0])
        small = rgb[top * shrink : bottom * shrink, left * shrink : right * shrink]
        if shrink > 1:
            size = (right - left, bottom - top)
            small = np.asarray(
                cv2.resize(small, size, interpolation=cv2.INTER_AREA), dtype=np.uint8
            )
        # Column c of the small picture lies at (left + c + 1/2) * shrink from the picture's edge.
        corner = (np.array([left, top]) + 0.5) * shrink
        offset = (corner - np.array([self.left, self.top])) * scale - 0.5
        matrix = np.array([[scale * shrink, 0.0, offset[0]], [0.0, scale * shrink, offset[1]]])
        side = (SQUARE_SIDE, SQUARE_SIDE)
        moved = cv2.warpAffine(small, matrix, side, flags=cv2.INTER_LINEAR)
        return np.asarray(moved, np.uint8)

    def to_picture(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        """Picture pixels of points (..., 2) of the cut; the first pixel's centre at 0, 0 in both."""
        corner = np.array([self.left, self.top])
        return np.asarray((points + 0.5) * self.side / SQUARE_SIDE + corner - 0.5)


def _covered(first: float, side: float, shrink: int, length: int) -> tuple[int, int]:
    """First and last of a picture's shrunk columns that the square covers: at least one, end excluded."""
    there = length // shrink
    low = min(max(math.floor(first / shrink) - 1, 0), there - 1)
    high = min(math.ceil((first + side) / shrink) + 1, there)
    return low, max(high, low + 1)
