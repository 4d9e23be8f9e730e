"""One decoded frame, made into what is asked of it: colours, or brightness alone."""

from dataclasses import dataclass

import cv2
import numpy as np
from av.video.frame import VideoFrame
from numpy.typing import NDArray

from worker.video.frames import Picture, shrunk_size, to_picture, turned
from worker.video.probe import square_size

Gray = NDArray[np.uint8]

_AS_STORED = ("yuv420p", "yuvj420p")
"""Formats whose brightness is taken as it is; all others are brought to the first one."""
_FULL_RANGE = 2
"""The number of "0 to 255" among ranges of levels (as FFmpeg counts); else 16 to 235."""
_BLACK = np.uint8(16)


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

    def gray(self) -> Gray:
        """Its brightness, 0 to 255: the video's own, by its own colour standard.

        Video holds it apart from the colours. To make colours first and gray of them took six megabytes a
        1080p frame.
        """
        size = shrunk_size(*square_size(self.frame, self.aspect), self.max_side)
        frame = self.frame
        if frame.format.name not in _AS_STORED or size != (frame.width, frame.height):
            # Of a picture that was stored as colours the standard is ours to choose.
            standard = "ITU709" if frame.format.is_rgb else None
            frame = frame.reformat(*size, "yuv420p", dst_colorspace=standard, interpolation="AREA")
        full = frame.format.name == "yuvj420p" or frame.color_range == _FULL_RANGE
        stored = _brightness(frame)
        gray = turned(stored.copy() if full else _stretched(stored), self.frame)
        return np.asarray(cv2.flip(gray, 1), dtype=np.uint8) if self.mirrored else gray


def _brightness(frame: VideoFrame) -> Gray:
    """The brightness in the decoder's own memory, which is given out again once the frame is gone."""
    plane = frame.planes[0]
    rows = np.asarray(memoryview(plane), dtype=np.uint8).reshape(-1, plane.line_size)
    return np.asarray(rows[: plane.height, : plane.width])


def _stretched(gray: Gray) -> Gray:
    """Brightness of 16 to 235 as 0 to 255."""
    above = np.maximum(gray, _BLACK) - _BLACK
    return np.asarray(cv2.convertScaleAbs(above, alpha=255.0 / 219.0), dtype=np.uint8)
