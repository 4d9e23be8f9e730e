"""What a clip is: shape, rotation, time of each shown frame, sound; and why it is refused."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from statistics import median

from av.video.frame import VideoFrame

from api.domain.measurement import ClipFacts
from api.domain.refusals import RefusalCode, refuse
from worker.video.reading import OpenClip, open_clip, seconds_of, shown_frames

_CONTAINER_TICKS_A_SECOND = 1_000_000
"""Unit of a container's own times (``av.time_base``)."""
_MISSING_END_S = 0.3
_UNEVEN_GAP = 0.2
"""A gap this share off the middle gap makes a clip one of variable rate (phones jitter by 1-2 %)."""


OnFrame = Callable[[int, float, VideoFrame, float], None]
"""Told of each shown frame while the file is probed: index, seconds, the frame, and its pixel's aspect."""


@dataclass(frozen=True, slots=True)
class ProbeLimits:
    """What is accepted. ``max_pixels`` is just above 4K DCI; ``min_side_px`` is the short side."""

    max_bytes: int = 500 * 1024 * 1024
    max_duration_s: float = 60.0
    min_duration_s: float = 0.5
    min_frames: int = 12
    max_frames: int = 15_000
    max_pixels: int = 10_000_000
    min_side_px: int = 240


@dataclass(frozen=True, slots=True)
class ClipProbe:
    """Facts and the presentation time of each shown frame, seconds on the file's own clock.

    ``facts.width`` and ``facts.height`` are upright. ``facts.rotation_deg`` is 0, 90, 180 or 270:
    degrees counter-clockwise that turn the stored picture upright (``np.rot90(k=rotation // 90)``).
    """

    facts: ClipFacts
    frame_times_s: tuple[float, ...]


def probe_clip(
    path: Path, *, limits: ProbeLimits = ProbeLimits(), on_frame: OnFrame | None = None
) -> ClipProbe:
    """Read a clip once, end to end, without converting pictures.

    Decodes everything, because only the decoder knows which frames are shown and whether the
    bytes hold out; ``on_frame`` may take what it needs on the way. Raises ``ClipRefused`` with the reason in words; a file that is not there
    raises ``FileNotFoundError``.
    """
    _refuse_bytes(path.stat().st_size, limits)
    with open_clip(path, max_pixels=limits.max_pixels) as clip:
        _refuse_declared_length(clip, limits)
        times, first = _read_times(clip, limits, on_frame)
        duration_s = times[-1] - times[0] + _middle_gap(times)
        _refuse_missing_end(clip, times[-1])
        facts = _facts(clip, first, times, duration_s)
    _refuse_too_short(facts, limits)
    _refuse_too_small(facts, limits)
    return ClipProbe(facts, tuple(times))


def upright_size(frame: VideoFrame, pixel_aspect: float) -> tuple[int, int]:
    """Width and height as shown: pixels made square, then turned upright."""
    width, height = square_size(frame, pixel_aspect)
    return (height, width) if quarter_turns(frame) % 2 else (width, height)


def square_size(frame: VideoFrame, pixel_aspect: float) -> tuple[int, int]:
    """Stored width and height, the width stretched so that pixels are square."""
    return max(1, round(frame.width * pixel_aspect)), frame.height


def quarter_turns(frame: VideoFrame) -> int:
    """Counter-clockwise quarter turns that set the stored picture upright, 0 to 3."""
    return round(frame.rotation / 90) % 4


def pixel_aspect(clip: OpenClip) -> float:
    """Width of a stored pixel over its height; 1 where the file does not say."""
    aspect = clip.stream.sample_aspect_ratio
    return float(aspect) if aspect else 1.0


def _refuse_bytes(size: int, limits: ProbeLimits) -> None:
    if size == 0:
        raise refuse(RefusalCode.EMPTY_FILE)
    if size > limits.max_bytes:
        raise refuse(RefusalCode.TOO_LARGE, limit=f"{limits.max_bytes // 1024**2} MB")


