"""What a coach judges by eye: clubface, lead wrist, grip. No number of the machine's comes near these.

They are not asked for and never guessed: what a coach does not tick is not told. Each belongs to one swing of one
clip, since another swing, or the same one from the other side, may look otherwise.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Any
from uuid import UUID

from api.domain.errors import Invalid
from api.domain.names import KeyframeId

LONGEST_EYE_WORDS = 80
"""A word beside a tick, not a second answer."""


class EyeItem(StrEnum):
    """What is looked at."""

    FACE = "face"
    LEAD_WRIST = "lead_wrist"
    GRIP = "grip"


class EyeSeen(StrEnum):
    """What a coach may see there.

    Convention: a lead wrist is flat when the back of the hand and the forearm are in one line, cupped when it is bent
    towards the back of the hand, bowed when towards the palm. A grip is strong when the hands are turned away from the
    target, weak when towards it. Whether a face is open, square or closed is the coach's call.
    """

    OPEN = "open"
    SQUARE = "square"
    CLOSED = "closed"
    FLAT = "flat"
    CUPPED = "cupped"
    BOWED = "bowed"
    WEAK = "weak"
    NEUTRAL = "neutral"
    STRONG = "strong"


_FACES = (EyeSeen.OPEN, EyeSeen.SQUARE, EyeSeen.CLOSED)
EYE_CHOICES: Mapping[tuple[KeyframeId, EyeItem], tuple[EyeSeen, ...]] = MappingProxyType(
    {
        (KeyframeId.ADDRESS, EyeItem.GRIP): (EyeSeen.WEAK, EyeSeen.NEUTRAL, EyeSeen.STRONG),
        (KeyframeId.LEAD_ARM_PARALLEL, EyeItem.FACE): _FACES,
        (KeyframeId.TOP, EyeItem.FACE): _FACES,
        (KeyframeId.TOP, EyeItem.LEAD_WRIST): (EyeSeen.FLAT, EyeSeen.CUPPED, EyeSeen.BOWED),
    }
)
"""What may be judged at which instant, in the order of the swing. The page's twin: ``by-eye.ts``."""


@dataclass(frozen=True, slots=True)
class ByEye:
    """One tick. ``swing`` counts from 0; ``words`` may be empty."""

    clip_id: UUID
    swing: int
    keyframe: KeyframeId
    item: EyeItem
    seen: EyeSeen
    words: str = ""

    @property
    def place(self) -> tuple[UUID, int, KeyframeId, EyeItem]:
        """What tells it from the others of a review: one tick for each."""
        return self.clip_id, self.swing, self.keyframe, self.item

    def to_json(self) -> dict[str, Any]:
        """As the draft and the answer keep it."""
        return {
            "clip_id": str(self.clip_id),
            "swing": self.swing,
            "keyframe": self.keyframe.value,
            "item": self.item.value,
            "seen": self.seen.value,
            "words": self.words,
        }

    @classmethod
    def from_json(cls, kept: Mapping[str, Any]) -> "ByEye":
        """Read what ``to_json`` wrote."""
        return cls(
            UUID(kept["clip_id"]),
            kept["swing"],
            KeyframeId(kept["keyframe"]),
            EyeItem(kept["item"]),
            EyeSeen(kept["seen"]),
            kept["words"],
        )


def check_by_eye(
    ticks: Sequence[ByEye], swings: Mapping[UUID, int], kept: Collection[ByEye] = ()
) -> None:
    """Raises ``Invalid``, in words for a coach, for ticks that cannot be.

    ``swings``: how many each clip of the review has; one that was not measured counts as one swing. ``kept``: what the
    draft holds already: a clip that was replaced meanwhile must not keep the rest of a draft from being saved.
    """
    if len({one.place for one in ticks}) != len(ticks):
        raise Invalid("The same thing is judged by eye twice in one swing.")
    for one in ticks:
        if one not in kept and one.swing not in range(swings.get(one.clip_id, 0)):
            raise Invalid("What is judged by eye belongs to a swing of this review's clips.")
        if one.seen not in EYE_CHOICES.get((one.keyframe, one.item), ()):
            raise Invalid(
                f"{one.item.value} at {one.keyframe.value} cannot be called {one.seen.value}."
            )
