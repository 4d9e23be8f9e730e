"""Frames and sound into a file, as a phone would write it: H.264 and AAC in MP4.

The same frames, times and sound give the same bytes on the same machine: one encoder thread, no
date and nothing random in the file.

Sound of a slowed file: it is stretched with the picture (see ``tests.studio.sound``), so the strike
is heard where the picture shows it plus ``slow_motion`` times the sound's travel. Most phones write
no sound at all then; that is ``Sound.NONE``.
"""

from collections.abc import Iterable, Iterator, Mapping
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import av
import numpy as np
from av.audio.frame import AudioFrame
from av.audio.stream import AudioStream
from av.container import OutputContainer
from av.video.frame import VideoFrame
from av.video.stream import VideoStream
from numpy.typing import NDArray

from tests.studio.dials import ClipDials
from tests.studio.times import CLOCK, FrameTimes, frame_times

__all__ = ["SAMPLE_RATE", "FrameTimes", "Samples", "frame_times", "write_clip"]

Picture = NDArray[np.uint8]
"""Shape (height, width, 3), RGB, upright."""
Samples = NDArray[np.float32]
"""Shape (samples, channels), -1 to 1."""

SAMPLE_RATE = 48_000

_SPEED = "veryfast"  # a phone's encoder does not search long either
# This encoder needs twice a phone's rate to keep a click from ringing 2 ms ahead of itself.
_AUDIO_BITS_A_CHANNEL = 128_000
_SAMPLES_A_FRAME = 1024  # AAC's own block
_BT709 = 1  # number of this colour standard in H.264 (ITU-T H.273), for all three properties


def write_clip(
    path: Path,
    dials: ClipDials,
    frames: Iterable[Picture],
    times: FrameTimes,
    sound: Samples | None,
) -> None:
    """Write ``frames`` to ``path`` (an MP4 whatever its name), each at its file time.

    ``frames``: upright RGB pictures of one even size, one for each of ``times``. They are stored
    turned clockwise by ``rotation_deg``, and the file says to turn them back: what
    ``frame.rotation`` of PyAV and ``ClipFacts.rotation_deg`` then read is ``rotation_deg``.
    ``sound``: samples at ``SAMPLE_RATE`` that start with the first frame, or ``None``.
    Raises ``ValueError`` when frames and times differ in number.
    """
    pictures = iter(frames)
    first = _stored(next(pictures), dials.film.rotation_deg)
    with av.open(str(path), "w", format="mp4", options={"movflags": "+faststart"}) as container:
        video = _picture_track(container, dials, times, first)
        audio = None if sound is None else _SoundTrack(container, sound)
        durations = _durations(times)
        stored = _all_stored(first, pictures, dials.film.rotation_deg)
        for frame, shown_s in _timed(stored, times):
            if audio is not None:
                audio.write_until(shown_s)
            _mux(container, video, frame, durations)
        _mux(container, video, None, durations)
        if audio is not None:
            audio.finish()


def _picture_track(
    container: OutputContainer, dials: ClipDials, times: FrameTimes, first: Picture
) -> VideoStream:
    rate = Fraction(dials.film.fps / dials.film.slow_motion).limit_denominator(1001)
    stream = container.add_stream("libx264", rate=rate)
    stream.height, stream.width = first.shape[:2]
    stream.pix_fmt = "yuv420p"
    stream.time_base = CLOCK
    if dials.film.rotation_deg:
        stream.set_display_rotation(dials.film.rotation_deg)
    codec = stream.codec_context
    codec.time_base = CLOCK
    codec.thread_count = 1
    codec.max_b_frames = 0
    codec.colorspace = codec.color_primaries = codec.color_trc = _BT709
    key_every = max(1, round(len(times.file_s) / times.duration_s))
    codec.options = {
        "preset": _SPEED,
        "crf": str(dials.film.crf),
        "x264-params": f"threads=1:keyint={key_every}:scenecut=0:bframes=0",
    }
    return stream


def _stored(upright: Picture, rotation_deg: int) -> Picture:
    return np.ascontiguousarray(np.rot90(upright, k=-(rotation_deg // 90)))


def _all_stored(first: Picture, rest: Iterator[Picture], rotation_deg: int) -> Iterator[Picture]:
    yield first
    for upright in rest:
        yield _stored(upright, rotation_deg)


def _timed(stored: Iterator[Picture], times: FrameTimes) -> Iterator[tuple[VideoFrame, float]]:
    """Frames ready for the encoder, with their file times."""
    for picture, shown_s in zip(stored, times.file_s, strict=True):
        frame = VideoFrame.from_ndarray(picture, format="rgb24")
        frame = frame.reformat(format="yuv420p", dst_colorspace="ITU709")
        frame.pts, frame.time_base = _ticks(shown_s), CLOCK
        yield frame, float(shown_s)


def _ticks(file_s: float) -> int:
    return round(float(file_s) / float(CLOCK))


def _durations(times: FrameTimes) -> dict[int, int]:
    """How long each frame shows, by its time; the last one as long as the one before it."""
    ticks = [_ticks(shown_s) for shown_s in times.file_s]
    gaps = [later - earlier for earlier, later in pairwise(ticks)]
    return dict(zip(ticks, [*gaps, gaps[-1]], strict=True))


def _mux(
    container: OutputContainer,
    stream: VideoStream,
    frame: VideoFrame | None,
    durations: Mapping[int, int],
) -> None:
    for packet in stream.encode(frame):
        # Without it the last frame would last no time at all, and a browser would not show it.
        packet.duration = durations[packet.pts or 0]
        container.mux(packet)


class _SoundTrack:
    """Feeds the encoder blocks of sound in step with the picture."""

    def __init__(self, container: OutputContainer, sound: Samples) -> None:
        self._container = container
        self._sound = sound
        self._layout = "mono" if sound.shape[1] == 1 else "stereo"
        self._next = 0
        self._stream: AudioStream = container.add_stream(
            "aac", rate=SAMPLE_RATE, layout=self._layout
        )
        self._stream.codec_context.bit_rate = _AUDIO_BITS_A_CHANNEL * sound.shape[1]

    def write_until(self, file_s: float) -> None:
        """Hand over the blocks that start before ``file_s``."""
        while self._next < min(len(self._sound), round(file_s * SAMPLE_RATE)):
            self._encode(self._block())

    def finish(self) -> None:
        """Hand over what is left."""
        while self._next < len(self._sound):
            self._encode(self._block())
        self._encode(None)

    def _block(self) -> AudioFrame:
        samples = self._sound[self._next : self._next + _SAMPLES_A_FRAME]
        planes = np.ascontiguousarray(samples.T, dtype=np.float32)
        frame = AudioFrame.from_ndarray(planes, format="fltp", layout=self._layout)
        frame.sample_rate = SAMPLE_RATE
        frame.pts, frame.time_base = self._next, Fraction(1, SAMPLE_RATE)
        self._next += len(samples)
        return frame

    def _encode(self, frame: AudioFrame | None) -> None:
        for packet in self._stream.encode(frame):
            self._container.mux(packet)
