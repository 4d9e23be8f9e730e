"""One decoded frame, made into what is asked of it: colours, or brightness and colour differences apart."""

from dataclasses import dataclass

import cv2
import numpy as np
from av.video.frame import VideoFrame
from numpy.typing import NDArray

from worker.video.frames import Picture, shrunk_size, to_picture, turned
from worker.video.probe import square_size

Plane = NDArray[np.uint8]

_AS_STORED = ("yuv420p", "yuvj420p")
"""Formats whose planes are taken as they are; all others are brought to the first one."""
_FULL_RANGE = 2
"""The number of "0 to 255" among colour ranges (ITU-T H.273, as FFmpeg counts); else 16 to 235."""
_BLACK = np.uint8(16)
_RED_BLUE = {1: (0.2126, 0.0722), 4: (0.30, 0.11), 7: (0.212, 0.087), 9: (0.2627, 0.0593)}
"""Shares of red and blue in brightness, by number of the colour standard (ITU-T H.273); 10 is as 9."""
_RED_BLUE_ELSE = (0.299, 0.114)
"""BT.601: what is meant where nothing is said."""
NO_DIFFERENCE = 128
"""Level of a colour difference in a gray place."""


@dataclass(frozen=True, slots=True)
class Planes:
    """An upright picture as video stores it.

    ``gray`` (h, w): brightness, 0 to 255; ``blue`` and ``red``: colour differences at half the size,
    ``NO_DIFFERENCE`` is none; they may lie in the decoder's memory. ``to_rgb`` (3, 4) makes colours of the three. Large pictures are thus cut and shrunk before
    colours are made, and brightness alone is often all that is asked.
    """

    gray: Plane
    blue: Plane
    red: Plane
    to_rgb: NDArray[np.float64]

    def mirrored(self) -> "Planes":
        """Left and right exchanged."""
        gray, blue, red = (
            np.asarray(cv2.flip(plane, 1), dtype=np.uint8)
            for plane in (self.gray, self.blue, self.red)
        )
        return Planes(gray, blue, red, self.to_rgb)

    def colours(self, gray: Plane, blue: Plane, red: Plane) -> Picture:
        """RGB of parts of the three planes that were brought to one size."""
        parts = cv2.merge([gray, blue, red])
        return np.asarray(cv2.transform(parts, self.to_rgb), dtype=np.uint8)


@dataclass(frozen=True, slots=True)
class Shown:
    """A decoded frame with its pixels' aspect, to be made upright and at most ``max_side`` long.

    ``mirrored``: left and right exchanged too, so that a left-hander looks like a right-hander.
    """

    frame: VideoFrame
    aspect: float
    max_side: int
    mirrored: bool

    def rgb(self) -> Picture:
        """Its colours."""
        picture = to_picture(self.frame, self.aspect, self.max_side, "rgb24")
        return np.ascontiguousarray(picture[:, ::-1] if self.mirrored else picture)

    def planes(self) -> Planes:
        """Its planes."""
        size = shrunk_size(*square_size(self.frame, self.aspect), self.max_side)
        frame = self.frame
        if frame.format.name not in _AS_STORED or size != (frame.width, frame.height):
            # Of a picture that was never apart the standard is ours to choose.
            standard = "ITU709" if frame.format.is_rgb else None
            frame = frame.reformat(*size, "yuv420p", dst_colorspace=standard, interpolation="AREA")
        full = frame.format.name == "yuvj420p" or frame.color_range == _FULL_RANGE
        gray, blue, red = (turned(_plane(frame, number), self.frame) for number in range(3))
        planes = Planes(
            gray.copy() if full else _stretched(gray),
            blue,
            red,
            _to_rgb(int(frame.colorspace), full=full),
        )
        return planes.mirrored() if self.mirrored else planes


def _stretched(gray: Plane) -> Plane:
    """Brightness of 16 to 235 as 0 to 255."""
    above = np.maximum(gray, _BLACK) - _BLACK
    return np.asarray(cv2.convertScaleAbs(above, alpha=255.0 / 219.0), dtype=np.uint8)


def _plane(frame: VideoFrame, number: int) -> Plane:
    """A plane in the decoder's own memory, which lives as long as it."""
    plane = frame.planes[number]
    rows = np.asarray(memoryview(plane), dtype=np.uint8).reshape(-1, plane.line_size)
    return np.asarray(rows[: plane.height, : plane.width])


def _to_rgb(standard: int, *, full: bool) -> NDArray[np.float64]:
    """(3, 4): colours from stretched brightness and the two differences."""
    red, blue = _RED_BLUE.get(9 if standard == 10 else standard, _RED_BLUE_ELSE)  # noqa: PLR2004
    green = 1.0 - red - blue
    # Differences run over 224 levels where brightness has 219.
    stretch = 1.0 if full else 255.0 / 224.0
    by_blue = stretch * 2.0 * np.array([0.0, -(1.0 - blue) * blue / green, 1.0 - blue])
    by_red = stretch * 2.0 * np.array([1.0 - red, -(1.0 - red) * red / green, 0.0])
    level = -NO_DIFFERENCE * (by_blue + by_red)
    return np.stack([np.ones(3), by_blue, by_red, level], axis=1)
