"""Open an untrusted clip and give its shown frames, one rule for every stage that decodes.

What "shown" means: what a browser plays. Pictures that an edit list cuts away are needed by the
decoder and carry the discard flag; the decoder drops them and so does a browser.

A clip is only ever read through here: containers and codecs are listed, the only protocol is
``file``, references from one file to another are off. A playlist, a concat script, an SDP text or
a MOV with external data references therefore cannot open a second file or the network.
"""

from collections.abc import Container, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import av
import av.error
from av.codec.context import CodecContext
from av.container import InputContainer
from av.stream import Disposition
from av.video.frame import VideoFrame
from av.video.stream import VideoStream

from api.domain.refusals import RefusalCode, refuse

CONTAINERS = "mov,mp4,matroska,webm"
VIDEO_CODECS = ("h264", "hevc", "vp8", "vp9", "libdav1d", "av1", "mpeg4", "h263", "prores")
AUDIO_CODECS = (
    "aac",
    "mp3",
    "mp3float",
    "opus",
    "vorbis",
    "alac",
    "amrnb",
    "pcm_s16le",
    "pcm_s16be",
)

_MAGIC_AT_4 = (b"ftyp", b"moov", b"mdat", b"wide", b"free", b"skip")
_MAGIC_MATROSKA = b"\x1a\x45\xdf\xa3"

# What FFmpeg raises when the bytes are at fault. Anything else (disk, memory) is ours.
_BAD_BYTES = (
    av.error.InvalidDataError,
    av.error.ArgumentError,
    av.error.PatchWelcomeError,
    av.error.LookupError,
    av.error.EOFError,
)


@dataclass(frozen=True, slots=True)
class OpenClip:
    """A clip opened for decoding its one picture track."""

    container: InputContainer
    stream: VideoStream


@contextmanager
def open_clip(path: Path, *, max_pixels: int) -> Iterator[OpenClip]:
    """Open ``path`` behind the lists above and pick its picture track.

    Raises ``ClipRefused`` (not a video, damaged, no picture, picture too large), also for what
    goes wrong with the bytes inside the ``with`` block.
    """
    with refusing_bad_bytes(path):
        options = {
            "format_whitelist": CONTAINERS,
            "protocol_whitelist": "file",
            "codec_whitelist": ",".join(VIDEO_CODECS + AUDIO_CODECS),
            "enable_drefs": "0",
            "use_absolute_path": "0",
            "max_pixels": str(max_pixels),
        }
        with av.open(f"file:{path.resolve()}", options=options) as container:
            stream = picture_track(container)
            _refuse_size(stream, max_pixels)
            stream.thread_type = "AUTO"
            stream.codec_context.options = {"max_pixels": str(max_pixels)}
            yield OpenClip(container, stream)


@contextmanager
def refusing_bad_bytes(path: Path) -> Iterator[None]:
    """Turn the reader's complaints about the bytes of ``path`` into a refusal in words."""
    try:
        yield
    except _BAD_BYTES as error:
        code = RefusalCode.DAMAGED if looks_like_video(path) else RefusalCode.NOT_A_VIDEO
        raise refuse(code) from error


def looks_like_video(path: Path) -> bool:
    """Whether the first bytes are those of a container we read (so trouble means damage)."""
    with path.open("rb") as file:
        head = file.read(12)
    return head[4:8] in _MAGIC_AT_4 or head.startswith(_MAGIC_MATROSKA)


def picture_track(container: InputContainer) -> VideoStream:
    """The picture track a player would show: cover pictures do not count; default first."""
    tracks = [s for s in container.streams.video if not s.disposition & Disposition.attached_pic]
    if not tracks:
        raise refuse(RefusalCode.NO_PICTURE)
    default = [s for s in tracks if s.disposition & Disposition.default]
    chosen = (default or tracks)[0]
    # PyAV says otherwise, but a track without a decoder (unlisted, unknown) has no codec context.
    codec: CodecContext | None = chosen.codec_context
    if codec is None or codec.name not in VIDEO_CODECS:
        raise refuse(RefusalCode.NOT_A_VIDEO)
    return chosen


def shown_frames(
    clip: OpenClip, needed_s: Container[float] | None = None
) -> Iterator[tuple[float, VideoFrame]]:
    """Every shown frame with its presentation time in seconds on the file's own clock.

    Times strictly increase; a second frame at the same time is never visible and is left out. With
    ``needed_s`` frames at other times need not come: those that no frame leans on are not decoded.
    """
    last = float("-inf")
    for packet in clip.container.demux(clip.stream):
        if packet.is_corrupt:  # the file ended inside this packet
            raise refuse(RefusalCode.DAMAGED)
        if needed_s is not None and packet.pts is not None:
            needed = seconds_of(clip.stream, packet.pts) in needed_s
            clip.stream.codec_context.skip_frame = "DEFAULT" if needed else "NONREF"
        for frame in packet.decode():
            if frame.pts is None or frame.is_corrupt:
                raise refuse(RefusalCode.DAMAGED)
            seconds = seconds_of(clip.stream, frame.pts)
            if seconds > last:
                last = seconds
                yield seconds, frame


def seconds_of(stream: VideoStream, ticks: int) -> float:
    """A time stamp of ``stream`` in seconds. Every stage uses this, so equal stamps stay equal."""
    return float(ticks * stream.time_base) if stream.time_base else 0.0


def _refuse_size(stream: VideoStream, max_pixels: int) -> None:
    width, height = stream.codec_context.width, stream.codec_context.height
    if width <= 0 or height <= 0:
        raise refuse(RefusalCode.DAMAGED)
    if width * height > max_pixels:
        raise refuse(RefusalCode.PICTURE_TOO_LARGE, limit=f"{max_pixels / 1e6:.0f} million")
