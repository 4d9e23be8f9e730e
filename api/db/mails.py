"""Mails waiting to be sent, and what is kept of them afterwards."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from sqlalchemy import select
from sqlalchemy.orm import Session

from api.db.jobs import enqueue
from api.db.models import Mail
from api.domain.tasks import TaskName

_SENT_BODY = "(Sent. The text is not kept, because it held a link that lets its reader in.)"


def queue_mail(
    session: Session, to_address: str, subject: str, body: str, *, about_id: UUID | None = None
) -> Mail:
    """Put a mail into the outbox and ask a worker to send it once the transaction commits.

    ``about_id``: the membership of a child, in a mail to their guardian.
    """
    mail = Mail(to_address=to_address, subject=subject, body=body, about_id=about_id)
    session.add(mail)
    session.flush()
    enqueue(session, TaskName.SEND_MAIL, mail.id)
    return mail


def mark_sent(mail: Mail, now: datetime, *, keep_body: bool) -> None:
    """Remember that a mail went out. Its text goes too, unless this is the demo's outbox."""
    mail.sent_at = now
    if not keep_body:
        mail.body = _SENT_BODY


def latest_mails(session: Session, limit: int) -> Sequence[Mail]:
    """The newest mails, newest first. For the demo's outbox page only."""
    return session.scalars(select(Mail).order_by(Mail.id.desc()).limit(limit)).all()
