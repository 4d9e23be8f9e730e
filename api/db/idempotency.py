"""Answers kept for repeats of a request."""

from datetime import datetime
from uuid import UUID

from sqlalchemy import delete, select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from api.db.models import IdempotencyKey


def reserve(
    session: Session, membership_id: UUID, route: str, key: str, request_sha256: str
) -> IdempotencyKey | None:
    """Take the key for this transaction; None when it is taken already.

    The row becomes visible to others only together with the answer. On PostgreSQL a second
    request with the same key waits here for the first to end; on SQLite it waits to begin.
    """
    row = IdempotencyKey(
        membership_id=membership_id,
        route=route,
        key=key,
        request_sha256=request_sha256,
        status=0,
        response={},
    )
    try:
        with session.begin_nested():
            session.add(row)
    except IntegrityError:
        return None
    return row


def kept(session: Session, membership_id: UUID, route: str, key: str) -> IdempotencyKey | None:
    """The answer given before under this key."""
    return session.scalar(
        select(IdempotencyKey).where(
            IdempotencyKey.membership_id == membership_id,
            IdempotencyKey.route == route,
            IdempotencyKey.key == key,
        )
    )


def forget_older_than(session: Session, moment: datetime) -> int:
    """Delete answers kept since before ``moment``; returns how many."""
    gone = session.scalars(
        delete(IdempotencyKey)
        .where(IdempotencyKey.created_at < moment)
        .returning(IdempotencyKey.id)
    )
    return len(gone.all())
