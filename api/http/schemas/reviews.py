"""Bodies about reviews: the queue, the draft, corrections."""

from datetime import date, datetime
from uuid import UUID

from pydantic import Field

from api.domain.names import KeyframeId, PointName
from api.domain.refilm import RefilmReason
from api.domain.states import ReviewState
from api.http.schemas.common import Message, Read, Sent, Text
from api.http.schemas.proof import DrillProofRead
from api.http.schemas.submissions import PersonNamed, ReadingRead, SubmissionRead
from api.http.schemas.two_views import TogetherRead

_ID = "019abf5e-7d3e-7c53-8000-000000000000"


class MarkRead(Read):
    """A keyframe as the coach set it; ``time_s`` on the proxy's clock."""

    clip_id: UUID
    swing: int
    keyframe: KeyframeId
    frame: int
    time_s: float


class PointRead(Read):
    """A point as the coach placed it, upright display pixels of the original."""

    clip_id: UUID
    swing: int
    keyframe: KeyframeId
    frame: int
    point: PointName
    x: float
    y: float


class DrillChosen(Sent):
    """A drill with its dose."""

    drill_id: str = Field(max_length=60, examples=["feet-together"])
    sets: int = Field(ge=1, le=20)
    reps: int = Field(ge=1, le=100)
    pause_s: float | None = Field(default=None, ge=0, le=60)
    days_per_week: int = Field(ge=1, le=7)
    until: date | None = None
    note: Text = Field(default="", max_length=500)


class DrillChosenRead(Read):
    """The same, as the draft holds it."""

    drill_id: str
    sets: int
    reps: int
    pause_s: float | None
    days_per_week: int
    until: date | None
    note: str


class DraftRead(Read):
    """What the coach has so far."""

    text: str
    marks: list[MarkRead]
    points: list[PointRead]
    drills: list[DrillChosenRead]


class HistoryRead(Read):
    """One step of a review. ``by`` is null where the service itself acted."""

    at: datetime
    act: str = Field(examples=["review.claimed"])
    by: str | None


class ReviewRead(Read):
    """A review with its draft. ``version`` is the ETag.

    ``readings`` are those that hold: the coach's where there is one, else the machine's. From them come
    ``together`` (null without two measured clips) and ``drill_proof`` (null where no drills were given
    before these clips).
    """

    id: UUID = Field(examples=[_ID])
    state: ReviewState
    version: int
    submission: SubmissionRead
    claimed_by: PersonNamed | None
    lease_ends_at: datetime | None
    recall_until: datetime | None
    draft: DraftRead
    readings: list[ReadingRead]
    together: TogetherRead | None
    drill_proof: DrillProofRead | None
    history: list[HistoryRead]


class MarkSent(Sent):
    """The frame a keyframe is to be on."""

    frame: int = Field(ge=0, le=1_000_000)


class PointSent(Sent):
    """Where a point is, upright display pixels of the original."""

    x: float
    y: float


class DraftSent(Sent):
    """Parts of the draft; what is left out stays as it is."""

    text: Text | None = None
    drills: list[DrillChosen] | None = Field(default=None, max_length=20)


class RefilmSent(Sent):
    """Why a new film is needed, and what the student is told."""

    reason_code: RefilmReason
    message: Message
