"""What a coach draws on a still: lines, free lines, arrows, circles and short labels, for the student to see there.

Convention: places are upright display pixels of the original clip, x to the right and y down, as a coach's
points are (``OverlayPoint``): also on a left-hander's clip, which is mirrored only inside a formula. A drawing belongs to
a frame. If the instant it was drawn at is moved to another frame, it stays where it was drawn, since what it points at does.
"""

import math
from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any
from uuid import UUID

from api.domain.errors import Invalid
from api.domain.measurement import Point
from api.domain.names import KeyframeId

MOST_ON_A_STILL = 12
"""More would hide the swing that they point at."""
LONGEST_LABEL = 40
SHORTEST_PX = 4.0
"""Two places nearer than this are one: nothing would be seen."""
MOST_PLACES = 64
"""Of a free line: the page thins what a hand drew to so many, which is more than the eye can tell from it."""


class Shape(StrEnum):
    """What is drawn. An arrow's tip is its second place, a circle's centre its first; a free line runs smoothly through all of its."""

    LINE = "line"
    FREE = "free"
    ARROW = "arrow"
    CIRCLE = "circle"
    LABEL = "label"


class Stroke(StrEnum):
    """How it is drawn: two looks that differ in line and in colour, so that neither rests on colour alone."""

    FULL = "full"
    BROKEN = "broken"


_PLACES = {Shape.LABEL: (1, 1), Shape.FREE: (2, MOST_PLACES)}


@dataclass(frozen=True, slots=True)
class StillsOf:
    """Of one clip: the size of its picture, its number of swings, and the frames of which a still is kept."""

    width: int
    height: int
    swings: int
    frames: Collection[int]


@dataclass(frozen=True, slots=True)
class Drawing:
    """One drawing. ``keyframe``: the instant that stood on ``frame`` when it was drawn.

    ``places``: one for a label, two to ``MOST_PLACES`` for a free line, two for everything else. ``label`` is empty for all but labels.
    """

    id: str
    clip_id: UUID
    swing: int
    keyframe: KeyframeId
    frame: int
    shape: Shape
    stroke: Stroke
    places: tuple[Point, ...]
    label: str = ""

    def to_json(self) -> dict[str, Any]:
        """As the draft and the answer keep it."""
        return {
            "id": self.id,
            "clip_id": str(self.clip_id),
            "swing": self.swing,
            "keyframe": self.keyframe.value,
            "frame": self.frame,
            "shape": self.shape.value,
            "stroke": self.stroke.value,
            "places": [list(place) for place in self.places],
            "label": self.label,
        }

    @classmethod
    def from_json(cls, kept: Mapping[str, Any]) -> "Drawing":
        """Read what ``to_json`` wrote."""
        return cls(
            kept["id"],
            UUID(kept["clip_id"]),
            kept["swing"],
            KeyframeId(kept["keyframe"]),
            kept["frame"],
            Shape(kept["shape"]),
            Stroke(kept["stroke"]),
            tuple((float(x), float(y)) for x, y in kept["places"]),
            kept["label"],
        )


def check_drawings(
    drawings: Sequence[Drawing],
    stills: Mapping[UUID, StillsOf],
    kept: Collection[Drawing] = (),
) -> None:
    """Raises ``Invalid``, in words for a coach, for drawings that no student could be shown.

    ``stills``: of each measured clip of the review. ``kept``: what the draft holds already: a clip that was measured
    again or replaced meanwhile must not keep the rest of a draft from being saved.
    """
    if len({one.id for one in drawings}) != len(drawings):
        raise Invalid("The same drawing is there twice.")
    for one in drawings:
        if one not in kept:
            _check_still(one, stills)
    on_stills = Counter((one.clip_id, one.frame) for one in drawings)
    if any(many > MOST_ON_A_STILL for many in on_stills.values()):
        raise Invalid(f"{MOST_ON_A_STILL} drawings at most on one still.")


def _check_still(one: Drawing, stills: Mapping[UUID, StillsOf]) -> None:
    clip = stills.get(one.clip_id)
    if clip is None or one.swing not in range(clip.swings):
        raise Invalid("A drawing belongs to a swing of this review's measured clips.")
    if one.frame not in clip.frames:
        raise Invalid(f"There is no still of frame {one.frame} to draw on.")
    _check_shape(one, clip)


def _check_shape(one: Drawing, clip: StillsOf) -> None:
    least, most = _PLACES.get(one.shape, (2, 2))
    if not least <= len(one.places) <= most:
        raise Invalid(
            "A label has one place; a line, an arrow and a circle have two, "
            f"a free line has two to {MOST_PLACES}."
        )
    if (one.shape is Shape.LABEL) != (one.label != ""):
        raise Invalid("A label needs a word or two, and only a label has them.")
    for x, y in one.places:
        if not (0 <= x <= clip.width and 0 <= y <= clip.height):
            raise Invalid(f"A drawing lies outside the picture ({clip.width} x {clip.height}).")
    start, *more = one.places
    if more and max(math.dist(start, place) for place in more) < SHORTEST_PX:
        raise Invalid("All of a drawing is in the same place.")
