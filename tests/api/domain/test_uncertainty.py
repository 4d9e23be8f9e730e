"""Every stated sigma against a simulation with seeded noise, and against its own special cases."""

from typing import Any

import numpy as np
import pytest

from api.domain import geometry, uncertainty
from api.domain.measurement import Point
from tests.api.domain import vector_files

SHARED = vector_files.read("geometry")
DRAWS = 20_000
# The standard error of a sigma from n draws is sigma / sqrt(2 n): 0.5 %; three of them.
SHARE = 0.015


def simulated_angle_sigma(vertex: Point, first: Point, second: Point, sigmas: list[float]) -> float:
    rng = np.random.default_rng(20250)
    noise = rng.normal(size=(DRAWS, 3, 2)) * np.array(sigmas)[:, None]
    spots = np.array([vertex, first, second]) + noise
    answers = [geometry.angle_at(*(tuple(spot) for spot in draw)) for draw in spots]
    return float(np.std(answers))


@pytest.mark.parametrize("tilt", [0, 40, 250])
@pytest.mark.parametrize("degrees", [30, 90, 150])
@pytest.mark.parametrize("sigmas", [[2.0, 2.0, 2.0], [3.0, 0.0, 0.0], [0.5, 2.0, 1.0]])
def test_the_vertex_enters_once_with_its_sign(
    degrees: float, sigmas: list[float], tilt: float
) -> None:
    def ray(length: float, turn: float) -> Point:
        radians = np.radians(turn)
        return 400 + length * float(np.cos(radians)), 300 - length * float(np.sin(radians))

    vertex, first, second = (400.0, 300.0), ray(120, tilt), ray(85, tilt + degrees)

    stated = uncertainty.angle_at_sigma(
        vertex,
        first,
        second,
        sigma_vertex_px=sigmas[0],
        sigma_first_px=sigmas[1],
        sigma_second_px=sigmas[2],
    )

    simulated = simulated_angle_sigma(vertex, first, second, sigmas)
    assert stated == pytest.approx(simulated, rel=SHARE)


@pytest.mark.parametrize("case", SHARED["angle_at_sigma"])
def test_a_shared_vertex_is_not_two_independent_rays(case: dict[str, Any]) -> None:
    sigma = case["sigma_px"]
    vertex, first, second = case["vertex"], case["first"], case["second"]

    stated = uncertainty.angle_at_sigma(
        vertex,
        first,
        second,
        sigma_vertex_px=sigma,
        sigma_first_px=sigma,
        sigma_second_px=sigma,
    )

    independent = uncertainty.combine(
        uncertainty.direction_sigma(vertex, first, sigma, sigma),
        uncertainty.direction_sigma(vertex, second, sigma, sigma),
    )
    assert stated == pytest.approx(case["expected"], abs=case["tolerance"])
    assert independent == pytest.approx(2.34, abs=0.005)


def test_four_separate_ends_add_in_squares() -> None:
    rng = np.random.default_rng(7)
    ends = np.array([[500.0, 300.0], [300.0, 300.0], [296.0, 306.0], [330.0, 10.0]])
    sigmas = np.array([5.0, 3.0, 2.0, 4.0])
    draws = ends + rng.normal(size=(DRAWS, 4, 2)) * sigmas[:, None]
    answers = [geometry.lead_arm_shaft_angle(*(tuple(spot) for spot in draw)) for draw in draws]

    shoulder, wrist, butt, head = (tuple(end) for end in ends)
    stated = uncertainty.combine(
        uncertainty.direction_sigma(wrist, shoulder, 3.0, 5.0),
        uncertainty.direction_sigma(butt, head, 2.0, 4.0),
    )
    assert stated == pytest.approx(float(np.std(answers)), rel=SHARE)


def test_the_nearest_frame_errs_uniformly_over_one_gap() -> None:
    rng = np.random.default_rng(3)
    gap, rate = 1 / 60, 250.0
    errors = rate * rng.uniform(-gap / 2, gap / 2, 100_000)

    stated = uncertainty.instant_sigma(rate, gap)
    assert stated == pytest.approx(float(np.std(errors)), rel=0.01)
    assert stated == pytest.approx(1.2, abs=0.01)
    assert uncertainty.instant_sigma(-rate, gap) == stated


@pytest.mark.parametrize("case", SHARED["interval95"])
def test_the_interval_is_cut_at_what_the_quantity_can_be(case: dict[str, Any]) -> None:
    interval = uncertainty.interval95(
        case["value"], case["sigma"], lowest=case["lowest"], highest=case["highest"]
    )

    assert interval == pytest.approx(tuple(case["expected"]), abs=1e-8)


def test_the_interval_holds_95_in_100_draws() -> None:
    draws = np.random.default_rng(11).normal(90.0, 3.0, 100_000)
    low, high = uncertainty.interval95(90.0, 3.0)

    assert np.mean((draws >= low) & (draws <= high)) == pytest.approx(0.95, abs=0.003)


def test_blur_is_speed_times_exposure() -> None:
    # Clubhead at 40 m/s: 40 mm at 1/1000 s, 160 mm at 1/250 s.
    assert uncertainty.blur_px(40_000, 1 / 1000) == pytest.approx(40)
    assert uncertainty.blur_px(-40_000, 1 / 250) == pytest.approx(160)
