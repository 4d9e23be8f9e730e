"""Views of the queue, kept by name for one membership."""

from collections.abc import Sequence
from uuid import UUID

from sqlalchemy import Select, select
from sqlalchemy.orm import Session

from api.db.models import Membership, QueueView
from api.domain.actors import Actor
from api.domain.errors import NotFound


def views_visible_to(actor: Actor) -> Select[QueueView]:
    """Where every read starts: one's own, in the place one acts in."""
    return select(QueueView).where(QueueView.membership_id == actor.membership_id)


def views_of(session: Session, actor: Actor) -> Sequence[QueueView]:
    """One's own views, by name."""
    return session.scalars(views_visible_to(actor).order_by(QueueView.name_folded)).all()


def view_for(session: Session, actor: Actor, view_id: UUID) -> QueueView:
    """One of one's own, else ``NotFound``."""
    row = session.scalar(views_visible_to(actor).where(QueueView.id == view_id))
    if row is None:
        raise NotFound("There is no such view, or it is not yours.")
    return row


def lock_views(session: Session, actor: Actor) -> None:
    """Make another tab of the same person wait: limits and names are looked at before writing."""
    session.execute(
        select(Membership.id)
        .where(Membership.id == actor.membership_id)
        .with_for_update(key_share=True)
    )
