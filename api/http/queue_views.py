"""Views of the queue that a coach keeps by name."""

from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse

from api.db import queue_views as queue_views_db
from api.domain.actors import Scope
from api.domain.queues import QueueFilters
from api.http.deps import CurrentCoach, DbSession, needs
from api.http.idempotency import IdempotencyKeyHeader, answer_once
from api.http.problems import problems
from api.http.schemas.queues import (
    QueueFiltersSent,
    QueueViewChanged,
    QueueViewRead,
    QueueViewSent,
)
from api.http.showing_queues import show_view
from api.services import queue_views as queue_views_service
from api.services.queue_views import ViewWish

router = APIRouter(tags=["reviews"])

_VIEW = "/queue-views/{view_id}"
_WRITES = [needs(Scope.REVIEWS_WRITE)]


def _filters(sent: QueueFiltersSent) -> QueueFilters:
    return QueueFilters(**dict(sent))


@router.get("/queue-views", dependencies=[needs(Scope.REVIEWS_READ)])
def list_queue_views(session: DbSession, actor: CurrentCoach) -> list[QueueViewRead]:
    """One's own views, by name. What an old one holds that is not known any more is told."""
    return [show_view(row) for row in queue_views_db.views_of(session, actor)]


@router.post(
    "/queue-views",
    status_code=201,
    response_model=QueueViewRead,
    responses=problems(409),
    dependencies=_WRITES,
)
def keep_queue_view(
    request: Request,
    session: DbSession,
    actor: CurrentCoach,
    sent: QueueViewSent,
    key: IdempotencyKeyHeader = None,
) -> JSONResponse:
    """Keep a queue with its filters and search under a name."""

    def make() -> QueueViewRead:
        filters = _filters(sent.filters)
        return show_view(
            queue_views_service.keep_view(session, actor, sent.name, sent.queue, filters)
        )

    return answer_once(request, session, actor, key, sent, 201, make)


@router.patch(_VIEW, responses=problems(404, 409), dependencies=_WRITES)
def change_queue_view(
    view_id: UUID, session: DbSession, actor: CurrentCoach, sent: QueueViewChanged
) -> QueueViewRead:
    """Rename a view, or let it hold other filters. The last change wins: it is one's own bookmark."""
    filters = None if sent.filters is None else _filters(sent.filters)
    wish = ViewWish(sent.name, sent.queue, filters)
    return show_view(queue_views_service.change_view(session, actor, view_id, wish))


@router.delete(_VIEW, status_code=204, responses=problems(404), dependencies=_WRITES)
def delete_queue_view(view_id: UUID, session: DbSession, actor: CurrentCoach) -> None:
    """Forget a view."""
    queue_views_service.delete_view(session, actor, view_id)
