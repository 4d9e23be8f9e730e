"""Bodies about what a coach judges by eye and draws on stills."""

from typing import Annotated
from uuid import UUID

from pydantic import AfterValidator, Field, StringConstraints

from api.domain.by_eye import LONGEST_EYE_WORDS, EyeItem, EyeSeen
from api.domain.drawings import LONGEST_LABEL, MOST_PLACES, Shape, Stroke
from api.domain.names import KeyframeId
from api.http.schemas.common import Read, Sent, one_line

_LATEST_FRAME = 1_000_000
_MOST_SWINGS = 1000


class ByEyeSent(Sent):
    """One tick: what the coach sees at an instant of one swing, with a word where it needs one."""

    clip_id: UUID
    swing: int = Field(ge=0, le=_MOST_SWINGS)
    keyframe: KeyframeId
    item: EyeItem
    seen: EyeSeen
    words: Annotated[
        str,
        StringConstraints(strip_whitespace=True, max_length=LONGEST_EYE_WORDS),
        AfterValidator(one_line),
    ] = Field(default="", description="For the student.")


class ByEyeRead(Read):
    """The same, as the draft and the answer hold it."""

    clip_id: UUID
    swing: int
    keyframe: KeyframeId
    item: EyeItem
    seen: EyeSeen
    words: str


class DrawingSent(Sent):
    """Something drawn on the still of one frame, upright display pixels of the original."""

    id: str = Field(
        pattern="^[0-9A-Za-z-]{1,40}$", description="Of the page's own making, to tell them apart."
    )
    clip_id: UUID
    swing: int = Field(ge=0, le=_MOST_SWINGS)
    keyframe: KeyframeId = Field(description="The instant on that frame when it was drawn.")
    frame: int = Field(ge=0, le=_LATEST_FRAME)
    shape: Shape
    stroke: Stroke
    places: list[tuple[float, float]] = Field(
        min_length=1,
        max_length=MOST_PLACES,
        description="One for a label, two for a line, an arrow (the second is its tip) and a circle (the first is its "
        f"centre), two to {MOST_PLACES} for a free line.",
    )
    label: Annotated[
        str,
        StringConstraints(strip_whitespace=True, max_length=LONGEST_LABEL),
        AfterValidator(one_line),
    ] = ""


class DrawingRead(Read):
    """The same, as the draft and the answer hold it."""

    id: str
    clip_id: UUID
    swing: int
    keyframe: KeyframeId
    frame: int
    shape: Shape
    stroke: Stroke
    places: list[list[float]]
    label: str
