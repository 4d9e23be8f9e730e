"""The strike is heard when it should be, in the decoded file, and only where a ball is struck."""

from dataclasses import replace
from pathlib import Path

import av
import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.signal import correlate, correlation_lags

from tests.studio.dials import Background, ClipDials, FilmDials, SceneDials, Sound, SwingDials
from tests.studio.film import SAMPLE_RATE, write_clip
from tests.studio.sound import strike, strike_onsets_s, track
from tests.studio.times import FrameTimes, frame_times

LIFE_S = 2.0
IMPACT_S = 1.2345
MILLISECOND = 0.001


def dials(*, sound: Sound = Sound.MONO, ball: bool = True, **film: object) -> ClipDials:
    made = replace(FilmDials(), sound=sound, **film)  # type: ignore[arg-type]  # any dial
    return ClipDials("clip", 21, film=made, swing=SwingDials(ball=ball))


def decoded(
    path: Path, clip: ClipDials, distance_m: float
) -> tuple[FrameTimes, NDArray[np.float32]]:
    """Channels of the file's sound with sample 0 at the file's time 0, as its stamps say."""
    times = frame_times(clip, LIFE_S)
    grey = np.full((64, 64, 3), 90, np.uint8)
    sound = track(clip, (IMPACT_S,), distance_m, times)
    write_clip(path, clip, [grey] * len(times.file_s), times, sound)
    with av.open(str(path)) as container:
        frames = list(container.decode(audio=0))
    assert frames[0].time_base is not None
    start = round(float((frames[0].pts or 0) * frames[0].time_base) * SAMPLE_RATE)
    heard = np.concatenate([frame.to_ndarray() for frame in frames], axis=1)
    return times, np.pad(heard, ((0, 0), (max(start, 0), 0)))[:, max(-start, 0) :]


def heard_at_s(channel: NDArray[np.float32], slow_motion: float = 1.0) -> float:
    """Onset of the strike by correlation with the strike's ringing, which starts at its time 0."""
    model_s = np.arange(round(0.02 * slow_motion * SAMPLE_RATE)) / SAMPLE_RATE / slow_motion
    model = strike(model_s, np.zeros(SAMPLE_RATE))
    match = correlate(channel.astype(np.float64), model)
    lag = correlation_lags(len(channel), len(model))[int(np.argmax(match))]
    return float(lag) / SAMPLE_RATE


@pytest.mark.parametrize("distance_m", [3.0, 4.0, 6.0])
@pytest.mark.parametrize("background", [Background.RANGE, Background.INDOOR])
def test_the_strike_is_late_by_its_distance_over_343(
    tmp_path: Path, distance_m: float, background: Background
) -> None:
    clip = replace(dials(range_noise=0.2), scene=SceneDials(background=background))
    times, (channel,) = decoded(tmp_path / "clip.mp4", clip, distance_m)
    late_s = heard_at_s(channel) - times.to_file(IMPACT_S)
    assert late_s == pytest.approx(distance_m / 343, abs=MILLISECOND)


def test_the_sound_rises_within_a_millisecond_of_its_onset(tmp_path: Path) -> None:
    """Without correlation: the first sample above a tenth of the peak."""
    times, (channel,) = decoded(tmp_path / "clip.mp4", dials(range_noise=0.0), 4.0)
    loud = np.abs(channel) > 0.1 * np.abs(channel).max()
    late_s = float(np.argmax(loud)) / SAMPLE_RATE - times.to_file(IMPACT_S)
    assert late_s == pytest.approx(4.0 / 343, abs=MILLISECOND)


def test_in_a_slowed_file_the_delay_is_slowed_as_well(tmp_path: Path) -> None:
    clip = dials(fps=120.0, slow_motion=4.0)
    times, (channel,) = decoded(tmp_path / "clip.mp4", clip, 4.0)
    late_s = heard_at_s(channel, 4.0) - times.to_file(IMPACT_S)
    assert late_s == pytest.approx(4 * 4.0 / 343, abs=MILLISECOND)


def test_at_a_variable_rate_the_sound_keeps_true_time(tmp_path: Path) -> None:
    times, (channel,) = decoded(tmp_path / "clip.mp4", dials(variable_rate=True), 4.0)
    late_s = heard_at_s(channel) - times.to_file(IMPACT_S)
    assert late_s == pytest.approx(4.0 / 343, abs=MILLISECOND)


def test_two_microphones_hear_it_nearly_together(tmp_path: Path) -> None:
    times, channels = decoded(tmp_path / "clip.mp4", dials(sound=Sound.STEREO), 4.0)
    assert len(channels) == 2
    first_s, second_s = (heard_at_s(channel) for channel in channels)
    assert 0 < abs(first_s - second_s) <= 0.13 / 343 + 1 / SAMPLE_RATE
    middle_s = (first_s + second_s) / 2 - times.to_file(IMPACT_S)
    assert middle_s == pytest.approx(4.0 / 343, abs=MILLISECOND)


def test_every_swing_of_a_file_is_heard() -> None:
    times = frame_times(dials(), 6.0)
    onsets = strike_onsets_s(dials(), (1.0, 4.0), 3.43, times)
    assert onsets == pytest.approx([times.to_file(1.01), times.to_file(4.01)])


def test_without_a_ball_nothing_strikes() -> None:
    clip = dials(ball=False, range_noise=0.0)
    times = frame_times(clip, LIFE_S)
    sound = track(clip, (IMPACT_S,), 4.0, times)
    assert strike_onsets_s(clip, (IMPACT_S,), 4.0, times) == ()
    assert sound is not None
    assert np.abs(sound).max() < 0.01


def test_a_silent_file_has_no_track() -> None:
    clip = dials(sound=Sound.NONE)
    assert track(clip, (IMPACT_S,), 4.0, frame_times(clip, LIFE_S)) is None


def test_it_is_as_long_as_the_picture_and_within_full_scale() -> None:
    clip = dials(sound=Sound.STEREO, range_noise=1.0)
    times = frame_times(clip, LIFE_S)
    sound = track(clip, (IMPACT_S,), 2.5, times)
    assert sound is not None
    assert sound.shape == (round(times.duration_s * SAMPLE_RATE), 2)
    assert 0.3 < np.abs(sound).max() < 1.0


def test_more_range_noise_is_louder_away_from_the_strike() -> None:
    levels = []
    for amount in (0.0, 0.5, 1.0):
        clip = dials(range_noise=amount)
        times = frame_times(clip, LIFE_S)
        sound = track(clip, (IMPACT_S,), 4.0, times)
        assert sound is not None
        levels.append(float(sound[:SAMPLE_RATE].std()))
    assert levels[0] < levels[1] < levels[2]


def test_the_strike_dies_away_and_is_nothing_before_its_time() -> None:
    since_s = np.linspace(-0.05, 0.1, 7201)
    heard = np.abs(strike(since_s, np.random.default_rng(0).standard_normal(SAMPLE_RATE)))
    assert heard[since_s < 0].max() == 0.0
    assert 0.5 < heard.max() < 1.8
    assert since_s[int(np.argmax(heard))] < 0.003
    assert heard[since_s > 0.05].max() < 0.01 * heard.max()


def test_the_same_dials_sound_the_same() -> None:
    clip = dials(sound=Sound.STEREO, range_noise=0.7)
    times = frame_times(clip, LIFE_S)
    one, two = (track(clip, (IMPACT_S,), 4.0, times) for _ in range(2))
    assert one is not None
    assert two is not None
    assert np.array_equal(one, two)
