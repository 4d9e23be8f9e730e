import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from api.domain.equipment import BALL_DIAMETER_M
from api.domain.measurement import Missing
from tests.worker.club.drawing import grain, scenery
from worker.club.ball import Ball, find_ball, leaving
from worker.club.regions import Region

EVERYWHERE = Region(0, 0, 10_000, 10_000)
DIAMETER = 11.0


def _with_spot(
    back: NDArray[np.float64], x: float, y: float, diameter: float = DIAMETER
) -> NDArray[np.float64]:
    mask = np.zeros(back.shape, dtype=np.uint8)
    centre = (round(x * 16), round(y * 16))
    cv2.circle(mask, centre, round(diameter / 2 * 16), 255, -1, cv2.LINE_AA, 4)
    return np.where(mask > 0, 245.0, back)


def _frames(picture: NDArray[np.float64], count: int, seed: int) -> list[NDArray[np.uint8]]:
    return [grain(picture, seed + k) for k in range(count)]


def test_the_ball_is_the_size_the_rules_say() -> None:
    assert pytest.approx(1.680 * 0.0254, abs=5e-6) == BALL_DIAMETER_M


def test_a_spot_that_goes_is_the_ball_to_a_pixel() -> None:
    back = scenery()
    found = find_ball(
        _frames(_with_spot(back, 300.4, 600.7), 5, 1), _frames(back, 5, 20), EVERYWHERE, DIAMETER
    )
    assert isinstance(found, Ball)
    assert found.centre == pytest.approx((300.4, 600.7), abs=1.0)


def test_a_spot_that_stays_is_not_a_ball() -> None:
    stays = _with_spot(scenery(), 300.0, 600.0)
    assert isinstance(
        find_ball(_frames(stays, 5, 1), _frames(stays, 5, 20), EVERYWHERE, 11.0), Missing
    )


def test_a_foot_that_moves_is_not_a_ball() -> None:
    back = scenery()
    shoe = _with_spot(back, 250.0, 560.0, 60.0)
    moved = _with_spot(back, 270.0, 560.0, 60.0)
    assert isinstance(
        find_ball(_frames(shoe, 5, 1), _frames(moved, 5, 20), EVERYWHERE, 11.0), Missing
    )


def test_two_spots_that_go_are_not_chosen_between() -> None:
    back = scenery()
    both = _with_spot(_with_spot(back, 200.0, 600.0), 320.0, 610.0)
    found = find_ball(_frames(both, 5, 1), _frames(back, 5, 20), EVERYWHERE, DIAMETER)
    assert isinstance(found, Missing)


def test_the_ball_leaves_between_the_last_picture_with_it_and_the_first_without() -> None:
    back = scenery()
    there, gone = _with_spot(back, 300.0, 600.0), back
    hidden = np.array(there)
    hidden[580:620, 280:320] = 90.0  # the clubhead in front of it
    ball = Ball((300.0, 600.0), 1.0, 50.0)
    pictures = [grain(p, 70 + k) for k, p in enumerate([there, there, hidden, gone, gone])]
    before, after = _frames(there, 3, 1), _frames(gone, 3, 20)
    assert leaving(pictures, before, after, ball, DIAMETER) == (1, 3)


def test_a_ball_that_never_leaves_has_no_impact() -> None:
    back = scenery()
    there = _with_spot(back, 300.0, 600.0)
    ball = Ball((300.0, 600.0), 1.0, 50.0)
    before, after = _frames(there, 3, 1), _frames(back, 3, 20)
    assert leaving(_frames(there, 4, 60), before, after, ball, DIAMETER) is None
