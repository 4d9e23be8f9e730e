"""Sign-in links and the sessions they open."""

from datetime import datetime
from uuid import UUID

from sqlalchemy import select, update
from sqlalchemy.orm import Session

from api.db.models import Membership, SignInLink, SignInSession


def spend_link(session: Session, token_sha256: str, now: datetime) -> UUID | None:
    """Use a link up and return its person. One conditional UPDATE: of two at once, one wins."""
    return session.scalar(
        update(SignInLink)
        .where(
            SignInLink.token_sha256 == token_sha256,
            SignInLink.used_at.is_(None),
            SignInLink.expires_at > now,
        )
        .values(used_at=now)
        .returning(SignInLink.person_id)
    )


def find_link(session: Session, token_sha256: str) -> SignInLink | None:
    """The link with this digest, spent or not."""
    return session.scalar(select(SignInLink).where(SignInLink.token_sha256 == token_sha256))


def live_session(
    session: Session, token_sha256: str, now: datetime
) -> tuple[SignInSession, Membership] | None:
    """The session with this digest and the membership it acts in, when both still count."""
    row = session.execute(
        select(SignInSession, Membership)
        .join(Membership, Membership.id == SignInSession.membership_id)
        .where(
            SignInSession.token_sha256 == token_sha256,
            SignInSession.ended_at.is_(None),
            SignInSession.expires_at > now,
            Membership.deactivated_at.is_(None),
        )
    ).one_or_none()
    return None if row is None else (row[0], row[1])


def last_membership_used(session: Session, person_id: UUID) -> UUID | None:
    """Where this person's most recent session acted."""
    return session.scalar(
        select(SignInSession.membership_id)
        .where(SignInSession.person_id == person_id)
        .order_by(SignInSession.id.desc())
        .limit(1)
    )


def end_session(session: Session, session_id: UUID, now: datetime) -> None:
    """Sign one browser out."""
    session.execute(
        update(SignInSession)
        .where(SignInSession.id == session_id, SignInSession.ended_at.is_(None))
        .values(ended_at=now)
    )


def end_sessions_of(session: Session, membership_id: UUID, now: datetime) -> None:
    """Sign out every browser that acts in a membership."""
    session.execute(
        update(SignInSession)
        .where(SignInSession.membership_id == membership_id, SignInSession.ended_at.is_(None))
        .values(ended_at=now)
    )


def act_in(session: Session, session_id: UUID, membership_id: UUID) -> None:
    """Let a browser's session act in another membership."""
    session.execute(
        update(SignInSession)
        .where(SignInSession.id == session_id)
        .values(membership_id=membership_id)
    )
