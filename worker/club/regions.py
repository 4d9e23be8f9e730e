"""Rectangles of a picture."""

from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

Level = TypeVar("Level", bound=np.generic)


@dataclass(frozen=True, slots=True)
class Region:
    """A part of a picture: columns and rows, pixels, end excluded."""

    left: int
    top: int
    right: int
    bottom: int

    def inside(self, width: int, height: int) -> "Region":
        """The part of the region that lies in the picture."""
        return Region(
            max(0, self.left),
            max(0, self.top),
            min(width, self.right),
            min(height, self.bottom),
        )

    def grown(self, reach: int) -> "Region":
        """The region with ``reach`` pixels more on every side."""
        return Region(self.left - reach, self.top - reach, self.right + reach, self.bottom + reach)

    def seen_from(self, other: "Region") -> "Region":
        """The same region, counted from the corner of another."""
        return Region(
            self.left - other.left,
            self.top - other.top,
            self.right - other.left,
            self.bottom - other.top,
        )

    def cut(self, picture: NDArray[Level]) -> NDArray[Level]:
        """The region's part of a picture."""
        return picture[self.top : self.bottom, self.left : self.right]
