"""What the phone's microphone hears: the strike, late by its distance, and the range around it.

Sound is made in life's time and read out on the file's clock: a slowed file plays it slower and
lower, in step with its picture. A time in the file is ``FrameTimes.to_file`` of a time in life.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tests.studio.dials import Background, ClipDials, Sound
from tests.studio.film import SAMPLE_RATE, Samples
from tests.studio.times import FrameTimes

Array = NDArray[np.float64]

SPEED_OF_SOUND_M_S = 343.0
"""Dry air at 20 degrees C (handbook value)."""

STRIKE_LASTS_S = 0.12
_STRIKE_AT_1_M = 2.4
_FULL_SCALE = 0.98
_ATTACK_S = 0.00008
# Ringing of head, ball and shaft: frequency (Hz), decay to 1/e (s), share. The broadband crack of
# the contact, half a millisecond long, is over in a few.
_RINGING = ((2900.0, 0.0045, 0.42), (4600.0, 0.0028, 0.30), (950.0, 0.0090, 0.22))
_CRACK_DECAY_S, _CRACK_SHARE = 0.0016, 0.5
# Walls near by answer: delay (s) and share.
_ECHOES = ((0.0071, 0.28), (0.0134, 0.17), (0.0223, 0.10))
_WALLED = (Background.INDOOR, Background.NET_BAY)
_EARS_APART_M = 0.13
"""Between the two microphones of a phone held upright or across."""
_FARTHEST_OFF_AXIS_DEG = 25.0
_STREAM = 0x50


def track(
    dials: ClipDials, impacts_s: Sequence[float], distance_m: float, times: FrameTimes
) -> Samples | None:
    """The sound track from the first frame to the last one's end, or ``None`` for a silent file.

    ``impacts_s``: life times at which the ball is struck; ``distance_m``: ball to phone. Returns
    samples at ``SAMPLE_RATE`` of shape (n, 1) or (n, 2), from -1 to 1. In stereo one channel hears
    the strike up to 0.08 ms before, the other as much after ``strike_onsets_s``.
    """
    if dials.film.sound is Sound.NONE:
        return None
    random = np.random.default_rng((dials.seed, _STREAM))
    channels = 1 if dials.film.sound is Sound.MONO else 2
    file_s = np.arange(round(times.duration_s * SAMPLE_RATE)) / SAMPLE_RATE
    sound = _surroundings(file_s, channels, dials.film.range_noise, times.slow_motion, random)
    lags_s = _lags_s(channels, random)
    crack = random.standard_normal(SAMPLE_RATE)
    for onset_s in strike_onsets_s(dials, impacts_s, distance_m, times):
        for channel, lag_s in enumerate(lags_s):
            since_s = (file_s - onset_s) / times.slow_motion - lag_s
            heard = _at_the_scene(since_s, crack, dials.scene.background)
            sound[:, channel] += _STRIKE_AT_1_M / distance_m * heard
    return np.clip(sound, -_FULL_SCALE, _FULL_SCALE).astype(np.float32)


def strike_onsets_s(
    dials: ClipDials, impacts_s: Sequence[float], distance_m: float, times: FrameTimes
) -> tuple[float, ...]:
    """File times at which the strikes reach the phone; none without a ball.

    In real time that is the impact plus ``distance_m`` / 343 s; in a slowed file the delay is
    stretched as all else.
    """
    if not dials.swing.ball:
        return ()
    travel_s = distance_m / SPEED_OF_SOUND_M_S
    return tuple(times.to_file(impact_s + travel_s) for impact_s in impacts_s)


def strike(since_s: Array, crack: Array) -> Array:
    """Sound pressure of a strike ``since_s`` seconds after it began; 0 before. Peak about 1.

    ``crack``: standard normal numbers, the same for every microphone that hears the strike.
    """
    heard = np.zeros_like(since_s)
    on = (since_s >= 0.0) & (since_s < STRIKE_LASTS_S)
    s = since_s[on]
    ringing = sum(
        share * np.exp(-s / decay_s) * np.sin(2 * np.pi * hertz * s)
        for hertz, decay_s, share in _RINGING
    )
    noise = np.interp(s * SAMPLE_RATE, np.arange(len(crack)), crack)
    burst = _CRACK_SHARE * noise * np.exp(-s / _CRACK_DECAY_S)
    heard[on] = (1.0 - np.exp(-s / _ATTACK_S)) * (ringing + burst)
    return heard


def _at_the_scene(since_s: Array, crack: Array, background: Background) -> Array:
    heard = strike(since_s, crack)
    if background in _WALLED:
        for delay_s, share in _ECHOES:
            heard += share * strike(since_s - delay_s, crack)
    return heard


def _lags_s(channels: int, random: np.random.Generator) -> tuple[float, ...]:
    """Life seconds by which each channel hears the strike after the phone's middle."""
    if channels == 1:
        return (0.0,)
    off_axis = np.radians(random.uniform(-_FARTHEST_OFF_AXIS_DEG, _FARTHEST_OFF_AXIS_DEG))
    half_s = float(_EARS_APART_M / 2 * np.sin(off_axis) / SPEED_OF_SOUND_M_S)
    return (half_s, -half_s)


def _surroundings(
    file_s: Array, channels: int, amount: float, slow_motion: float, random: np.random.Generator
) -> Array:
    """Hiss of the microphone, wind in gusts, and other people's strikes far away."""
    count = len(file_s)
    sound = (0.0006 + 0.004 * amount) * random.standard_normal((count, channels))
    gusts = 0.6 + 0.4 * np.sin(2 * np.pi * 0.23 * file_s / slow_motion + random.uniform(0, 6.28))
    for channel in range(channels):
        sound[:, channel] += 0.06 * amount * gusts * _wind(count, slow_motion, random)
    return sound + _far_strikes(file_s, amount, slow_motion, random)[:, np.newaxis]


def _wind(count: int, slow_motion: float, random: np.random.Generator) -> Array:
    """Noise of unit size that falls with the square of frequency above 60 Hz of life."""
    spectrum = np.fft.rfft(random.standard_normal(count))
    hertz = np.fft.rfftfreq(count, 1 / SAMPLE_RATE) * slow_motion
    rumble = np.fft.irfft(spectrum / (1.0 + (hertz / 60.0) ** 2), count)
    return np.asarray(rumble / max(float(rumble.std()), 1e-12), dtype=np.float64)


def _far_strikes(
    file_s: Array, amount: float, slow_motion: float, random: np.random.Generator
) -> Array:
    """About one strike in two seconds of a full range, 8 to 60 m away, dulled by the air."""
    sound = np.zeros_like(file_s)
    life_s = file_s / slow_motion
    crack = random.standard_normal(SAMPLE_RATE)
    for _ in range(random.poisson(0.5 * amount * float(life_s[-1]))):
        at_s = random.uniform(0.0, float(life_s[-1]))
        away_m = random.uniform(8.0, 60.0)
        dulled = 0.55  # plays slower, hence lower
        sound += _STRIKE_AT_1_M / away_m * strike((life_s - at_s) * dulled, crack)
    return sound
