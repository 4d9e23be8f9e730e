"""The audit trail: one row for every act, never changed. Ids and codes only, no names or addresses."""

from collections.abc import Mapping, Sequence
from uuid import UUID

from sqlalchemy import Select, select
from sqlalchemy.orm import Session

from api.db.models import AuditEvent
from api.domain.actors import Actor


def record(
    session: Session,
    act: str,
    subject_type: str,
    subject_id: UUID,
    *,
    actor: Actor | None = None,
    academy_id: UUID | None = None,
    before: Mapping[str, object] | None = None,
    after: Mapping[str, object] | None = None,
) -> AuditEvent:
    """Write down who did what to which thing. The academy is the actor's unless given.

    ``act`` is ``<thing>.<what happened>``, for example ``invitation.sent``. Without an actor the
    service itself acted. The request's id comes from ``session.info``, where the edge puts it.
    """
    event = AuditEvent(
        act=act,
        subject_type=subject_type,
        subject_id=subject_id,
        actor_id=actor.membership_id if actor else None,
        academy_id=academy_id or (actor.academy_id if actor else None),
        before=None if before is None else dict(before),
        after=None if after is None else dict(after),
        request_id=session.info.get("request_id"),
    )
    session.add(event)
    session.flush()
    return event


def events_visible_to(actor: Actor) -> Select[AuditEvent]:
    """Where every read of the trail starts: the actor's own academy."""
    return select(AuditEvent).where(AuditEvent.academy_id == actor.academy_id)


def page_of_events(
    session: Session,
    actor: Actor,
    *,
    subject_id: UUID | None,
    before_id: UUID | None,
    limit: int,
) -> Sequence[AuditEvent]:
    """Events, newest first, older than ``before_id``."""
    rows = events_visible_to(actor)
    if subject_id is not None:
        rows = rows.where(AuditEvent.subject_id == subject_id)
    if before_id is not None:
        rows = rows.where(AuditEvent.id < before_id)
    return session.scalars(rows.order_by(AuditEvent.id.desc()).limit(limit)).all()


def history_of(session: Session, subject_id: UUID) -> Sequence[AuditEvent]:
    """What happened to one thing that the caller has read already, oldest first."""
    return session.scalars(
        select(AuditEvent).where(AuditEvent.subject_id == subject_id).order_by(AuditEvent.id)
    ).all()
