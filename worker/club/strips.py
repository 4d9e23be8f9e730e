"""Straight strips around the hands: the picture resampled along every direction."""

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from worker.club.regions import Region

Image = NDArray[np.float32]

_MOST_ROWS = 30_000
"""OpenCV's remap refuses a result of 32767 rows; a clip in 1080p asks for more."""


@dataclass(frozen=True, slots=True)
class Fan:
    """Where the strips lie.

    ``angles_deg`` (a,): 0 picture right, 90 up. ``radii`` (r,) and ``sides`` (s,) in pixels:
    along and across, across positive to the left of the direction.
    """

    angles_deg: NDArray[np.float64]
    radii: NDArray[np.float64]
    sides: NDArray[np.float64]

    def place(self, pivot: tuple[float, float]) -> tuple[Image, Image]:
        """Picture columns and rows (a * r, s) of all samples around ``pivot``."""
        turn = np.radians(self.angles_deg)[:, None, None]
        along, across = self.radii[None, :, None], self.sides[None, None, :]
        x = pivot[0] + along * np.cos(turn) - across * np.sin(turn)
        y = pivot[1] - along * np.sin(turn) - across * np.cos(turn)
        shape = (-1, len(self.sides))
        return x.reshape(shape).astype(np.float32), y.reshape(shape).astype(np.float32)

    def bounds(self, pivot: tuple[float, float], width: int, height: int) -> Region:
        """The part of a picture of this size that the samples lie in; a pixel at least."""
        ends = Fan(self.angles_deg, self.radii[[0, -1]], self.sides[[0, -1]])
        x, y = ends.place(pivot)
        # Each direction's samples fill a rectangle; a pixel more on every side for what lies between pixels.
        left, right = math.floor(float(x.min())) - 1, math.ceil(float(x.max())) + 2
        top, bottom = math.floor(float(y.min())) - 1, math.ceil(float(y.max())) + 2
        left, top = min(max(left, 0), width - 1), min(max(top, 0), height - 1)
        return Region(
            left, top, max(min(right, width), left + 1), max(min(bottom, height), top + 1)
        )

    def sample(self, image: Image, pivot: tuple[float, float]) -> Image:
        """Resample ``image`` along the fan: (a, r, s), NaN outside the picture."""
        x, y = self.place(pivot)
        blocks = [
            cv2.remap(
                image,
                x[first : first + _MOST_ROWS],
                y[first : first + _MOST_ROWS],
                cv2.INTER_LINEAR,
                borderMode=cv2.BORDER_CONSTANT,
                borderValue=math.nan,
            )
            for first in range(0, len(x), _MOST_ROWS)
        ]
        return np.concatenate(blocks, dtype=np.float32).reshape(
            len(self.angles_deg), len(self.radii), len(self.sides)
        )


def ridge(strips: Image, width: int) -> Image:
    """How much a line of ``width`` samples stands out from both its sides, (a, r, s).

    Bright or dark, never negative: the nearer of the two sides counts, so an edge gives nothing.
    """
    kernel = np.full((1, width), 1.0 / width, dtype=np.float32)
    flat = strips.reshape(-1, strips.shape[2])
    middle = cv2.filter2D(flat, -1, kernel, borderType=cv2.BORDER_REPLICATE)
    gap = width + 1
    left, right = np.roll(middle, gap, axis=1), np.roll(middle, -gap, axis=1)
    bright = middle - np.maximum(left, right)
    dark = np.minimum(left, right) - middle
    out = np.maximum(np.maximum(bright, dark), 0.0)
    out[:, :gap] = 0.0
    out[:, -gap:] = 0.0
    return np.asarray(np.nan_to_num(out), dtype=np.float32).reshape(strips.shape)
