"""Mails waiting to be sent, and what is kept of them afterwards."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from sqlalchemy import ColumnElement, exists, select, update
from sqlalchemy.orm import Session

from api.db.jobs import enqueue, subjects_not_due
from api.db.models import Mail
from api.domain.notices import (
    NOTICES,
    LeftOut,
    MailKind,
    WayOut,
    foot_of,
    way_out_token,
    way_out_url,
)
from api.domain.tasks import TaskName

_SENT_BODY = "(Sent. The text is not kept, because it held a link that lets its reader in.)"


@dataclass(frozen=True, slots=True)
class Matter:
    """What a mail is about. ``child_id``: the membership of a child, in a mail to their guardian.

    ``to_id`` and ``submission_id``: of a notice, whose it is and which clips it tells of; it is looked at again
    before it goes (``api.db.notices``).
    """

    kind: MailKind
    child_id: UUID | None = None
    to_id: UUID | None = None
    submission_id: UUID | None = None


def queue_mail(
    session: Session, to_address: str, subject: str, body: str, matter: Matter | MailKind
) -> Mail:
    """Put a mail into the outbox and ask a worker to send it once the transaction commits."""
    about = Matter(matter) if isinstance(matter, MailKind) else matter
    mail = Mail(
        to_address=to_address,
        subject=subject,
        body=body,
        kind=about.kind.value,
        about_id=about.child_id,
        to_id=about.to_id,
        submission_id=about.submission_id,
    )
    session.add(mail)
    session.flush()
    enqueue(session, TaskName.SEND_MAIL, mail.id)
    return mail


def way_out_of(mail: Mail, base_url: str, secret: bytes) -> str | None:
    """The address to stop mails of this kind; ``None`` for what cannot be switched off."""
    if mail.kind not in NOTICES or mail.to_id is None:
        return None
    return way_out_url(base_url, way_out_token(secret, WayOut(mail.to_id, MailKind(mail.kind))))


def foot_of_mail(mail: Mail, base_url: str, secret: bytes) -> str:
    """What stands under the mail; nothing under one from before there were kinds."""
    if mail.kind is None:
        return ""
    pages = f"{base_url.rstrip('/')}/student/#/notices"
    return foot_of(MailKind(mail.kind), pages=pages, way_out=way_out_of(mail, base_url, secret))


def mark_sent(mail: Mail, now: datetime, *, keep_body: bool) -> None:
    """Remember that a mail went out. Its text goes too, unless this is the demo's outbox."""
    mail.sent_at = now
    if not keep_body:
        mail.body = _SENT_BODY


def leave_out(mail: Mail, why: LeftOut) -> None:
    """Remember that a mail is not going to be sent."""
    mail.left_out = why.value


def leave_out_held(session: Session, submission_id: UUID, why: LeftOut, now: datetime) -> None:
    """Leave out what is still held of the mails about a submission; what a worker has in hand goes its way."""
    rows = update(Mail).where(*_held_about(submission_id, now))
    session.execute(rows.values(left_out=why.value))


def is_held(session: Session, matter: Matter, now: datetime) -> bool:
    """Whether a mail of the same kind, about the same submission, to the same place is still to go."""
    same = exists().where(
        *_held_about(matter.submission_id, now),
        Mail.to_id == matter.to_id,
        Mail.kind == matter.kind.value,
    )
    return bool(session.scalar(select(same)))


def _held_about(submission_id: UUID | None, now: datetime) -> tuple[ColumnElement[bool], ...]:
    return (
        Mail.submission_id == submission_id,
        Mail.sent_at.is_(None),
        Mail.left_out == "",
        Mail.id.in_(subjects_not_due(TaskName.SEND_MAIL, now)),
    )


def held_mails(session: Session, membership_id: UUID) -> Sequence[UUID]:
    """Mails to somebody that wait for the end of quiet hours."""
    return session.scalars(
        select(Mail.id).where(
            Mail.to_id == membership_id,
            Mail.sent_at.is_(None),
            Mail.left_out == "",
            Mail.held_until.is_not(None),
        )
    ).all()


def latest_mails(session: Session, limit: int) -> Sequence[Mail]:
    """The newest mails, newest first. For the demo's outbox page only."""
    return session.scalars(select(Mail).order_by(Mail.id.desc()).limit(limit)).all()
