"""Browsers that show notices, and messages waiting to be sent to them."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from sqlalchemy import ColumnElement, delete, select, update
from sqlalchemy.orm import Session

from api.db.jobs import enqueue, subjects_not_due
from api.db.models import PushMessage, PushSubscription
from api.domain.notices import LeftOut, MailKind
from api.domain.tasks import TaskName

MOST_DEVICES = 10
"""Of one place; the oldest goes. A browser that lost its data subscribes anew and never tells of the one before."""


def subscriptions_of(session: Session, membership_id: UUID) -> Sequence[PushSubscription]:
    """Browsers that show a place's notices, oldest first."""
    return session.scalars(
        select(PushSubscription)
        .where(PushSubscription.membership_id == membership_id)
        .order_by(PushSubscription.id)
    ).all()


def keep_subscription(
    session: Session, membership_id: UUID, *, endpoint: str, p256dh: str, auth: str
) -> None:
    """Show notices of a place in a browser. Whoever it showed them to before, it does so no more."""
    known = session.scalars(
        select(PushSubscription).where(PushSubscription.endpoint == endpoint)
    ).one_or_none()
    if known is not None and known.membership_id == membership_id:
        known.p256dh, known.auth = p256dh, auth
        session.flush()
        return
    if known is not None:
        forget_subscription(session, known.id)
    session.add(
        PushSubscription(membership_id=membership_id, endpoint=endpoint, p256dh=p256dh, auth=auth)
    )
    session.flush()
    for oldest in subscriptions_of(session, membership_id)[:-MOST_DEVICES]:
        forget_subscription(session, oldest.id)


def subscription_at(
    session: Session, membership_id: UUID, endpoint: str
) -> PushSubscription | None:
    """A place's own browser at an address."""
    return session.scalars(
        select(PushSubscription).where(
            PushSubscription.membership_id == membership_id, PushSubscription.endpoint == endpoint
        )
    ).one_or_none()


def forget_subscription(session: Session, subscription_id: UUID) -> None:
    """Show nothing there any more: the browser is gone, or somebody took the notices back."""
    of_it = PushMessage.subscription_id == subscription_id
    session.execute(delete(PushMessage).where(of_it))
    session.execute(delete(PushSubscription).where(PushSubscription.id == subscription_id))


def queue_messages(
    session: Session,
    membership_id: UUID,
    kind: MailKind,
    *,
    submission_id: UUID | None,
    child_id: UUID | None,
    now: datetime,
) -> None:
    """Put a message for each of a place's browsers into the outbox.

    One that is still held there about the same thing says it already.
    """
    same = (PushMessage.kind == kind.value, PushMessage.submission_id == submission_id)
    held = set(session.scalars(select(PushMessage.subscription_id).where(*same, *_held(now))))
    for device in subscriptions_of(session, membership_id):
        if device.id in held:
            continue
        message = PushMessage(
            subscription_id=device.id,
            kind=kind.value,
            submission_id=submission_id,
            child_id=child_id,
        )
        session.add(message)
        session.flush()
        enqueue(session, TaskName.SEND_PUSH, message.id)


def leave_out_held_messages(
    session: Session, submission_id: UUID, why: LeftOut, now: datetime
) -> None:
    """Leave out what is still held about a submission; what a worker has in hand goes its way."""
    about = PushMessage.submission_id == submission_id
    session.execute(update(PushMessage).where(about, *_held(now)).values(left_out=why.value))


def held_messages(session: Session, membership_id: UUID) -> Sequence[UUID]:
    """Messages to a place's browsers that wait for the end of quiet hours."""
    theirs = select(PushSubscription.id).where(PushSubscription.membership_id == membership_id)
    return session.scalars(
        select(PushMessage.id).where(
            PushMessage.subscription_id.in_(theirs),
            PushMessage.sent_at.is_(None),
            PushMessage.left_out == "",
            PushMessage.held_until.is_not(None),
        )
    ).all()


def _held(now: datetime) -> tuple[ColumnElement[bool], ...]:
    return (
        PushMessage.sent_at.is_(None),
        PushMessage.left_out == "",
        PushMessage.id.in_(subjects_not_due(TaskName.SEND_PUSH, now)),
    )
