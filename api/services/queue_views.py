"""Views of the queue: keep, rename, replace, delete, and read what is still known of an old one."""

from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from sqlalchemy.orm import Session

from api.db import queue_views as queue_views_db
from api.db.models import QueueView
from api.domain.actors import Actor
from api.domain.errors import Conflict
from api.domain.queues import QueueFilters, QueueName, read_kept

MAX_VIEWS = 20
"""Of one coach: more are not found again by eye."""


@dataclass(frozen=True, slots=True)
class ViewWish:
    """What a view is to be; None leaves it as it is."""

    name: str | None
    queue: QueueName | None
    filters: QueueFilters | None


def keep_view(
    session: Session, actor: Actor, name: str, queue: QueueName, filters: QueueFilters
) -> QueueView:
    """Keep a new one. Raises ``Conflict`` with code ``view_name_taken`` or ``too_many_views``."""
    queue_views_db.lock_views(session, actor)
    mine = queue_views_db.views_of(session, actor)
    if len(mine) >= MAX_VIEWS:
        raise Conflict(
            f"{MAX_VIEWS} views at most. Delete one that you no longer open.", code="too_many_views"
        )
    row = QueueView(
        membership_id=actor.membership_id,
        name=name,
        name_folded=_free_name(mine, name),
        queue=queue.value,
        filters=filters.to_json(),
    )
    session.add(row)
    session.flush()
    return row


def change_view(session: Session, actor: Actor, view_id: UUID, wish: ViewWish) -> QueueView:
    """Rename it, or let it hold something else. The last one wins: it is one person's own bookmark."""
    queue_views_db.lock_views(session, actor)
    row = queue_views_db.view_for(session, actor, view_id)
    if wish.name is not None:
        others = [one for one in queue_views_db.views_of(session, actor) if one.id != row.id]
        row.name_folded = _free_name(others, wish.name)
        row.name = wish.name
    if wish.queue is not None:
        row.queue = wish.queue.value
    if wish.filters is not None:
        row.filters = wish.filters.to_json()
    session.flush()
    return row


def delete_view(session: Session, actor: Actor, view_id: UUID) -> None:
    """Forget it."""
    session.delete(queue_views_db.view_for(session, actor, view_id))
    session.flush()


def read_view(row: QueueView) -> tuple[QueueName, QueueFilters, list[str]]:
    """What is known of a view today, and the names of what is not: a queue or a filter that is gone."""
    filters, broken = read_kept(row.filters)
    try:
        return QueueName(row.queue), filters, broken
    except ValueError:
        return QueueName.WAITING, filters, ["queue", *broken]


def _free_name(others: Sequence[QueueView], name: str) -> str:
    folded = name.casefold()
    if any(one.name_folded == folded for one in others):
        raise Conflict(f"You have a view called '{name}' already.", code="view_name_taken")
    return folded
