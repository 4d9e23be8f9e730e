import numpy as np
import pytest

from worker.swing.signals import local_line, noise_sigma, rising_crossing, smoothed, speed


def test_crossing_of_a_straight_signal_is_exact_between_frames() -> None:
    times = np.arange(0.0, 1.0, 1 / 30)
    found = rising_crossing(times, times - 0.5123, sigma=0.0)
    assert found is not None
    assert found.time_s == pytest.approx(0.5123, abs=1e-9)
    assert found.slope == pytest.approx(1.0)


def test_crossing_works_on_uneven_times() -> None:
    times = np.sort(np.random.default_rng(2).uniform(0.0, 1.0, 70))
    found = rising_crossing(times, 300.0 * (times - 0.61), sigma=0.0)
    assert found is not None
    assert found.time_s == pytest.approx(0.61, abs=1e-6)


def test_a_flicker_above_zero_is_not_a_crossing() -> None:
    times = np.arange(0.0, 1.0, 0.02)
    values = np.where(times < 0.7, -1.0, 1.0)
    values[10] = 0.5
    found = rising_crossing(times, values, sigma=0.0)
    assert found is not None
    assert found.time_s > 0.65


@pytest.mark.parametrize("half_width_s", [0.05, 0.2])
def test_a_line_is_the_least_squares_line_wherever_two_samples_are_near(
    half_width_s: float,
) -> None:
    rng = np.random.default_rng(4)
    # A stretch with all samples far apart: there the two nearest make the line.
    times = 1e3 + np.sort(np.concatenate([rng.uniform(0.0, 1.0, 60), [1.5, 1.9, 2.4]]))
    values = np.sin(3.0 * times) + rng.normal(0.0, 0.1, len(times))
    smooth = smoothed(times, np.stack([values, -2.0 * values], axis=1), half_width_s)
    for row, time_s in enumerate(times):
        near = np.abs(times - time_s) <= half_width_s
        if near.sum() < 2:
            near = np.argsort(np.abs(times - time_s))[:2]
        slope, value = np.polyfit(times[near] - time_s, values[near], 1)
        line = local_line(times, values, float(time_s), half_width_s)
        assert (line.value, line.slope) == pytest.approx((value, slope), rel=1e-6, abs=1e-6)
        assert smooth[row] == pytest.approx([value, -2.0 * value], rel=1e-6, abs=1e-6)


def test_no_crossing_is_none() -> None:
    times = np.arange(0.0, 1.0, 0.02)
    assert rising_crossing(times, np.full(50, -1.0), sigma=0.0) is None


def test_stated_sigma_of_a_crossing_agrees_with_its_scatter() -> None:
    rng = np.random.default_rng(11)
    times = np.arange(0.0, 1.0, 1 / 60)
    errors, stated = [], []
    for _ in range(300):
        values = 500.0 * (times - 0.5) + rng.normal(0.0, 2.0, len(times))
        found = rising_crossing(times, values, sigma=2.0)
        assert found is not None
        errors.append(found.time_s - 0.5)
        stated.append(found.sigma_s)
    # 300 draws know a spread to 4 %; the count of samples in the window varies by one.
    assert np.std(errors) == pytest.approx(np.mean(stated), rel=0.2)


def test_a_shared_bias_is_not_averaged_away() -> None:
    times = np.arange(0.0, 1.0, 1 / 60)
    found = rising_crossing(times, 500.0 * (times - 0.5), sigma=0.0, bias_sigma=10.0)
    assert found is not None
    assert found.sigma_s == pytest.approx(10.0 / 500.0)


def test_noise_is_measured_on_a_moving_point() -> None:
    rng = np.random.default_rng(4)
    times = np.arange(0.0, 4.0, 1 / 60)
    path = 80.0 * np.sin(2 * times) + rng.normal(0.0, 1.5, len(times))
    assert noise_sigma(path) == pytest.approx(1.5, rel=0.15)


def test_speed_and_smoothing_follow_straight_motion() -> None:
    times = np.arange(0.0, 1.0, 1 / 60)
    points = np.stack([30.0 * times, 40.0 * times], axis=1)
    assert speed(times, points, 0.03) == pytest.approx(50.0)
    assert smoothed(times, points, 0.05) == pytest.approx(points)
    assert local_line(times, points[:, 0], 0.5, 0.04).value == pytest.approx(15.0)


def test_a_signal_that_stays_near_zero_after_it_crossed_has_no_sharp_crossing() -> None:
    """Up steeply, a tenth of a second just above zero, then on: the bias may put level anywhere in it."""
    times = np.arange(0.0, 1.0, 1 / 60)
    values = np.interp(times, [0.0, 0.4, 0.42, 0.52, 1.0], [-200.0, -1.0, 1.0, 3.0, 200.0])
    found = rising_crossing(times, values, sigma=0.3, bias_sigma=10.0)
    straight = rising_crossing(times, 400.0 * (times - 0.41), sigma=0.3, bias_sigma=10.0)
    assert found is not None
    assert straight is not None
    assert found.sigma_s > 0.06
    assert 0.02 < straight.sigma_s < 0.03
