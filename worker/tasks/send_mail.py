"""Send one mail. Without a mail server it stays in the table, where the demo shows it."""

import smtplib
import ssl
from dataclasses import dataclass
from email.message import EmailMessage
from email.policy import EmailPolicy
from typing import Any
from urllib.parse import quote, unquote, urlsplit
from uuid import UUID

from sqlalchemy.orm import Session, sessionmaker

from api.db import mails as mails_db
from api.db import notices as notices_db
from api.db.base import utc_now
from api.db.models import Mail
from api.db.session import transaction
from api.domain.errors import ClipRefused
from api.domain.notices import LeftOut, MailKind
from api.settings import Settings
from worker.holding import Holding
from worker.runner import Later, Store
from worker.tasks.mail_page import page_of

_TIMEOUT_S = 20.0
_PORTS = {"smtp": 25, "smtps": 465}
_ADDRESSES = "List-Unsubscribe"
_LINE_END = "\r\n"


@dataclass(frozen=True, slots=True)
class SendMail:
    """``worker.runner.Task`` for ``TaskName.SEND_MAIL``; the subject is a mail.

    A mail server that is down is a fault like any other: tried again, with growing waits. Killed
    between handing over and storing, a worker sends the mail a second time: its links work once.
    A notice is looked at once more before it goes: it waits in quiet hours, and is left out when it is not
    wanted any more or no longer says how things are.
    """

    settings: Settings
    factory: sessionmaker[Session]

    def work(self, subject_id: UUID, holding: Holding) -> Store:
        now = utc_now()
        with transaction(self.factory) as session:
            mail = session.get(Mail, subject_id)
            if mail is None or mail.sent_at is not None or mail.left_out:
                return _store_nothing
            standing = _standing(session, mail)
            held = None
            if standing is None and (notice := told_by(mail)) is not None:
                held = notices_db.held(session, notice, now)
        holding.check()
        if standing is not None:
            return lambda session: mails_db.leave_out(session.get_one(Mail, subject_id), standing)
        if held is not None:
            until = held.until
            raise Later(until, lambda session: _store_held(session, subject_id, held))
        if not self.settings.smtp_url:
            return _store_nothing
        deliver(self.settings.smtp_url, compose(mail, self.settings))
        return lambda session: self._store_sent(session, subject_id)

    def refuse(self, session: Session, subject_id: UUID, refused: ClipRefused) -> None:
        """Mails are never refused."""

    def give_up(self, session: Session, subject_id: UUID, error: str) -> None:
        """The failed job itself is what a person sees: an unsent mail has no other state."""

    def _store_sent(self, session: Session, mail_id: UUID) -> None:
        keep_body = self.settings.demo_outbox
        mails_db.mark_sent(session.get_one(Mail, mail_id), utc_now(), keep_body=keep_body)


def told_by(mail: Mail) -> notices_db.Notice | None:
    """What a mail tells of, where it is one that is looked at again before it goes."""
    if mail.kind is None or mail.to_id is None:
        return None
    return notices_db.Notice(MailKind(mail.kind), mail.to_id, mail.submission_id, mail.about_id)


def _standing(session: Session, mail: Mail) -> LeftOut | None:
    notice = told_by(mail)
    if notice is None:
        return None
    if not notices_db.comes_by_mail(session, notice.to_id, notice.kind):
        return LeftOut.SWITCHED_OFF
    return notices_db.reason_to_leave_out(session, notice)


def _store_held(session: Session, mail_id: UUID, held: notices_db.Held) -> None:
    session.get_one(Mail, mail_id).held_until = held.until


class _MailPolicy(EmailPolicy):
    """Python's policy, which folds a header that is longer than a line; but never an address, which has no blank.

    It would write one as encoded words (RFC 2047), and no mail program finds an address in those.
    """

    def fold(self, name: str, value: Any) -> str:  # noqa: ANN401 - the library's signature
        return _one_address_a_line(name, value) or super().fold(name, value)

    def fold_binary(self, name: str, value: Any) -> bytes:  # noqa: ANN401 - the library's signature
        whole = _one_address_a_line(name, value)
        return whole.encode() if whole else super().fold_binary(name, value)


def _one_address_a_line(name: str, value: object) -> str | None:
    """The header of the ways out with a line for each, or ``None`` for any other header."""
    if name != _ADDRESSES:
        return None
    return f"{name}: {str(value).replace(', ', f',{_LINE_END} ')}{_LINE_END}"


_POLICY = _MailPolicy(linesep=_LINE_END)


def compose(mail: Mail, settings: Settings) -> EmailMessage:
    """The message as it goes out: plain text with a page that says the same, and the mail's own id so that repeats are seen.

    A notice says how to stop its kind, in its text and in headers of RFC 2369. A mail program may do it with one
    press (RFC 8058) where this service is reached by https; the relay's DKIM signature must cover both headers.
    """
    secret = settings.secret.get_secret_value().encode()
    sender = settings.mail_from
    message = EmailMessage(policy=_POLICY)
    message["From"] = sender
    message["To"] = mail.to_address
    message["Subject"] = mail.subject
    message["Message-ID"] = f"<{mail.id}@{_domain_of(sender)}>"
    message["Date"] = mail.created_at
    way_out = mails_db.way_out_of(mail, settings.base_url, secret)
    if way_out is not None:
        message[_ADDRESSES] = ", ".join(_ways_out(way_out, settings.unsubscribe_mailbox))
        if way_out.startswith("https://"):
            message["List-Unsubscribe-Post"] = "List-Unsubscribe=One-Click"
    foot = mails_db.foot_of_mail(mail, settings.base_url, secret)
    message.set_content(f"{mail.body.rstrip()}\n\n-- \n{foot}\n" if foot else mail.body)
    message.add_alternative(page_of(mail.subject, mail.body, foot), subtype="html")
    return message


def _ways_out(way_out: str, mailbox: str) -> list[str]:
    """Addresses in the order in which a mail program tries them: the one to post to first."""
    if not mailbox:
        return [f"<{way_out}>"]
    subject = quote(f"unsubscribe {way_out.rpartition('/')[2]}")
    return [f"<{way_out}>", f"<mailto:{mailbox}?subject={subject}>"]


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
