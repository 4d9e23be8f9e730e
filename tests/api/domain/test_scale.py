"""Pixels per metre from the club, with a second opinion from the ball."""

import numpy as np
import pytest

from api.domain.measurement import Missing
from api.domain.scale import (
    Scale,
    club_length_problem,
    scale_from_ball,
    scale_from_club,
    scales_agree,
)


def given_scale(answer: Scale | Missing) -> Scale:
    assert isinstance(answer, Scale), answer
    return answer


def test_the_club_gives_the_scale_and_its_doubt() -> None:
    scale = given_scale(scale_from_club((400, 500), (400, 782), 0.94, sigma_px=2.0))

    assert scale.px_per_m == pytest.approx(300)
    assert scale.px_per_grip == pytest.approx(80.1)
    assert scale.share == pytest.approx(scale.sigma / 300)


def test_the_doubt_is_what_a_simulation_finds() -> None:
    rng = np.random.default_rng(17)
    pixels = 282 + rng.normal(0, 2, 50_000) - rng.normal(0, 2, 50_000)
    length = 0.94 + rng.normal(0, 0.013, 50_000)

    scale = given_scale(scale_from_club((400, 500), (400, 782), 0.94, sigma_px=2.0))

    assert scale.sigma == pytest.approx(float(np.std(pixels / length)), rel=0.02)


@pytest.mark.parametrize("length", [0.2, 1.3, 94.0])
def test_a_club_of_impossible_length_scales_nothing(length: float) -> None:
    problem = club_length_problem(length)
    answer = scale_from_club((400, 500), (400, 782), length, sigma_px=2.0)

    assert problem is not None
    assert "cannot be right" in problem
    assert answer == Missing(problem)


def test_a_club_of_no_pixels_scales_nothing() -> None:
    assert isinstance(scale_from_club((400, 500), (401, 500), 0.94, sigma_px=2.0), Missing)


def test_a_ball_agrees_with_a_club_only_within_their_doubts() -> None:
    club = given_scale(scale_from_club((400, 500), (400, 782), 0.94, sigma_px=2.0))

    assert scales_agree(club, given_scale(scale_from_ball(12.8)))
    assert scales_agree(club, given_scale(scale_from_ball(14.0)))
    assert not scales_agree(club, given_scale(scale_from_ball(17.0)))


def test_a_pixel_of_a_small_ball_is_eight_per_cent() -> None:
    assert given_scale(scale_from_ball(12.8)).share == pytest.approx(0.08, abs=0.003)


@pytest.mark.parametrize("diameter", [0.0, -3.0, float("nan")])
def test_a_ball_of_no_size_scales_nothing(diameter: float) -> None:
    assert isinstance(scale_from_ball(diameter), Missing)
