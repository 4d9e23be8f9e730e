"""Phrases: one's own, and those of the academy's coaches together."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from sqlalchemy import Select, false, func, or_, select, update
from sqlalchemy.orm import Session

from api.db.models import Phrase
from api.domain.actors import Actor
from api.domain.errors import NotFound
from api.domain.names import Role


def phrases_visible_to(actor: Actor) -> Select[Phrase]:
    """Where every read of phrases starts: a coach's own and the academy's, as long as they stand."""
    rows = select(Phrase).where(
        Phrase.academy_id == actor.academy_id,
        Phrase.retired_at.is_(None),
        or_(Phrase.owner_id.is_(None), Phrase.owner_id == actor.membership_id),
    )
    return rows if actor.role is Role.COACH else rows.where(false())


def phrases_of(session: Session, actor: Actor) -> Sequence[Phrase]:
    """One's own first, each shelf by name."""
    rows = phrases_visible_to(actor).order_by(
        Phrase.owner_id.is_(None), func.lower(Phrase.name), Phrase.id
    )
    return session.scalars(rows).all()


def phrase_for(session: Session, actor: Actor, phrase_id: UUID) -> Phrase:
    """One phrase, else ``NotFound``."""
    row = session.scalars(
        phrases_visible_to(actor)
        .where(Phrase.id == phrase_id)
        .execution_options(populate_existing=True)
    ).one_or_none()
    if row is None:
        raise NotFound("There is no such phrase, or it is another coach's own.")
    return row


def count_on_shelf(session: Session, actor: Actor, *, shared: bool) -> int:
    """How many stand on one's own shelf, or on the academy's."""
    own = Phrase.owner_id.is_(None) if shared else Phrase.owner_id == actor.membership_id
    return (
        session.scalar(
            select(func.count()).select_from(phrases_visible_to(actor).where(own).subquery())
        )
        or 0
    )


def hold_phrase(session: Session, phrase_id: UUID, versions: Sequence[int]) -> bool:
    """Count a change of a phrase; False when it has changed since any of ``versions``."""
    held = session.scalar(
        update(Phrase)
        .where(Phrase.id == phrase_id, Phrase.version.in_(versions), Phrase.retired_at.is_(None))
        .values(version=Phrase.version + 1)
        .returning(Phrase.id)
        .execution_options(synchronize_session=False)
    )
    return held is not None


def retire_phrase(session: Session, phrase_id: UUID, now: datetime) -> bool:
    """Take a phrase away; False when somebody already had."""
    gone = session.scalar(
        update(Phrase)
        .where(Phrase.id == phrase_id, Phrase.retired_at.is_(None))
        .values(retired_at=now)
        .returning(Phrase.id)
        .execution_options(synchronize_session=False)
    )
    return gone is not None
