"""Bodies about second opinions."""

from datetime import datetime
from typing import Annotated
from uuid import UUID

from pydantic import Field

from api.domain.states import ReviewState
from api.http.schemas.common import Message, Read, Sent
from api.http.schemas.drawings import ByEyeRead
from api.http.schemas.judgements import FindingToldRead
from api.http.schemas.reviews import QuestionRead
from api.http.schemas.submissions import PersonNamed, ReadingRead

Question = Annotated[Message, Field(max_length=500)]


class QuestionSent(Sent):
    """What is asked. ``of``: a colleague's membership, null for any coach of the academy."""

    words: Question = Field(examples=["Is that a set too early, or only the angle of the camera?"])
    of: UUID | None = None


class DrillNamedRead(Read):
    """A drill that the colleague would give."""

    drill_id: str
    name: str


class OpinionSaidRead(Read):
    """What the colleague committed: their words, readings with their corrections, and what they judged."""

    text: str
    readings: list[ReadingRead]
    judged: list[FindingToldRead]
    by_eye: list[ByEyeRead]
    later: list[str]
    drills: list[DrillNamedRead]


class OpinionRead(Read):
    """A question and what came of it.

    ``state``: waiting (nobody has taken it), claimed (``reader`` is at it), answered (``said`` at ``committed_at``) or
    closed (withdrawn, or the answer went out first). Until it is committed nothing of it is told.
    """

    id: UUID
    question: QuestionRead
    state: ReviewState
    reader: PersonNamed | None
    committed_at: datetime | None
    said: OpinionSaidRead | None
