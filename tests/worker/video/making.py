"""Small clips made on the spot, with known frames, and files that only claim to be clips."""

import struct
from collections.abc import Iterator, Sequence
from fractions import Fraction
from pathlib import Path
from typing import cast

import av
import numpy as np
from av.audio.stream import AudioStream
from av.container import OutputContainer
from av.video.frame import VideoFrame
from av.video.stream import VideoStream
from numpy.typing import NDArray

CLOCK = Fraction(1, 90_000)
_MARKS = 8
"""The number of a frame is written into it as this many bright or dark columns."""


def even_times(count: int, rate: float = 30.0) -> list[float]:
    return [index / rate for index in range(count)]


def numbered_picture(number: int, width: int, height: int) -> NDArray[np.uint8]:
    """A picture that says which it is: bits from left to right; the top quarter is red."""
    picture = np.full((height, width, 3), 60, dtype=np.uint8)
    for bit in range(_MARKS):
        left, right = bit * width // _MARKS, (bit + 1) * width // _MARKS
        if number >> bit & 1:
            picture[:, left:right] = 220
    picture[: height // 4] = (40, 40, 200)
    return picture


def number_in(picture: NDArray[np.uint8]) -> int:
    """The number of an upright picture; asserts that the red quarter is on top."""
    height, width = picture.shape[:2]
    top = picture[height // 8, width // 2].astype(int)
    assert top[2] > top[0] + 60, "the picture does not stand upright"
    row = picture[height * 3 // 4].astype(int).mean(axis=1)
    middles = [row[(2 * bit + 1) * width // (2 * _MARKS)] for bit in range(_MARKS)]
    return sum(1 << bit for bit, level in enumerate(middles) if level > 140)


def write_clip(
    path: Path,
    times_s: Sequence[float],
    *,
    size: tuple[int, int] = (320, 480),
    rotation: int = 0,
    sound: bool = False,
    b_frames: int = 0,
    codec: str = "libx264",
    faststart: bool = False,
    pixel_aspect: Fraction | None = None,
) -> Path:
    """Write numbered frames at the given times. ``size`` is upright; ``rotation`` as stored.

    ``rotation`` is counter-clockwise degrees that turn the stored picture upright.
    """
    options = {"movflags": "+faststart"} if faststart else {}
    with av.open(str(path), "w", options=options) as out:
        stream = cast("VideoStream", out.add_stream(codec, rate=30))
        stored = size[::-1] if rotation % 180 else size
        stream.width, stream.height = stored
        stream.pix_fmt = "yuv420p"
        stream.time_base = stream.codec_context.time_base = CLOCK
        stream.codec_context.max_b_frames = b_frames
        stream.codec_context.gop_size = 12
        if pixel_aspect is not None:
            stream.codec_context.sample_aspect_ratio = pixel_aspect
        if codec == "libx264":
            stream.codec_context.options = {"preset": "ultrafast" if b_frames == 0 else "fast"}
        if rotation:
            stream.set_display_rotation(rotation)
        audio = _add_sound(out) if sound else None
        for frame in _frames(times_s, size, rotation):
            out.mux(stream.encode(frame))
        out.mux(stream.encode(None))
        if audio is not None:
            out.mux(audio.encode(_silence()))
            out.mux(audio.encode(None))
    return path


def write_sound_only(path: Path) -> Path:
    with av.open(str(path), "w", format="mp4") as out:
        stream = _add_sound(out)
        for _ in range(20):
            out.mux(stream.encode(_silence()))
        out.mux(stream.encode(None))
    return path


def skip_start(path: Path, skipped_s: float) -> None:
    """Move the start of the first track's edit list, as trimming on a phone does."""
    data = bytearray(path.read_bytes())
    at = data.index(b"elst")
    version = data[at + 4]
    assert version == 0
    duration, media_time = struct.unpack(">Ii", data[at + 12 : at + 20])
    timescale_at = data.index(b"mvhd") + 16
    movie_scale = struct.unpack(">I", data[timescale_at : timescale_at + 4])[0]
    mdhd = data.index(b"mdhd")
    media_scale = struct.unpack(">I", data[mdhd + 16 : mdhd + 20])[0]
    duration -= round(skipped_s * movie_scale)
    media_time += round(skipped_s * media_scale)
    data[at + 12 : at + 20] = struct.pack(">Ii", duration, media_time)
    path.write_bytes(data)


def refer_elsewhere(path: Path, other: Path) -> None:
    """Make the data reference of a MOV an alias to ``other`` in the same folder.

    The index must come last, so that its growth moves no data.
    """
    data = path.read_bytes()
    old = data.index(b"dref") - 4
    size = struct.unpack(">I", data[old : old + 4])[0]
    name = other.name.encode()
    target = str(other).encode()
    record = bytes(10) + bytes([3]) + b"vol".ljust(27, b"\0") + bytes(12)
    record += bytes([len(name)]) + name.ljust(63, b"\0") + bytes(16)
    record += struct.pack(">HH", 1, 1) + bytes(16)
    record += struct.pack(">HH", 2, len(target)) + target + bytes(len(target) % 2)
    record += struct.pack(">HH", 0xFFFF, 0)
    entry = struct.pack(">I", 12 + len(record)) + b"alis" + bytes(4) + record
    box = struct.pack(">I", 16 + len(entry)) + b"dref" + bytes(4) + struct.pack(">I", 1) + entry
    grown = len(box) - size
    changed = bytearray(data[:old] + box + data[old + size :])
    for kind in (b"moov", b"trak", b"mdia", b"minf", b"dinf"):
        at = changed.index(kind) - 4
        length = struct.unpack(">I", changed[at : at + 4])[0]
        changed[at : at + 4] = struct.pack(">I", length + grown)
    path.write_bytes(changed)


def _add_sound(out: OutputContainer) -> AudioStream:
    return out.add_stream("aac", rate=48_000)


def _frames(times_s: Sequence[float], size: tuple[int, int], rotation: int) -> Iterator[VideoFrame]:
    for number, time_s in enumerate(times_s):
        upright = numbered_picture(number % 256, *size)
        stored = np.ascontiguousarray(np.rot90(upright, k=-(rotation // 90)))
        frame = VideoFrame.from_ndarray(stored, format="bgr24")
        frame.pts, frame.time_base = round(time_s / CLOCK), CLOCK
        yield frame


def _silence() -> av.AudioFrame:
    frame = av.AudioFrame.from_ndarray(
        np.zeros((1, 1024), np.float32), format="fltp", layout="mono"
    )
    frame.sample_rate = 48_000
    return frame
