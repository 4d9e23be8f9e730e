"""The queue: pages of it, narrowed and searched, and the counts beside the filters."""

from typing import Annotated, Any
from uuid import UUID

from fastapi import APIRouter, Depends, Query
from sqlalchemy import Row

from api.db import queues as queues_db
from api.db.base import utc_now
from api.db.queue_order import QueueSpot
from api.db.queues import CHANGES_LOOKED_AT, Looked, promise_of
from api.domain.actors import Scope
from api.domain.errors import Invalid
from api.domain.names import Purpose, View
from api.domain.queues import Drafted, QueueFilters, QueueName, Reason
from api.http.deps import CoachOrAdmin, DbSession, PageSize, needs
from api.http.schemas.queues import ClubText, FilterCountsRead, QueueRead, SearchText
from api.http.showing_queues import show_queue

router = APIRouter(tags=["reviews"])

_READS = [needs(Scope.REVIEWS_READ)]


def get_filters(
    search: Annotated[
        SearchText,
        Query(description="Words of the student's name, the club or the note; all must be there."),
    ] = "",
    view: View | None = None,
    purpose: Purpose | None = None,
    club: Annotated[ClubText | None, Query(description="Empty: no club was named.")] = None,
    reason: Reason | None = None,
    drafted: Annotated[
        Drafted | None, Query(description="Whether the caller worked on the draft last.")
    ] = None,
) -> QueueFilters:
    """What the queue is narrowed by."""
    return QueueFilters(search, view, purpose, club, reason, drafted)


Filters = Annotated[QueueFilters, Depends(get_filters)]


def get_look(
    session: DbSession,
    actor: CoachOrAdmin,
    filters: Filters,
    state: QueueName = QueueName.WAITING,
) -> Looked:
    """The caller's look at a queue, now."""
    return Looked(session, actor, state, filters, promise_of(session, actor, utc_now()))


Look = Annotated[Looked, Depends(get_look)]


@router.get("/reviews", dependencies=_READS)
def list_reviews(
    look: Look,
    cursor: Annotated[str | None, Query(max_length=100)] = None,
    only: Annotated[
        list[UUID],
        Query(
            max_length=CHANGES_LOOKED_AT,
            description="Of these reviews, those that are in the queue: for following changes.",
        ),
    ] = [],  # noqa: B006 - FastAPI copies it
    limit: PageSize = 50,
) -> QueueRead:
    """A queue, what is due first first, corrections last (the answered ones newest first), each with its reasons.

    `waiting` holds also what a coach took and left; `mine` is what the caller holds. A cursor goes on
    with the same filters.
    """
    items = queues_db.queue_page(look, after=_spot(cursor), limit=limit + 1, only=only)
    shown = items[:limit]
    last = shown[-1].row if len(items) > limit else None
    found, late = queues_db.found_and_late(look)
    return QueueRead(
        items=show_queue(shown, look.actor, look.promise),
        next_cursor=None if last is None else str(_spot_of(look, last)),
        counts=queues_db.queue_counts(look.session, look.actor, look.now),
        found=found,
        late=late,
    )


def _spot_of(look: Looked, row: Row[Any]) -> QueueSpot:
    held = look.queue in {QueueName.CLAIMED, QueueName.MINE}
    return QueueSpot(row.due_at, row.id, correcting=held and row.answered_at is not None)


def _spot(cursor: str | None) -> QueueSpot | None:
    if cursor is None:
        return None
    try:
        return QueueSpot.read(cursor)
    except ValueError:
        raise Invalid("The cursor is not one of ours: start from the first page.") from None


@router.get("/reviews/filters", dependencies=_READS)
def count_filters(look: Look) -> FilterCountsRead:
    """How many items of a queue each choice of each filter would leave."""
    return FilterCountsRead.model_validate(queues_db.filter_counts(look))
