"""Bodies about reviews: the queue, the draft, corrections."""

from datetime import date, datetime
from uuid import UUID

from pydantic import Field

from api.domain.names import Hand, KeyframeId, PointName
from api.domain.refilm import MOST_CAUSES, RefilmReason
from api.domain.states import ReviewKind, ReviewState
from api.http.schemas.common import Message, Read, Sent, Text
from api.http.schemas.drawings import ByEyeRead, ByEyeSent, DrawingRead, DrawingSent
from api.http.schemas.judgements import FindingSeenRead, JudgedRead, JudgedSent, Later
from api.http.schemas.proof import DrillProofRead
from api.http.schemas.submissions import ClipRead, PersonNamed, ReadingRead, SubmissionRead
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
    start: date | None = Field(default=None, description="The first day; null for at once.")
    ball: bool | None = Field(default=None, description="Null where the drill's steps say enough.")
    proof: bool = Field(default=True, description="Whether the next clip is asked to show it.")


class DrillChosenRead(Read):
    """The same, as the draft holds it."""

    drill_id: str
    sets: int
    reps: int
    pause_s: float | None
    days_per_week: int
    until: date | None
    note: str
    start: date | None
    ball: bool | None
    proof: bool


class DraftRead(Read):
    """What the coach has so far. ``later``: up to two things for when the main one sits.

    ``by_eye``: what the coach ticked of face, lead wrist and grip. A drawing stays on its frame when its keyframe moves.
    ``what_changed``: of a correction, what the student is told of it.
    """

    text: str
    later: list[str]
    judgements: list[JudgedRead]
    by_eye: list[ByEyeRead]
    drawings: list[DrawingRead]
    marks: list[MarkRead]
    points: list[PointRead]
    drills: list[DrillChosenRead]
    what_changed: str


class OwnWordsRead(Read):
    """What a coach wrote in a review that was stopped, a paragraph each, and until when they can copy it."""

    words: list[str]
    until: datetime


class HistoryRead(Read):
    """One step of a review. ``by`` is null where the service itself acted."""

    at: datetime
    act: str = Field(examples=["review.claimed"])
    by: str | None


class QuestionRead(Read):
    """What a colleague asks. ``of``: null where any of the academy's coaches may answer."""

    at: datetime
    by: PersonNamed
    of: PersonNamed | None
    words: str


class ReviewRead(Read):
    """A review with its draft. ``version`` is the ETag.

    ``kind``: ``main`` is the student's own; a ``second`` opinion, with the ``question`` that it answers and the
    review ``about_review_id`` that it is about, goes to a colleague, a ``blind`` read to nobody but the figures of agreement:
    both are committed, never sent.

    ``readings`` are those that hold: the coach's where there is one, else the machine's. From them come
    ``findings`` (to be judged by the coach: ``draft.judgements``), ``together`` (null without two measured clips) and ``drill_proof`` (null where no drills were given
    before these clips). ``corrects``: the number of the answer that stands meanwhile, while it is being
    corrected. ``may_correct``: whether the caller may begin to. ``draft_hidden``: a question about it waits for the caller, who
    forms an opinion of their own first, or it is a read that a colleague began and left: ``draft`` is empty and the readings are
    the machine's until the caller's own is committed.
    """

    id: UUID = Field(examples=[_ID])
    kind: ReviewKind
    question: QuestionRead | None
    about_review_id: UUID | None
    state: ReviewState
    version: int
    submission: SubmissionRead
    claimed_by: PersonNamed | None
    lease_ends_at: datetime | None
    recall_until: datetime | None
    corrects: int | None
    may_correct: bool
    draft: DraftRead
    draft_hidden: bool
    readings: list[ReadingRead]
    findings: list[FindingSeenRead]
    together: TogetherRead | None
    drill_proof: DrillProofRead | None
    history: list[HistoryRead]


class LastClipRead(Read):
    """What the student had answered last of the same view and purpose, to lay beside a clip of the review.

    ``marks`` are the instants as that answer's coach set them, over those of ``clip.measurement``. Without a
    proxy in ``clip.media`` the film itself is not kept any more.
    """

    of_clip_id: UUID = Field(description="The clip of the review that it goes beside.")
    review_id: UUID = Field(description="The review in which it was answered.")
    answered_at: datetime
    coach_name: str
    club: str | None
    handed: Hand
    clip: ClipRead
    marks: list[MarkRead]


class LastClipsRead(Read):
    """At most one for each clip of the review."""

    items: list[LastClipRead]


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
    later: list[Later] | None = Field(default=None, max_length=20)
    judgements: list[JudgedSent] | None = Field(default=None, max_length=50)
    by_eye: list[ByEyeSent] | None = Field(default=None, max_length=200)
    drawings: list[DrawingSent] | None = Field(default=None, max_length=200)
    drills: list[DrillChosen] | None = Field(default=None, max_length=20)
    what_changed: Text | None = Field(default=None, max_length=300)


class MarkedFrameSent(Sent):
    """A spot on one frame of a clip, upright display pixels of the original; ``words`` say what is there."""

    clip_id: UUID
    frame: int = Field(ge=0, le=1_000_000)
    x: float
    y: float
    words: Message = Field(max_length=200, examples=["The clubhead leaves the picture."])


class RefilmSent(Sent):
    """Why a new film is needed, the main cause first, and what the student is told."""

    causes: list[RefilmReason] = Field(min_length=1, max_length=MOST_CAUSES)
    message: Message
    marked: MarkedFrameSent | None = None
