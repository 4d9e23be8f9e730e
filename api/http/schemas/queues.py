"""Bodies about the queue."""

from datetime import datetime
from typing import Annotated
from uuid import UUID

from pydantic import Field

from api.domain.names import Purpose, View
from api.domain.queues import MAX_CLUB, MAX_SEARCH, Drafted, QueueName, Reason
from api.domain.states import ReviewKind, ReviewState
from api.http.schemas.common import Name, OneLine, Read, Sent
from api.http.schemas.submissions import PersonNamed

SearchText = Annotated[OneLine, Field(max_length=MAX_SEARCH)]
ClubText = Annotated[OneLine, Field(max_length=MAX_CLUB)]


ViewName = Annotated[Name, Field(max_length=60)]


class QueueReasonRead(Read):
    """Why an item stands out. ``drills``: their names, with ``proof``.

    ``coach``: who began the draft, with ``draft_left``, and who asks, with ``second_opinion``; ``lapsed``: their claim
    ran out, else they handed the review back.
    """

    code: Reason
    drills: list[str]
    coach: PersonNamed | None
    lapsed: bool


class QueueItemRead(Read):
    """A review as the queue shows it. ``late``: due in the past and never answered.

    ``half_at`` and ``soon_at``: when 50 and 80 % of the promised time are used up, so that a page
    that stays open goes on by its own clock. ``lapsed_from``: whose claim ran out, until somebody takes
    it. ``correcting``: an answer stands and is being corrected, for which nobody waits. ``note``: the beginning of what
    the student asks; empty for who runs the academy. ``kind``: only a main one is the student's own and has a promise;
    ``question``: what a colleague asks, of a second opinion.
    """

    id: UUID = Field(examples=["019abf5e-7d3e-7c53-8000-000000000000"])
    submission_id: UUID
    kind: ReviewKind
    question: str
    student_name: str
    club: str | None
    purpose: Purpose
    views: list[View]
    note: str
    due_at: datetime
    half_at: datetime
    soon_at: datetime
    late: bool
    correcting: bool
    reasons: list[QueueReasonRead]
    state: ReviewState
    claimed_by: PersonNamed | None
    lease_ends_at: datetime | None
    lapsed_from: PersonNamed | None
    waiting_since: datetime


class QueueRead(Read):
    """A page of a queue. ``counts`` says how many reviews each queue holds, whatever the filters.

    ``found`` and ``late`` count what the filters leave of this queue.
    """

    items: list[QueueItemRead]
    next_cursor: str | None
    counts: dict[str, int]
    found: int
    late: int


class FilterCountsRead(Read):
    """How many items each choice of a filter would leave, with the other filters as they are.

    In ``clubs`` the empty name stands for clips with no club named; of very many clubs the commonest
    are listed.
    """

    views: dict[str, int]
    purposes: dict[str, int]
    clubs: dict[str, int]
    reasons: dict[str, int]
    drafted: dict[str, int]


class QueueFiltersSent(Sent):
    """What a queue is narrowed by. What is left out narrows nothing; ``club`` empty: none was named."""

    search: SearchText = ""
    view: View | None = None
    purpose: Purpose | None = None
    club: ClubText | None = None
    reason: Reason | None = None
    drafted: Drafted | None = None


class QueueFiltersRead(Read):
    """The same, as a view holds it."""

    search: str
    view: View | None
    purpose: Purpose | None
    club: str | None
    reason: Reason | None
    drafted: Drafted | None


class QueueViewSent(Sent):
    """A view to keep."""

    name: ViewName = Field(examples=["Proofs of the pause drill"])
    queue: QueueName
    filters: QueueFiltersSent


class QueueViewChanged(Sent):
    """Another name for a view, or other filters; what is left out stays as it is."""

    name: ViewName | None = None
    queue: QueueName | None = None
    filters: QueueFiltersSent | None = None


class QueueViewRead(Read):
    """A view as it is kept. ``broken``: parts that are not known any more; the rest holds."""

    id: UUID
    name: str
    queue: QueueName
    filters: QueueFiltersRead
    broken: list[str] = Field(examples=[["reason"]])
