"""Who seems to lie is looked at from nearer: a golfer stands."""

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from worker.body.crops import Crop
from worker.body.detector import UPRIGHT_RAD, Person, PersonDetector

WHOLE = np.zeros((640, 360, 3), dtype=np.uint8)
BOX = (134.0, 223.0, 262.0, 351.0)


def person(score: float, x: float, y: float, angle: float, box: tuple[float, ...] = BOX) -> Person:
    left, top, right, bottom = box
    return Person(score, Crop(x, y, 200.0, angle), (left, top, right, bottom))


class Told(PersonDetector):
    """Sees what it is told, in the whole picture and in any part of it."""

    def __init__(self, whole: list[Person], part: list[Person]) -> None:
        self.whole, self.part = whole, part
        self.parts: list[tuple[int, ...]] = []

    def _find(self, rgb: NDArray[np.uint8], score_min: float) -> list[Person]:
        if rgb.shape == WHOLE.shape:
            return self.whole
        self.parts.append(rgb.shape)
        return self.part


LYING = person(0.93, 115.0, 307.0, 1.3)


def test_who_lies_is_found_standing_in_the_nearer_picture_at_the_right_place() -> None:
    detector = Told([LYING], [person(0.95, 128.0, 140.0, 0.05)])
    (found,) = detector.find(WHOLE)
    # The box's middle is (198, 287) and the nearer picture is two boxes wide: it begins at (70, 159).
    assert (found.crop.x, found.crop.y) == (198.0, 299.0)
    assert abs(found.crop.angle) < UPRIGHT_RAD
    assert detector.parts == [(257, 257, 3)]


def test_somebody_beside_who_is_seen_better_is_not_taken_for_the_golfer() -> None:
    golfer, other = person(0.5, 128.0, 140.0, 0.05), person(0.97, 240.0, 130.0, 0.0)
    (found,) = Told([LYING], [other, golfer]).find(WHOLE)
    assert (found.score, found.crop.x) == (0.5, 198.0)
    assert Told([LYING], [other]).find(WHOLE) == [LYING]


def test_who_stands_is_looked_at_once() -> None:
    detector = Told([person(0.9, 180.0, 320.0, -0.7)], [])
    assert detector.find(WHOLE) == detector.whole
    assert detector.parts == []


@pytest.mark.parametrize("part", [[], [person(0.9, 100.0, 100.0, math.pi)]])
def test_where_nobody_stands_it_is_left_as_it_was(part: list[Person]) -> None:
    assert Told([LYING], part).find(WHOLE) == [LYING]


def test_two_who_turn_out_to_be_one_are_one() -> None:
    """Upside down and upright, the same golfer was seen twice and the clip refused for two people."""
    upright = person(0.4, 200.0, 300.0, 0.1)
    detector = Told([person(0.6, 210.0, 310.0, math.pi), upright], [person(0.7, 130.0, 140.0, 0.1)])
    (found,) = detector.find(WHOLE)
    assert found.score == 0.7


def test_a_box_at_the_edge_is_cut_at_the_edge() -> None:
    edge = person(0.9, 5.0, 5.0, 1.6, (0.0, 0.0, 128.0, 128.0))
    detector = Told([edge], [person(0.8, 60.0, 70.0, 0.0)])
    (found,) = detector.find(WHOLE)
    assert (found.crop.x, found.crop.y) == (60.0, 70.0)
    assert detector.parts == [(193, 193, 3)]
