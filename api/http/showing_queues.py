"""The queue into bodies."""

from collections.abc import Sequence
from uuid import UUID

from api.db.models import QueueView
from api.db.queues import QueueItem
from api.domain.actors import Actor
from api.domain.drill_library import DRILLS
from api.domain.names import Role
from api.domain.queues import PROMISE_REASONS, Promise, QueueName, Reason
from api.domain.states import ReviewKind, ReviewState
from api.http.schemas.queues import (
    QueueFiltersRead,
    QueueItemRead,
    QueueReasonRead,
    QueueViewRead,
)
from api.http.schemas.submissions import PersonNamed
from api.services.queue_views import read_view

_SHARES = dict(PROMISE_REASONS)


def show_queue(items: Sequence[QueueItem], actor: Actor, promise: Promise) -> list[QueueItemRead]:
    """Items as the queue lists them."""
    return [_item(item, actor, promise) for item in items]


def _item(item: QueueItem, actor: Actor, promise: Promise) -> QueueItemRead:
    row = item.row
    return QueueItemRead(
        id=row.id,
        submission_id=row.submission_id,
        kind=row.kind,
        question=row.question if actor.role == Role.COACH else "",
        student_name=row.student_name,
        club=row.club_name,
        purpose=row.purpose,
        views=item.views,
        # A note may speak of health; running an academy does not need it.
        note=row.note if actor.role == Role.COACH else "",
        due_at=row.due_at,
        half_at=promise.reached_at(row.due_at, _SHARES[Reason.DUE_HALF]),
        soon_at=promise.reached_at(row.due_at, _SHARES[Reason.DUE_SOON]),
        late=row.kind == ReviewKind.MAIN and row.answered_at is None and row.due_at <= promise.now,
        correcting=row.kind == ReviewKind.MAIN
        and row.answered_at is not None
        and row.state != ReviewState.ANSWERED,
        reasons=[_reason(item, reason) for reason in item.reasons],
        state=row.state,
        claimed_by=_person(item.holder),
        lease_ends_at=row.lease_ends_at,
        lapsed_from=_person(item.lapsed_from),
        waiting_since=row.waiting_since,
    )


def _reason(item: QueueItem, reason: Reason) -> QueueReasonRead:
    drafter = item.drafter if reason is Reason.DRAFT_LEFT else None
    named = None if drafter is None else (drafter.id, drafter.name)
    if reason is Reason.SECOND_OPINION:
        named = item.asker
    drills = item.drills if reason is Reason.PROOF else []
    return QueueReasonRead(
        code=reason,
        # A drill may have left the library since; the clip is its proof all the same.
        drills=[DRILLS[drill].name if drill in DRILLS else drill for drill in drills],
        coach=_person(named),
        lapsed=drafter is not None and drafter.lapsed,
    )


def _person(who: tuple[UUID, str] | None) -> PersonNamed | None:
    return None if who is None else PersonNamed(id=who[0], name=who[1])


def show_view(row: QueueView) -> QueueViewRead:
    """A view with what is still known of it."""
    queue, filters, broken = read_view(row)
    return QueueViewRead(
        id=row.id,
        name=row.name,
        queue=QueueName(queue),
        filters=QueueFiltersRead.model_validate(filters),
        broken=broken,
    )
