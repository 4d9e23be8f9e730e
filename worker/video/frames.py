"""Upright pictures of chosen frames, in order, with bounded memory."""

from collections.abc import Collection, Iterator
from pathlib import Path
from typing import Literal, cast

import cv2
import numpy as np
from av.video.frame import VideoFrame
from numpy.typing import NDArray

from api.domain.refusals import RefusalCode, refuse
from worker.video.probe import ClipProbe, ProbeLimits, pixel_aspect, quarter_turns, square_size
from worker.video.reading import open_clip, shown_frames

Picture = NDArray[np.uint8]
"""Shape (height, width, 3), BGR unless RGB was asked for, upright."""
Order = Literal["bgr24", "rgb24"]
"""Order of the colours, as FFmpeg names it."""

MAX_PIXELS = ProbeLimits().max_pixels
"""No frame that the probe let through is larger."""

_TURNS = (None, cv2.ROTATE_90_COUNTERCLOCKWISE, cv2.ROTATE_180, cv2.ROTATE_90_CLOCKWISE)


def iter_frames(
    path: Path,
    probe: ClipProbe,
    indices: Collection[int] | None = None,
    *,
    max_side: int | None = None,
    order: Order = "bgr24",
) -> Iterator[tuple[int, Picture]]:
    """Yield ``(index, picture)`` of the asked frames in rising order; ``None`` means all.

    ``index`` counts shown frames as in ``probe.frame_times_s``. Pictures are upright. With
    ``max_side`` a larger picture is shrunk so that its longer side is ``max_side`` (never
    enlarged); points found on it scale by ``facts.width / picture.shape[1]``.

    Only asked frames are converted, and reading stops after the last of them. Raises
    ``ClipRefused`` (damaged) when an asked frame cannot be had, ``IndexError`` when it does not
    exist.
    """
    wanted = _wanted(indices, len(probe.frame_times_s))
    if not wanted:
        return
    last = max(wanted)
    index = -1
    with open_clip(path, max_pixels=MAX_PIXELS) as clip:
        aspect = pixel_aspect(clip)
        for index, (_, frame) in enumerate(shown_frames(clip)):
            if index in wanted:
                yield index, to_picture(frame, aspect, max_side, order)
            if index == last:
                return
    raise refuse(RefusalCode.DAMAGED)


def to_picture(
    frame: VideoFrame, aspect: float, max_side: int | None = None, order: Order = "bgr24"
) -> Picture:
    """One decoded frame as an upright picture of its own memory."""
    width, height = square_size(frame, aspect)
    if max_side is not None:
        width, height = shrunk_size(width, height, max_side)
    stored = frame.to_ndarray(format=order, width=width, height=height, interpolation="AREA")
    turn = _TURNS[quarter_turns(frame)]
    # cv2.rotate equals np.rot90(k=turns) and writes whole rows, three times as fast.
    return cast("Picture", stored if turn is None else cv2.rotate(stored, turn))


def shrunk_size(width: int, height: int, max_side: int) -> tuple[int, int]:
    """The size whose longer side is at most ``max_side``; never enlarged."""
    shrink = min(1.0, max_side / max(width, height))
    return max(1, round(width * shrink)), max(1, round(height * shrink))


def _wanted(indices: Collection[int] | None, count: int) -> frozenset[int] | range:
    if indices is None:
        return range(count)
    wanted = frozenset(indices)
    if any(not 0 <= index < count for index in wanted):
        message = f"frames must lie in 0..{count - 1}"
        raise IndexError(message)
    return wanted
