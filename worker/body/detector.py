"""Find people in a whole picture: anchors, decoding and the pick of separate bodies."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray

from worker.body.crops import Crop
from worker.body.networks import DETECTOR_SIDE, DetectorNetwork

SCORE_MIN = 0.3
"""Design value: at 0.5 the detector misses golfers bent over at address."""
OVERLAP_MAX = 0.3
"""Two boxes overlapping by more than this share (intersection over union) are one person."""
UPRIGHT_RAD = 0.85
"""A golfer bent over at address leans 45 degrees at most, seen from behind; who leans more was seen wrongly."""
NEARER = 2.0
"""Side of the nearer picture, in the detector's boxes of a fifth of the picture: a golfer of a third of its height,
with some room."""
SAME_PLACE = 0.5
"""Sides of the box between the middle of who was seen and of who stands there, at most: half a metre on a golfer."""
SMALLEST_PART_PX = 16
_STRIDES_AND_ANCHORS = ((8, 2), (16, 2), (32, 6))


@dataclass(frozen=True, slots=True)
class Person:
    """One detected person in picture pixels. ``crop`` is where the landmark network looks."""

    score: float
    crop: Crop
    box: tuple[float, float, float, float]

    def moved(self, x: float, y: float) -> "Person":
        """The same in a picture that begins so much farther left and up."""
        left, top, right, bottom = self.box
        crop = replace(self.crop, x=self.crop.x + x, y=self.crop.y + y)
        return Person(self.score, crop, (left + x, top + y, right + x, bottom + y))


@cache
def anchors() -> NDArray[np.float64]:
    """Anchor centres (2254, 2) in detector pixels: cell centres, row by row."""
    centres: list[NDArray[np.float64]] = []
    for stride, per_cell in _STRIDES_AND_ANCHORS:
        side = DETECTOR_SIDE // stride
        axis = (np.arange(side) + 0.5) * stride
        columns, rows = np.meshgrid(axis, axis)
        cells = np.stack([columns.ravel(), rows.ravel()], axis=1)
        centres.append(np.repeat(cells, per_cell, axis=0))
    return np.concatenate(centres)


def letterbox(rgb: NDArray[np.uint8]) -> tuple[NDArray[np.uint8], float, float, float]:
    """Fit the picture into the detector's square. Returns it with scale and left, top margins."""
    height, width = rgb.shape[:2]
    scale = DETECTOR_SIDE / max(height, width)
    new_w, new_h = round(width * scale), round(height * scale)
    left, top = (DETECTOR_SIDE - new_w) // 2, (DETECTOR_SIDE - new_h) // 2
    square = np.zeros((DETECTOR_SIDE, DETECTOR_SIDE, 3), dtype=np.uint8)
    square[top : top + new_h, left : left + new_w] = cv2.resize(
        rgb, (new_w, new_h), interpolation=cv2.INTER_AREA
    )
    return square, scale, float(left), float(top)


def overlap(a: tuple[float, ...], b: tuple[float, ...]) -> float:
    """Intersection over union of two boxes (left, top, right, bottom)."""
    wide = min(a[2], b[2]) - max(a[0], b[0])
    high = min(a[3], b[3]) - max(a[1], b[1])
    if wide <= 0.0 or high <= 0.0:
        return 0.0
    shared = wide * high
    areas = (a[2] - a[0]) * (a[3] - a[1]) + (b[2] - b[0]) * (b[3] - b[1])
    return shared / (areas - shared)


class PersonDetector:
    """Finds people in one picture, best first."""

    def __init__(self, threads: int = 1) -> None:
        self._network = DetectorNetwork(threads)

    def find(self, rgb: NDArray[np.uint8], *, score_min: float = SCORE_MIN) -> list[Person]:
        """Return separate people with a score of at least ``score_min``, best first.

        Who seems to lie or stand on the head is looked at once more from nearer: of a golfer who is small in the
        picture the detector sees that somebody is there, and not which way up.
        """
        people = self._find(rgb, score_min)
        if all(_is_upright(person) for person in people):
            return people
        looked = [
            person if _is_upright(person) else self._nearer(rgb, person, score_min)
            for person in people
        ]
        return _separate(sorted(looked, key=lambda person: -person.score))

    def _nearer(self, rgb: NDArray[np.uint8], person: Person, score_min: float) -> Person:
        """Who stands there in a picture of the surroundings; as they were where nobody stands at that place in it."""
        left, top, right, bottom = person.box
        half = NEARER * max(right - left, bottom - top) / 2.0
        x, y = (left + right) / 2.0, (top + bottom) / 2.0
        x0, y0 = max(int(x - half), 0), max(int(y - half), 0)
        part = np.ascontiguousarray(rgb[y0 : int(y + half) + 1, x0 : int(x + half) + 1])
        if min(part.shape[:2]) < SMALLEST_PART_PX:
            return person
        # Somebody beside them may be seen better than they are. However a golfer is turned, the box is about the hips.
        there = [
            (math.hypot(each.crop.x - x, each.crop.y - y), each)
            for each in (one.moved(x0, y0) for one in self._find(part, score_min))
            if _is_upright(each)
        ]
        away, nearest = min(there, key=lambda one: one[0], default=(math.inf, person))
        return nearest if away <= SAME_PLACE * max(right - left, bottom - top) else person

    def _find(self, rgb: NDArray[np.uint8], score_min: float) -> list[Person]:
        square, scale, left, top = letterbox(rgb)
        raw, scores = self._network.run(square)
        people: list[Person] = []
        for index in np.argsort(-scores):
            if scores[index] < score_min:
                break
            people.append(
                _decode(raw[index], anchors()[index], float(scores[index]), scale, left, top)
            )
        return _separate(people)


def _separate(people: Sequence[Person]) -> list[Person]:
    """Best first: whoever overlaps with a better one is the same person."""
    kept: list[Person] = []
    for person in people:
        if all(overlap(_circle(person), _circle(other)) < OVERLAP_MAX for other in kept):
            kept.append(person)
    return kept


def _is_upright(person: Person) -> bool:
    return abs(math.remainder(person.crop.angle, math.tau)) <= UPRIGHT_RAD


def _circle(person: Person) -> tuple[float, float, float, float]:
    half = person.crop.side / 2
    return (
        person.crop.x - half,
        person.crop.y - half,
        person.crop.x + half,
        person.crop.y + half,
    )


def _decode(
    raw: NDArray[np.float32],
    anchor: NDArray[np.float64],
    score: float,
    scale: float,
    left: float,
    top: float,
) -> Person:
    values = raw.astype(np.float64)
    margins = np.array([left, top])
    points = (values[4:].reshape(4, 2) + anchor - margins) / scale
    centre = (values[:2] + anchor - margins) / scale
    half = values[2:4] / (2 * scale)
    x0, y0 = centre - half
    x1, y1 = centre + half
    box = (float(x0), float(y0), float(x1), float(y1))
    return Person(score=score, crop=Crop.around(points[0], points[1]), box=box)
