from collections.abc import Sequence

import numpy as np
import pytest

from api.domain.measurement import Missing
from tests.worker.club.drawing import HANDS, grain, scenery, with_shaft
from worker.club.background import background_of
from worker.club.shaft import Look, Shaft, find_shafts, search_angles

FRAME_S = 1 / 60


def _find(
    angles: Sequence[float], *, blur_deg: float = 0.0, level: float = 235.0
) -> list[Shaft | Missing]:
    """Shafts found in frames whose drawn shaft points to ``angles``."""
    back = scenery()
    elsewhere = [with_shaft(back, angle) for angle in (200, 230, 260, 290, 320)]
    background = background_of([grain(p, 50 + k) for k, p in enumerate(elsewhere)])
    looks = [
        Look(
            gray=grain(with_shaft(back, angle, blur_deg=blur_deg, level=level), 7 + k),
            hands=HANDS,
            time_s=k * FRAME_S,
        )
        for k, angle in enumerate(angles)
    ]
    allowed = [np.ones(len(search_angles()), dtype=bool)] * len(looks)
    return find_shafts(looks, background, club_px=240.0, reach_px=14.0, allowed=allowed)


@pytest.mark.parametrize("angle", [-88.0, 3.0, 47.3, 90.0, 121.6, 179.2])
def test_a_still_shaft_is_found_to_half_a_degree(angle: float) -> None:
    (found,) = _find([angle])
    assert isinstance(found, Shaft)
    # Half a degree is two pixels at the clubhead: well inside the error budget of 2 degrees.
    assert abs((found.direction_deg - angle + 180) % 360 - 180) < 0.5
    assert found.near == pytest.approx(HANDS, abs=8.0)


def test_the_visible_end_is_the_clubhead() -> None:
    (found,) = _find([75.0])
    assert isinstance(found, Shaft)
    length = np.hypot(found.far[0] - HANDS[0], found.far[1] - HANDS[1])
    assert length == pytest.approx(230.0, abs=8.0)  # a section of the search is 21 px


def test_a_turning_shaft_is_followed_and_its_smear_is_centred() -> None:
    angles = [120.0 - 4.0 * k for k in range(7)]
    found = _find(angles, blur_deg=2.0)
    for angle, shaft in zip(angles, found, strict=True):
        assert isinstance(shaft, Shaft)
        assert shaft.direction_deg == pytest.approx(angle, abs=0.8)


def test_a_faint_shaft_smeared_into_a_fan_is_withheld() -> None:
    (found,) = _find([100.0], blur_deg=30.0, level=170.0)
    assert isinstance(found, Missing)


def test_fence_lines_alone_are_no_shaft() -> None:
    back = scenery()
    background = background_of([grain(back, k) for k in range(5)])
    look = Look(grain(back, 99), HANDS, 0.0)
    allowed = [np.ones(len(search_angles()), dtype=bool)]
    (found,) = find_shafts([look], background, club_px=240.0, reach_px=14.0, allowed=allowed)
    assert isinstance(found, Missing)


def test_two_equal_lines_are_not_chosen_between() -> None:
    back = scenery()
    background = background_of([grain(back, k) for k in range(5)])
    both = with_shaft(with_shaft(back, 60.0), 110.0)
    allowed = [np.ones(len(search_angles()), dtype=bool)]
    looks = [Look(grain(both, 99), HANDS, 0.0)]
    (found,) = find_shafts(looks, background, club_px=240.0, reach_px=14.0, allowed=allowed)
    assert isinstance(found, Missing)
    assert "More than one line" in found.reason


def test_a_forbidden_direction_is_not_searched() -> None:
    back = scenery()
    background = background_of([grain(back, k) for k in range(5)])
    looks = [Look(grain(with_shaft(back, 60.0), 99), HANDS, 0.0)]
    away = [np.abs(search_angles() - 60.0) > 25.0]
    (found,) = find_shafts(looks, background, club_px=240.0, reach_px=14.0, allowed=away)
    assert isinstance(found, Missing)


def test_stated_sigma_is_no_smaller_than_the_scatter() -> None:
    errors, sigmas = [], []
    back = scenery()
    background = background_of([grain(back, k) for k in range(5)])
    allowed = [np.ones(len(search_angles()), dtype=bool)]
    for k in range(12):
        angle = 62.0 + 3.7 * k
        looks = [Look(grain(with_shaft(back, angle), 200 + k), HANDS, 0.0)]
        (found,) = find_shafts(looks, background, club_px=240.0, reach_px=14.0, allowed=allowed)
        assert isinstance(found, Shaft)
        errors.append(found.direction_deg - angle)
        sigmas.append(found.sigma_deg)
    # Twelve draws know their spread to a fifth; a factor of two catches a wrong formula.
    assert np.std(errors) < 2.0 * np.mean(sigmas) + 0.05
