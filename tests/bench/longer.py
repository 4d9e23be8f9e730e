"""Bench clips: a kept clip at another size and rate, with the same motion in the same time.

What is timed is decoding and looking, so a picture may stand for its neighbours: frames are repeated to
reach the rate and resized to reach the size.
"""

from fractions import Fraction
from pathlib import Path

import av
import cv2
import numpy as np

from worker.video.frames import iter_frames
from worker.video.probe import probe_clip


def rewrite(clip: Path, to: Path, *, long_side: int, rate: int, seconds: float) -> int:
    """Write ``clip`` to ``to`` with that longer side (pixels) and rate (frames a second).

    It is cut after so many seconds, or held on its last picture. Returns the number of frames.
    """
    probe = probe_clip(clip)
    times = np.array(probe.frame_times_s) - probe.frame_times_s[0]
    wanted = np.arange(round(seconds * rate)) / rate
    shown = np.clip(np.searchsorted(times, wanted + 1e-6) - 1, 0, len(times) - 1)
    repeats = np.bincount(shown, minlength=len(times))
    tall = probe.facts.height >= probe.facts.width
    sides = sorted((probe.facts.width, probe.facts.height))
    short = round(long_side * sides[0] / sides[1] / 2) * 2
    size = (short, long_side) if tall else (long_side, short)
    with av.open(str(to), "w") as container:
        stream = container.add_stream("libx264", rate=rate, options={"crf": "20", "preset": "fast"})
        stream.width, stream.height = size
        stream.pix_fmt = "yuv420p"
        number = 0
        for index, picture in iter_frames(clip, probe):
            larger = np.asarray(cv2.resize(picture, size, interpolation=cv2.INTER_CUBIC), np.uint8)
            for _ in range(int(repeats[index])):
                frame = av.VideoFrame.from_ndarray(larger, format="bgr24")
                frame.pts, frame.time_base = number, Fraction(1, rate)
                container.mux(stream.encode(frame))
                number += 1
        container.mux(stream.encode(None))
    return number
