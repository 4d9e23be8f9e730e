"""The ball: a small bright or dark spot that is there before impact and gone after it."""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np

from api.domain.measurement import Missing, Point
from worker.club.background import NOISE_FLOOR, Gray, Image
from worker.club.regions import Region

CONTRAST_MIN = 100.0
"""Least change of the spot, in noise sigmas of the changed picture. Balls that left had 170 and more in the clips
of two renderers; spots that were none (a divot, a shadow, a shoe) at most 54."""
RIVAL_MARGIN = 1.4
"""The spot must beat every other spot of its size by this factor."""
SHADED = 0.2
"""Share of its diameter by which a ball lit from above seems to lie higher than it does: its lower
part is as dark as grass (working value, one sigma)."""
THERE_SHARE, GONE_SHARE = 0.5, 0.25
"""A patch shows the ball when it is less than half the way off; the empty place must look as it
does later, or a clubhead dark as grass would count as "gone". Shares of the two states' distance."""


@dataclass(frozen=True, slots=True)
class Ball:
    """The ball at address, normalised pixels: centre, one sigma each axis, and how clear it is."""

    centre: Point
    sigma_px: float
    score: float


def find_ball(
    before: Sequence[Gray], after: Sequence[Gray], region: Region, diameter_px: float
) -> Ball | Missing:
    """Find the spot of the ball's size that is in ``before`` and not in ``after``.

    ``before``: frames with the club away from the ground and the ball still there; ``after``:
    frames past impact. ``diameter_px`` is the size expected, good to a third.
    """
    if not before or not after:
        return Missing("The clip does not show the ground before and after impact.")
    height, width = before[0].shape
    part = region.inside(width, height)
    if part.right - part.left < 4 * diameter_px or part.bottom - part.top < 2 * diameter_px:
        return Missing("The ground by the ball is not in the picture.")
    gone = _median(before, part) - _median(after, part)
    response = _disc_response(gone, diameter_px)
    noise = max(1.4826 * float(np.median(np.abs(response))), NOISE_FLOOR / diameter_px)
    row, column = np.unravel_index(int(np.argmax(response)), response.shape)
    best = float(response[row, column])
    if best < CONTRAST_MIN * noise:
        return Missing("No ball was seen to leave its place.")
    if best < RIVAL_MARGIN * _second_best(response, int(row), int(column), diameter_px):
        return Missing("More than one spot in the picture could be the ball.")
    x, y = _centre(response, int(column), int(row))
    return Ball((part.left + x, part.top + y), max(SHADED * diameter_px, 0.5), best / noise)


def _median(pictures: Sequence[Gray], part: Region) -> Image:
    stack = np.stack([part.cut(picture) for picture in pictures])
    return np.asarray(np.median(stack, axis=0), dtype=np.float32)


def _disc_response(image: Image, diameter_px: float) -> Image:
    """Mean over a disc less the greatest of eight discs around it: a lone spot, bright or dark."""
    radius = max(diameter_px / 2, 1.5)
    side = 2 * int(np.ceil(radius)) + 1
    axis = np.arange(side) - side // 2
    disc = (axis[None, :] ** 2 + axis[:, None] ** 2 <= radius**2).astype(np.float32)
    mean = cv2.filter2D(image, -1, disc / disc.sum(), borderType=cv2.BORDER_REPLICATE)
    step = round(1.8 * diameter_px)
    around = [
        np.roll(mean, (dy * step, dx * step), axis=(0, 1))
        for dy in (-1, 0, 1)
        for dx in (-1, 0, 1)
        if (dx, dy) != (0, 0)
    ]
    stack = np.stack(around)
    # A ball is one sign against all its surroundings; a moved edge or a shadow is not.
    bright = mean - np.maximum(stack.max(axis=0), 0.0)
    dark = np.minimum(stack.min(axis=0), 0.0) - mean
    response = np.maximum(np.maximum(bright, dark), 0.0)
    response[:step] = response[-step:] = 0.0
    response[:, :step] = response[:, -step:] = 0.0
    return np.asarray(response, dtype=np.float32)


def _second_best(response: Image, row: int, column: int, diameter_px: float) -> float:
    rest = response.copy()
    reach = round(1.5 * diameter_px)
    rest[max(0, row - reach) : row + reach + 1, max(0, column - reach) : column + reach + 1] = 0.0
    return float(rest.max())


def _centre(response: Image, column: int, row: int) -> tuple[float, float]:
    """Centre of mass of the disc response's peak: the disc that explains the spot best."""
    reach = 2
    patch = response[row - reach : row + reach + 1, column - reach : column + reach + 1]
    weight = np.where(patch > 0.8 * patch.max(), patch, 0.0)
    rows, columns = np.mgrid[-reach : reach + 1, -reach : reach + 1]
    total = float(weight.sum())
    return column + float((weight * columns).sum()) / total, row + float(
        (weight * rows).sum()
    ) / total


def leaving(
    pictures: Sequence[Gray], before: Sequence[Gray], after: Sequence[Gray], ball: Ball, size: float
) -> tuple[int, int] | None:
    """Rows of the last picture with the ball in its place and of the first without it.

    The clubhead may hide the place in between: such pictures look like neither. ``None`` when the
    two cannot be told apart.
    """
    reach = max(2, round(0.6 * size))
    x, y = round(ball.centre[0]), round(ball.centre[1])
    part = Region(x - reach, y - reach, x + reach + 1, y + reach + 1)
    there, gone = _median(before, part), _median(after, part)
    apart = float(np.sqrt(((there - gone) ** 2).mean()))
    states = [_state(part.cut(p).astype(np.float32), there, gone, apart) for p in pictures]
    first_gone = next(
        (i for i, s in enumerate(states) if s == "gone" and "there" in states[:i]), None
    )
    if first_gone is None or "there" in states[first_gone:]:
        return None
    return max(i for i, s in enumerate(states[:first_gone]) if s == "there"), first_gone


def _state(patch: Image, there: Image, gone: Image, apart: float) -> str:
    to_there = float(np.sqrt(((patch - there) ** 2).mean()))
    to_gone = float(np.sqrt(((patch - gone) ** 2).mean()))
    if to_gone <= GONE_SHARE * apart:
        return "gone"
    return "there" if to_there <= THERE_SHARE * apart else "hidden"
