"""API tokens: found by digest, listed for their owner."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from uuid import UUID

from sqlalchemy import or_, select, update
from sqlalchemy.orm import Session

from api.db.models import ApiToken, Membership

_USE_NOTED_EVERY = timedelta(minutes=1)


def live_token(
    session: Session, token_sha256: str, now: datetime
) -> tuple[ApiToken, Membership] | None:
    """The token with this digest and its owner, when both still count."""
    row = session.execute(
        select(ApiToken, Membership)
        .join(Membership, Membership.id == ApiToken.membership_id)
        .where(
            ApiToken.token_sha256 == token_sha256,
            ApiToken.revoked_at.is_(None),
            or_(ApiToken.expires_at.is_(None), ApiToken.expires_at > now),
            Membership.deactivated_at.is_(None),
        )
    ).one_or_none()
    return None if row is None else (row[0], row[1])


def note_use(session: Session, token: ApiToken, now: datetime) -> None:
    """Remember when a token was last used, to the minute: not one write for every request."""
    if token.last_used_at is None or now - token.last_used_at >= _USE_NOTED_EVERY:
        session.execute(update(ApiToken).where(ApiToken.id == token.id).values(last_used_at=now))


def tokens_of(session: Session, membership_id: UUID) -> Sequence[ApiToken]:
    """A membership's tokens that are not revoked, oldest first."""
    return session.scalars(
        select(ApiToken)
        .where(ApiToken.membership_id == membership_id, ApiToken.revoked_at.is_(None))
        .order_by(ApiToken.id)
    ).all()


def revoke_token(session: Session, membership_id: UUID, token_id: UUID, now: datetime) -> bool:
    """End one of the membership's own tokens; False when there is no such live token."""
    return (
        session.scalar(
            update(ApiToken)
            .where(
                ApiToken.id == token_id,
                ApiToken.membership_id == membership_id,
                ApiToken.revoked_at.is_(None),
            )
            .values(revoked_at=now)
            .returning(ApiToken.id)
        )
        is not None
    )


def revoke_all_tokens(session: Session, membership_id: UUID, now: datetime) -> None:
    """End every token of a membership."""
    session.execute(
        update(ApiToken)
        .where(ApiToken.membership_id == membership_id, ApiToken.revoked_at.is_(None))
        .values(revoked_at=now)
    )
