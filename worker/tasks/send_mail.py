"""Send one mail. Without a mail server it stays in the table, where the demo shows it."""

import smtplib
import ssl
from dataclasses import dataclass
from email.message import EmailMessage
from urllib.parse import unquote, urlsplit
from uuid import UUID

from sqlalchemy.orm import Session, sessionmaker

from api.db.base import utc_now
from api.db.mails import mark_sent
from api.db.models import Mail
from api.db.session import transaction
from api.domain.errors import ClipRefused
from api.settings import Settings
from worker.holding import Holding
from worker.runner import Store
from worker.tasks.mail_page import page_of

_TIMEOUT_S = 20.0
_PORTS = {"smtp": 25, "smtps": 465}


@dataclass(frozen=True, slots=True)
class SendMail:
    """``worker.runner.Task`` for ``TaskName.SEND_MAIL``; the subject is a mail.

    A mail server that is down is a fault like any other: tried again, with growing waits. Killed
    between handing over and storing, a worker sends the mail a second time: its links work once.
    """

    settings: Settings
    factory: sessionmaker[Session]

    def work(self, subject_id: UUID, holding: Holding) -> Store:
        with transaction(self.factory) as session:
            mail = session.get(Mail, subject_id)
        holding.check()
        if mail is None or mail.sent_at is not None or not self.settings.smtp_url:
            return _store_nothing
        deliver(self.settings.smtp_url, compose(mail, self.settings.mail_from))
        return lambda session: self._store_sent(session, subject_id)

    def refuse(self, session: Session, subject_id: UUID, refused: ClipRefused) -> None:
        """Mails are never refused."""

    def give_up(self, session: Session, subject_id: UUID, error: str) -> None:
        """The failed job itself is what a person sees: an unsent mail has no other state."""

    def _store_sent(self, session: Session, mail_id: UUID) -> None:
        keep_body = self.settings.demo_outbox
        mark_sent(session.get_one(Mail, mail_id), utc_now(), keep_body=keep_body)


def compose(mail: Mail, sender: str) -> EmailMessage:
    """The message as it goes out: plain text with a page that says the same, and the mail's own id so that repeats are seen."""
    message = EmailMessage()
    message["From"] = sender
    message["To"] = mail.to_address
    message["Subject"] = mail.subject
    message["Message-ID"] = f"<{mail.id}@{_domain_of(sender)}>"
    message["Date"] = mail.created_at
    message.set_content(mail.body)
    message.add_alternative(page_of(mail.subject, mail.body), subtype="html")
    return message


def deliver(smtp_url: str, message: EmailMessage) -> None:
    """Hand ``message`` to the server of ``smtp_url``. Raises ``OSError`` or ``SMTPException``.

    ``smtps`` speaks TLS from the start; ``smtp`` changes to TLS where the server offers it, and
    must, before a password is sent to anywhere but this machine.
    """
    url = urlsplit(smtp_url)
    host, port = url.hostname or "", url.port or _PORTS[url.scheme]
    context = ssl.create_default_context()
    with _connect(url.scheme, host, port, context) as server:
        if url.scheme == "smtp" and server.has_extn("starttls"):
            server.starttls(context=context)
            server.ehlo()
        elif url.scheme == "smtp" and url.username and host not in {"localhost", "127.0.0.1"}:
            raise smtplib.SMTPException("The mail server offers no TLS for the password.")
        if url.username:
            server.login(unquote(url.username), unquote(url.password or ""))
        server.send_message(message)


def _connect(scheme: str, host: str, port: int, context: ssl.SSLContext) -> smtplib.SMTP:
    if scheme == "smtps":
        server: smtplib.SMTP = smtplib.SMTP_SSL(host, port, timeout=_TIMEOUT_S, context=context)
    else:
        server = smtplib.SMTP(host, port, timeout=_TIMEOUT_S)
    server.ehlo()
    return server


def _domain_of(sender: str) -> str:
    return sender.rpartition("@")[2].rstrip("> ") or "localhost"


def _store_nothing(_session: Session) -> None:
    """Nothing to remember: gone, sent before, or meant to be read in the table."""