def _refuse_declared_length(clip: OpenClip, limits: ProbeLimits) -> None:
    """Refuse by the container's word before a long film is decoded."""
    stream = clip.stream
    seconds = seconds_of(stream, stream.duration or 0)
    if seconds > limits.max_duration_s or stream.frames > limits.max_frames:
        raise _too_long(limits)


def _read_times(
    clip: OpenClip, limits: ProbeLimits, on_frame: OnFrame | None
) -> tuple[list[float], VideoFrame]:
    times: list[float] = []
    aspect = pixel_aspect(clip)
    first: VideoFrame | None = None
    for seconds, frame in shown_frames(clip):
        if first is None:
            first = frame
        elif (frame.width, frame.height) != (first.width, first.height):
            raise refuse(RefusalCode.DAMAGED)
        times.append(seconds)
        if seconds - times[0] > limits.max_duration_s or len(times) > limits.max_frames:
            raise _too_long(limits)
        if on_frame is not None:
            on_frame(len(times) - 1, seconds, frame, aspect)
    if first is None:
        raise refuse(RefusalCode.DAMAGED)
    return times, first


def _refuse_missing_end(clip: OpenClip, last_s: float) -> None:
    """A file cut off half-way still opens when its index comes first: the end is then missing."""
    stream = clip.stream
    declared_end_s = _declared_end_s(clip)
    if declared_end_s is None:
        return
    longest_gap_s = 1.0 / float(stream.average_rate) if stream.average_rate else 0.0
    if declared_end_s - last_s > max(_MISSING_END_S, 3 * longest_gap_s):
        raise refuse(RefusalCode.DAMAGED)


def _declared_end_s(clip: OpenClip) -> float | None:
    """When the picture should end: as the stream says, else (WebM) as the file says."""
    stream, container = clip.stream, clip.container
    if stream.duration:
        return seconds_of(stream, (stream.start_time or 0) + stream.duration)
    if container.duration and not container.streams.audio:  # sound may run on after the picture
        return ((container.start_time or 0) + container.duration) / _CONTAINER_TICKS_A_SECOND
    return None


def _refuse_too_short(facts: ClipFacts, limits: ProbeLimits) -> None:
    if facts.duration_s < limits.min_duration_s or facts.frames < limits.min_frames:
        raise refuse(RefusalCode.TOO_SHORT)


def _refuse_too_small(facts: ClipFacts, limits: ProbeLimits) -> None:
    if min(facts.width, facts.height) < limits.min_side_px:
        raise refuse(RefusalCode.PICTURE_TOO_SMALL, size=f"{facts.width} x {facts.height}")


def _too_long(limits: ProbeLimits) -> Exception:
    return refuse(RefusalCode.TOO_LONG, limit=f"{limits.max_duration_s:.0f} seconds")


def _facts(
    clip: OpenClip, first: VideoFrame, times: Sequence[float], duration_s: float
) -> ClipFacts:
    width, height = upright_size(first, pixel_aspect(clip))
    return ClipFacts(
        width=width,
        height=height,
        frames=len(times),
        duration_s=duration_s,
        frame_rate=len(times) / duration_s if duration_s > 0 else 0.0,
        variable_rate=_is_variable(times),
        rotation_deg=90 * quarter_turns(first),
        has_audio=any(s.codec_context is not None for s in clip.container.streams.audio),
    )


def _gaps(times: Sequence[float]) -> list[float]:
    return [later - earlier for earlier, later in pairwise(times)]


def _middle_gap(times: Sequence[float]) -> float:
    return median(_gaps(times)) if len(times) > 1 else 0.0


def _is_variable(times: Sequence[float]) -> bool:
    middle = _middle_gap(times)
    return any(abs(gap - middle) > _UNEVEN_GAP * middle for gap in _gaps(times))
