"""A camera for Chromium that sees a golfer: frames of a kept clip, as the file its fake device plays in a loop."""

from collections.abc import Iterator
from pathlib import Path

import av
import cv2
import numpy as np
from numpy.typing import NDArray

Picture = NDArray[np.uint8]

RATE = 30
WIDTH, HEIGHT = 480, 854
"""Small enough for two cores to record, and the golfer's legs long enough to be measured."""


def switches(film: Path) -> list[str]:
    """What makes Chromium use the film for a camera, and allow it without asking."""
    return [
        "--use-fake-device-for-media-stream",
        "--use-fake-ui-for-media-stream",
        f"--use-file-for-fake-video-capture={film}",
    ]


def film_from(
    clip: Path, out: Path, *, down: float = 0.0, dark: float = 1.0, address_only: bool = False
) -> Path:
    """Write a Y4M film of a clip. ``down``: its pictures shifted by so many of their heights; ``dark``: dimmed by it.

    ``address_only``: the first half second, to and fro, so that the golfer never swings.
    """
    pictures = [_changed(rgb, down, dark) for rgb in _pictures(clip)]
    if address_only:
        pictures = pictures[: RATE // 2]
        pictures += pictures[::-1]
    with out.open("wb") as file:
        file.write(f"YUV4MPEG2 W{WIDTH} H{HEIGHT} F{RATE}:1 Ip A1:1 C420jpeg\n".encode())
        for rgb in pictures:
            file.write(b"FRAME\n")
            file.write(cv2.cvtColor(rgb, cv2.COLOR_RGB2YUV_I420).tobytes())
    return out


def _pictures(clip: Path) -> Iterator[Picture]:
    """Every picture that is due at ``RATE``, in the film's size."""
    due = 0.0
    with av.open(str(clip)) as container:
        for frame in container.decode(video=0):
            if frame.time < due - 1e-6:
                continue
            due += 1.0 / RATE
            rgb = frame.to_ndarray(format="rgb24", width=WIDTH, height=HEIGHT, interpolation="AREA")
            yield np.asarray(rgb, dtype=np.uint8)


def _changed(rgb: Picture, down: float, dark: float) -> Picture:
    shift = round(down * HEIGHT)
    moved = np.roll(rgb, shift, axis=0)
    if shift > 0:
        moved[:shift] = rgb[:1]
    return np.asarray(moved * dark, dtype=np.uint8)
