"""Upright pictures of chosen frames, in order, with bounded memory."""

from collections import deque
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
    for index, frame, aspect in iter_shown(path, probe, indices):
        yield index, to_picture(frame, aspect, max_side, order)


def iter_shown(
    path: Path, probe: ClipProbe, indices: Collection[int] | None = None
) -> Iterator[tuple[int, VideoFrame, float]]:
    """The same before any conversion: index, the frame as stored, and its pixels' aspect."""
    wanted = _wanted(indices, len(probe.frame_times_s))
    missing = deque(wanted)
    for sparing in (True, False):
        # A decoder that must guess how frames are ordered may lose one when others are left out: what is
        # still missing is then sought by decoding all.
        for index, frame, aspect in _decoded(path, probe, missing, sparing=sparing):
            if index == missing[0]:
                yield missing.popleft(), frame, aspect
            elif index > missing[0]:
                break
        if not missing:
            return
    raise refuse(RefusalCode.DAMAGED)


def _decoded(
    path: Path, probe: ClipProbe, indices: Collection[int], *, sparing: bool
) -> Iterator[tuple[int, VideoFrame, float]]:
    """Frames up to the last asked one; ``sparing`` leaves out others where that costs nothing."""
    if not indices:
        return
    number = {time_s: index for index, time_s in enumerate(probe.frame_times_s)}
    needed = {probe.frame_times_s[index] for index in indices}
    last_s = max(needed)
    with open_clip(path, max_pixels=MAX_PIXELS) as clip:
        aspect = pixel_aspect(clip)
        for seconds, frame in shown_frames(clip, needed if sparing else None):
            if seconds in number:
                yield number[seconds], frame, aspect
            if seconds >= last_s:
                return


def to_picture(
    frame: VideoFrame, aspect: float, max_side: int | None = None, order: Order = "bgr24"
) -> Picture:
    """One decoded frame as an upright picture of its own memory."""
    width, height = square_size(frame, aspect)
    if max_side is not None:
        width, height = shrunk_size(width, height, max_side)
    stored = frame.to_ndarray(format=order, width=width, height=height, interpolation="AREA")
    return turned(cast("Picture", stored), frame)


def turned(stored: Picture, frame: VideoFrame) -> Picture:
    """A stored picture, or one plane of it, set upright as ``frame`` asks."""
    turn = _TURNS[quarter_turns(frame)]
    # cv2.rotate equals np.rot90(k=turns) and writes whole rows, three times as fast.
    return cast("Picture", stored if turn is None else cv2.rotate(stored, turn))


def shrunk_size(width: int, height: int, max_side: int) -> tuple[int, int]:
    """The size whose longer side is at most ``max_side``; never enlarged."""
    shrink = min(1.0, max_side / max(width, height))
    return max(1, round(width * shrink)), max(1, round(height * shrink))


def _wanted(indices: Collection[int] | None, count: int) -> list[int]:
    if indices is None:
        return list(range(count))
    wanted = sorted(set(indices))
    if wanted and not 0 <= wanted[0] <= wanted[-1] < count:
        message = f"frames must lie in 0..{count - 1}"
        raise IndexError(message)
    return wanted
