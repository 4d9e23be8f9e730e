"""Invitations: offered by mail, taken up once."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from sqlalchemy import Select, select, update
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from api.db.models import Invitation
from api.domain.actors import Actor
from api.domain.errors import NotFound


def invitations_visible_to(actor: Actor) -> Select[Invitation]:
    """Where every read of invitations starts: the actor's academy, still open (expired or not)."""
    return select(Invitation).where(
        Invitation.academy_id == actor.academy_id,
        Invitation.accepted_at.is_(None),
        Invitation.revoked_at.is_(None),
    )


def open_invitations(session: Session, actor: Actor) -> Sequence[Invitation]:
    """The academy's open invitations, newest first."""
    return session.scalars(invitations_visible_to(actor).order_by(Invitation.id.desc())).all()


def invitation_for(session: Session, actor: Actor, invitation_id: UUID) -> Invitation:
    """One open invitation of the actor's academy, else ``NotFound``."""
    row = session.scalar(invitations_visible_to(actor).where(Invitation.id == invitation_id))
    if row is None:
        raise NotFound("There is no such open invitation in your academy.")
    return row


def add_invitation(session: Session, invitation: Invitation) -> bool:
    """Store a new invitation; False when one for the same address and role is already open."""
    try:
        with session.begin_nested():
            session.add(invitation)
    except IntegrityError:
        return False
    return True


def change_open(session: Session, invitation_id: UUID, **values: object) -> bool:
    """Set columns of an invitation if it is still open; False when it was taken up meanwhile."""
    changed = (
        update(Invitation)
        .where(
            Invitation.id == invitation_id,
            Invitation.accepted_at.is_(None),
            Invitation.revoked_at.is_(None),
        )
        .values(**values)
        .returning(Invitation.id)
    )
    return session.scalar(changed) is not None


def accept(session: Session, token_sha256: str, now: datetime) -> Invitation | None:
    """Take an invitation up. One conditional UPDATE: of two at once, one wins."""
    return session.scalar(
        update(Invitation)
        .where(
            Invitation.token_sha256 == token_sha256,
            Invitation.accepted_at.is_(None),
            Invitation.revoked_at.is_(None),
            Invitation.expires_at > now,
        )
        .values(accepted_at=now)
        .returning(Invitation)
    )


def find_by_token(session: Session, token_sha256: str) -> Invitation | None:
    """The invitation with this link, whatever became of it."""
    return session.scalar(select(Invitation).where(Invitation.token_sha256 == token_sha256))
