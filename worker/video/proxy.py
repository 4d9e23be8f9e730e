"""The proxy: a small, steppable copy of a clip, frame for frame, for the pages.

Same shown frames with the same spacing, upright, starting at zero, a key picture every eighth
frame and no pictures that lean on later ones: seeking to any frame is exact and quick.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import av
from av.container import OutputContainer
from av.video.frame import VideoFrame
from av.video.stream import VideoStream

from api.domain.errors import PipelineFault
from worker.video.frames import MAX_PIXELS, iter_frames, shrunk_size
from worker.video.probe import ClipProbe
from worker.video.reading import open_clip, shown_frames

MAX_SIDE_PX = 1280
KEY_EVERY = 8
CLOCK = Fraction(1, 90_000)
"""The proxy's clock: fine enough for every phone's, and exact for 24, 25, 30, 50 and 60 a second."""

_QUALITY = "23"
# Starting at zero needs no edit list, and a player that ignores edit lists cannot go wrong.
_MUXING = {"movflags": "+faststart", "use_editlist": "0"}
_BT709 = 1  # the number of this colour standard in H.264 (ITU-T H.273), for all three properties


@dataclass(frozen=True, slots=True)
class Proxy:
    """A written proxy. ``times_s`` is when each frame shows, on the proxy's own clock."""

    width: int
    height: int
    times_s: tuple[float, ...]


def write_proxy(path: Path, probe: ClipProbe, out: Path) -> Proxy:
    """Write the proxy of ``path`` to ``out`` (an ``.mp4``), then decode it to see that it is true.

    Frame ``i`` of the proxy is shown frame ``i`` of the original. Even sides, the longer one at
    most ``MAX_SIDE_PX``. Raises ``ClipRefused`` when the original cannot be decoded to its end,
    ``PipelineFault`` when what was written differs from it.
    """
    width, height = proxy_size(probe)
    ticks = proxy_ticks(probe)
    with av.open(str(out), "w", format="mp4", options=_MUXING) as container:
        stream = _open_stream(container, probe, width, height)
        durations = _durations(ticks)
        for frame in _upright_frames(path, probe, ticks, width, height):
            _mux(container, stream, frame, durations)
        _mux(container, stream, None, durations)
    return _verified(out, width, height, ticks)


def proxy_size(probe: ClipProbe) -> tuple[int, int]:
    """Even width and height, the longer side at most ``MAX_SIDE_PX``, never enlarged."""
    width, height = shrunk_size(probe.facts.width, probe.facts.height, MAX_SIDE_PX)
    return max(2, width // 2 * 2), max(2, height // 2 * 2)


def proxy_ticks(probe: ClipProbe) -> list[int]:
    """When each frame shows, in ticks of ``CLOCK`` from zero; strictly rising."""
    start = probe.frame_times_s[0]
    ticks: list[int] = []
    for time_s in probe.frame_times_s:
        wanted = round((time_s - start) / float(CLOCK))
        ticks.append(max(wanted, ticks[-1] + 1) if ticks else 0)
    return ticks


def _open_stream(
    container: OutputContainer, probe: ClipProbe, width: int, height: int
) -> VideoStream:
    rate = Fraction(probe.facts.frame_rate).limit_denominator(1001)
    stream = container.add_stream("libx264", rate=max(rate, Fraction(1)))
    stream.width, stream.height, stream.pix_fmt = width, height, "yuv420p"
    stream.time_base = CLOCK
    stream.codec_context.time_base = CLOCK
    stream.codec_context.gop_size = KEY_EVERY
    stream.codec_context.max_b_frames = 0
    stream.codec_context.colorspace = _BT709
    stream.codec_context.color_primaries = _BT709
    stream.codec_context.color_trc = _BT709
    stream.codec_context.options = {
        "preset": "veryfast",
        "crf": _QUALITY,
        "x264-params": f"keyint={KEY_EVERY}:min-keyint={KEY_EVERY}:scenecut=0:bframes=0",
    }
    return stream


def _upright_frames(
    path: Path, probe: ClipProbe, ticks: list[int], width: int, height: int
) -> Iterator[VideoFrame]:
    for index, picture in iter_frames(path, probe, max_side=MAX_SIDE_PX):
        frame = VideoFrame.from_ndarray(picture, format="bgr24")
        frame = frame.reformat(width, height, "yuv420p", dst_colorspace="ITU709")
        frame.pts, frame.time_base = ticks[index], CLOCK
        yield frame


def _durations(ticks: list[int]) -> Mapping[int, int]:
    """How long each frame shows, by its time; the last one as long as the one before it."""
    gaps = [later - earlier for earlier, later in pairwise(ticks)]
    return dict(zip(ticks, [*gaps, gaps[-1] if gaps else 1], strict=True))


def _mux(
    container: OutputContainer,
    stream: VideoStream,
    frame: VideoFrame | None,
    durations: Mapping[int, int],
) -> None:
    for packet in stream.encode(frame):
        # Without it the last frame would last no time at all, and a browser would not show it.
        packet.duration = durations.get(packet.pts or 0, 1)
        container.mux(packet)


def _verified(out: Path, width: int, height: int, ticks: list[int]) -> Proxy:
    with open_clip(out, max_pixels=MAX_PIXELS) as clip:
        times = tuple(seconds for seconds, _ in shown_frames(clip))
    expected = [float(tick * CLOCK) for tick in ticks]
    tolerance_s = float(CLOCK)
    if len(times) != len(expected):
        raise PipelineFault(f"The proxy shows {len(times)} frames, the clip {len(expected)}.")
    worst = max(abs(got - want) for got, want in zip(times, expected, strict=True))
    if worst > tolerance_s:
        raise PipelineFault(f"A frame of the proxy shows {worst:.6f} s off its time.")
    return Proxy(width, height, times)
