"""The start of a move, from all samples about it, against starts that are known."""

import numpy as np
import pytest
from numpy.typing import NDArray

from worker.swing.onset import Onset, fit_onset

Array = NDArray[np.float64]

START_S = 0.631
WAY = np.array([60.0, -20.0, 140.0])
"""Pixels after one second of a steady push: mostly towards the lens."""


def places(times: Array, *, power: float, noise: Array, seed: int) -> Array:
    course = np.maximum(times - START_S, 0.0) ** power
    rng = np.random.default_rng(seed)
    return np.asarray(300.0 + np.outer(course, WAY) + rng.normal(0.0, noise, (len(times), 3)))


def found(times: Array, track: Array) -> Onset:
    onset = fit_onset(times, track)
    assert onset is not None
    return onset


@pytest.mark.parametrize("power", [1.5, 2.0, 2.5, 3.0])
@pytest.mark.parametrize("rate", [30.0, 60.0])
def test_the_start_is_found_and_its_sigma_is_true(power: float, rate: float) -> None:
    times = np.arange(0.0, 1.1, 1.0 / rate)
    noise = np.array([0.5, 0.5, 2.0])
    onsets = [
        found(times, places(times, power=power, noise=noise, seed=seed)) for seed in range(60)
    ]
    errors = np.array([onset.time_s - START_S for onset in onsets])
    sigmas = np.array([onset.sigma_s for onset in onsets])

    assert np.mean(np.abs(errors) <= 1.96 * sigmas) >= 0.9


def test_it_is_sharper_than_where_a_threshold_is_passed() -> None:
    times = np.arange(0.0, 1.1, 1.0 / 30.0)
    tracks = [
        places(times, power=2.0, noise=np.array([0.5, 0.5, 2.0]), seed=seed) for seed in range(60)
    ]
    fitted = [abs(found(times, track).time_s - START_S) for track in tracks]
    passed = []
    for track in tracks:
        travel = np.linalg.norm(track - track[times < 0.5].mean(axis=0), axis=1)
        passed.append(abs(float(times[int(np.argmax(travel > 4.0 * 2.0))]) - START_S))

    assert np.median(fitted) < 0.5 * np.median(passed)


def test_samples_that_share_their_error_make_it_less_sure() -> None:
    times = np.arange(0.0, 1.1, 1.0 / 120.0)
    clean = places(times, power=2.0, noise=np.zeros(3), seed=0)
    rng = np.random.default_rng(5)
    fresh = rng.normal(0.0, 1.0, (len(times), 3))
    wandering = np.zeros_like(fresh)
    for row in range(1, len(times)):
        wandering[row] = 0.8 * wandering[row - 1] + np.sqrt(1.0 - 0.8**2) * fresh[row]

    alone = found(times, clean + fresh)
    shared = found(times, clean + wandering)

    assert shared.sigma_s > 1.5 * alone.sigma_s


def test_too_few_samples_tell_nothing() -> None:
    times = np.arange(5) / 30.0

    assert fit_onset(times, np.zeros((5, 3))) is None


def test_samples_of_one_time_tell_nothing() -> None:
    assert fit_onset(np.full(8, 0.5), np.zeros((8, 3))) is None


@pytest.mark.parametrize("broken", [np.nan, np.inf])
def test_a_place_that_is_no_number_tells_nothing(broken: float) -> None:
    times = np.arange(0.0, 1.1, 1.0 / 30.0)
    track = places(times, power=2.0, noise=np.full(3, 0.5), seed=0)
    track[12, 1] = broken

    assert fit_onset(times, track) is None
