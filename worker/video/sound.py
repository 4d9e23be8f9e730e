"""Strikes in a clip's sound: short, sharp noises far above what is heard about them.

A strike of club on ball is a crack of a few milliseconds, mostly above a kilohertz, where wind and voices have
little. The club's own is told from a neighbour's by where the picture has the impact, which is the caller's
business; here all are listed. Clock: the file's, as the picture's.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import av.error
import numpy as np
from av.audio.resampler import AudioResampler
from av.audio.stream import AudioStream
from av.codec.context import CodecContext
from numpy.typing import NDArray

from api.domain.errors import ClipRefused
from worker.video.frames import MAX_PIXELS
from worker.video.reading import OpenClip, open_clip

Array = NDArray[np.float64]

HIGH_PASS_HZ = 1500.0
HIGH_PASS_LONG_S = 0.002
BIN_S = 0.0005
"""Loudness is told in bins so long; a strike's time is no sharper."""
STRIKE_BINS = 8
"""A strike is over in about 4 ms; what rings on is its echo."""
ABOVE = 20.0
"""Times the power about it (half a second, its middle value): 13 dB (working value)."""
ATTACK = 4.0
"""Times the power of 8 to 12 ms before: a shout swells, a strike does not (working value)."""
_BEFORE_BINS = 24
APART_S = 0.06
"""Echoes of one strike come within so much of it."""
ONSET_SHARE = 0.1
"""A strike begins where a bin first has this share of its loudest bin's power."""
_NOISE_BINS = 100
_NOISE_BLOCKS = 11
"""The middle value over eleven blocks of 50 ms."""
SILENCE = 1e-9
"""Power of a bin in a file that is digitally silent, of full scale."""
LONGEST_S = 60.0
"""No accepted clip is longer; more sound than that is not read."""
RATES_HZ = (8_000, 192_000)
"""Below eight kilohertz nothing of a strike is left."""


@dataclass(frozen=True, slots=True)
class Strike:
    """When a strike is first heard, seconds on the file's clock, and its power over full scale, dB."""

    heard_s: float
    level_db: float


def strikes_heard(path: Path) -> tuple[Strike, ...]:
    """Strikes in order of time; none where the clip has no sound or its sound cannot be read.

    Poor sound is no reason to refuse a clip: the picture is what is measured.
    """
    try:
        with open_clip(path, max_pixels=MAX_PIXELS) as clip:
            return _strikes(clip)
    except (ClipRefused, av.error.FFmpegError, ValueError):
        return ()


def _strikes(clip: OpenClip) -> tuple[Strike, ...]:
    stream = _sound_track(clip)
    if stream is None or not RATES_HZ[0] <= stream.codec_context.sample_rate <= RATES_HZ[1]:
        return ()
    rate = stream.codec_context.sample_rate
    resampler = AudioResampler(format="fltp", layout="mono", rate=rate)
    parts: list[Array] = []
    start_s: float | None = None
    count, most = 0, round(LONGEST_S * rate)
    for time_s, samples in _samples(clip, stream, resampler):
        start_s = time_s if start_s is None else start_s
        # A gap in the sound is silence, or all after it would be heard early.
        gap = min(max(round((time_s - start_s) * rate) - count, 0), most)
        parts += [np.zeros(gap), samples]
        count += gap + len(samples)
        if count > most:
            break
    if start_s is None:
        return ()
    return find_strikes(np.concatenate(parts), float(rate), start_s)


def _sound_track(clip: OpenClip) -> AudioStream | None:
    for stream in clip.container.streams.audio:
        # PyAV says otherwise, but a track without a decoder has no codec context.
        codec: CodecContext | None = stream.codec_context
        if codec is not None:
            return stream
    return None


def _samples(
    clip: OpenClip, stream: AudioStream, resampler: AudioResampler
) -> Iterator[tuple[float, Array]]:
    for frame in clip.container.decode(stream):
        if frame.pts is None or frame.time_base is None:
            continue
        time_s = float(frame.pts * frame.time_base)
        for mono in resampler.resample(frame):
            yield time_s, np.asarray(mono.to_ndarray()[0], dtype=np.float64)


def find_strikes(samples: Array, rate: float, start_s: float = 0.0) -> tuple[Strike, ...]:
    """Strikes in (n,) samples of full scale 1, ``rate`` a second, the first at ``start_s``."""
    width = max(1, round(BIN_S * rate))
    bins = len(samples) // width
    if bins < _NOISE_BINS:
        return ()
    filter_ = _high_pass(rate)
    # Held at its ends: a rumble that is cut off there is no crack.
    sharp = np.convolve(np.pad(samples, len(filter_) // 2, mode="edge"), filter_, "valid")
    power = (sharp[: bins * width].reshape(bins, width) ** 2).mean(axis=1)
    around = _around(power)
    burst = np.convolve(power, np.ones(STRIKE_BINS))[STRIKE_BINS - 1 :] / STRIKE_BINS
    burst = np.concatenate([burst, np.zeros(bins - len(burst))])
    before = np.concatenate([np.full(_BEFORE_BINS, around[0]), burst[:-_BEFORE_BINS]])
    stands_out = (burst > ABOVE * around) & (burst > ATTACK * before)
    found: list[Strike] = []
    for at in np.argsort(-np.where(stands_out, burst, 0.0)):
        if not stands_out[at]:
            break
        heard_s = start_s + _onset(power, int(at)) * width / rate
        if all(abs(heard_s - other.heard_s) > APART_S for other in found):
            found.append(Strike(heard_s, 10.0 * float(np.log10(burst[at]))))
    return tuple(sorted(found, key=lambda strike: strike.heard_s))


def _high_pass(rate: float) -> Array:
    """Windowed-sinc filter (Hamming), 2 ms long: it smears a strike by less than a bin or two, evenly."""
    half = round(HIGH_PASS_LONG_S * rate / 2.0)
    at = np.arange(-half, half + 1)
    share = 2.0 * HIGH_PASS_HZ / rate
    low = share * np.sinc(share * at) * np.hamming(len(at))
    high = -low / low.sum()
    high[half] += 1.0
    return np.asarray(high)


def _around(power: Array) -> Array:
    """(n,) middle value of the power in the half second about each bin."""
    blocks = len(power) // _NOISE_BINS
    middles = np.median(power[: blocks * _NOISE_BINS].reshape(blocks, _NOISE_BINS), axis=1)
    half = _NOISE_BLOCKS // 2
    padded = np.pad(middles, half, mode="edge")
    windows = np.lib.stride_tricks.sliding_window_view(padded, _NOISE_BLOCKS)
    smooth = np.median(windows, axis=1)
    block = np.minimum(np.arange(len(power)) // _NOISE_BINS, blocks - 1)
    return np.asarray(np.maximum(smooth[block], SILENCE))


def _onset(power: Array, at: int) -> int:
    """Bin in which the burst that lies from ``at`` on begins."""
    part = power[at : at + STRIKE_BINS]
    return at + int(np.argmax(part >= ONSET_SHARE * part.max()))
