"""Who is the golfer: people found on a few spread frames, and the refusals that follow."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from api.domain.refusals import RefusalCode, refuse
from worker.body.crops import Crop
from worker.body.detector import Person

NEARNESS = 0.6
"""Another person at least this share of the golfer's size is close enough to be mistaken for them,
and close enough to a swing to be in danger (working value)."""
SURE_SCORE = 0.5
"""A second person must be clear at least once: a refusal needs more than a hint."""
CROWDED_SHARE = 1.0 / 3.0
"""Share of the looked-at frames with somebody else close. Of two people side by side the detector
often sees the second in every other frame only; a passer-by is in one (working value)."""


def choose_golfer(
    found: Sequence[Sequence[Person]], width_px: float, height_px: float
) -> list[Person | None]:
    """Pick the golfer in each looked-at frame: large and central, the same one throughout.

    ``found`` holds the people of each frame, best first. Raises ``ClipRefused``: nobody in view
    (fewer than half of the frames show anybody), or another person about as close as the golfer
    in a third of the frames, twice at least, and clearly so once.
    """
    shown = [people for people in found if people]
    if len(shown) * 2 < len(found) or not shown:
        raise refuse(RefusalCode.NOBODY_IN_VIEW)
    if _is_crowded(found):
        raise refuse(RefusalCode.SEVERAL_PEOPLE)
    anchor = _anchor(shown, width_px, height_px)
    return [_nearest(people, anchor) for people in found]


def _is_crowded(found: Sequence[Sequence[Person]]) -> bool:
    others = [other for people in found if (other := _second_close(people)) is not None]
    often = len(others) > 1 and len(others) >= CROWDED_SHARE * len(found)
    return often and max(other.score for other in others) >= SURE_SCORE


def _second_close(people: Sequence[Person]) -> Person | None:
    """The less clear of the two largest people, where both are about as close."""
    if len(people) < 2:  # noqa: PLR2004 - a second person
        return None
    first, second = sorted(people, key=lambda p: p.crop.side, reverse=True)[:2]
    if second.crop.side < NEARNESS * first.crop.side:
        return None
    return min(first, second, key=lambda p: p.score)


def _anchor(shown: Sequence[Sequence[Person]], width_px: float, height_px: float) -> Crop:
    """Median place of each frame's largest, most central person."""
    best = [max(people, key=lambda p: _standing(p, width_px, height_px)) for people in shown]
    middle = best[len(best) // 2].crop
    return replace(
        middle,
        x=float(np.median([p.crop.x for p in best])),
        y=float(np.median([p.crop.y for p in best])),
        side=float(np.median([p.crop.side for p in best])),
    )


def _standing(person: Person, width_px: float, height_px: float) -> float:
    """Size, less what it lies off the picture's middle."""
    off_x = abs(person.crop.x - width_px / 2) / width_px
    off_y = abs(person.crop.y - height_px / 2) / height_px
    return person.crop.side * (1.0 - off_x - 0.5 * off_y)


def _nearest(people: Sequence[Person], anchor: Crop) -> Person | None:
    """The person at the anchor's place, if any stands within half a body of it."""
    near = [
        p
        for p in people
        if abs(p.crop.x - anchor.x) < anchor.side / 2 and abs(p.crop.y - anchor.y) < anchor.side / 2
    ]
    if not near:
        return None
    return min(near, key=lambda p: abs(p.crop.side / anchor.side - 1.0))
