"""Show one notice on one device. What it says on a locked screen names nobody and no number."""

import json
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from sqlalchemy.orm import Session, sessionmaker

from api.db import notices as notices_db
from api.db.base import utc_now
from api.db.models import PushMessage, PushSubscription
from api.db.push import forget_subscription
from api.db.session import transaction
from api.domain.errors import ClipRefused
from api.domain.notices import LeftOut, MailKind
from api.settings import Settings
from worker.holding import Holding
from worker.outside_post import Answer, post
from worker.runner import Later, Store

_GONE = frozenset({404, 410})
"""The browser has taken its subscription back, or is no more (RFC 8030, section 7.3)."""
_TOO_MANY = 429
_KEPT = timedelta(days=1)
"""How long its maker keeps a message for a browser that is off."""
_SAYS_SOMETHING = timedelta(days=2)
"""Longer than any quiet hours and than the waits between attempts: by then its reader has found it otherwise."""
_LEAST_WAIT, _MOST_WAIT = timedelta(seconds=5), timedelta(hours=6)


class PushFault(Exception):
    """The maker's server took no message: tried again, and in the end in sight of a person."""


@dataclass(frozen=True, slots=True)
class SendPush:
    """``worker.runner.Task`` for ``TaskName.SEND_PUSH``; the subject is a message for one browser.

    It goes the way a mail goes: looked at again before it goes, held in quiet hours, tried again after a fault. Killed
    between handing over and storing, a worker sends it a second time, and the browser shows it in the first one's
    place.
    """

    settings: Settings
    factory: sessionmaker[Session]

    def work(self, subject_id: UUID, holding: Holding) -> Store:
        now = utc_now()
        if not self.settings.push_public_key:
            return _store_nothing
        with transaction(self.factory) as session:
            message = session.get(PushMessage, subject_id)
            if message is None or message.sent_at is not None or message.left_out:
                return _store_nothing
            device = message.subscription
            left_out = _reason_to_leave_out(session, message, device, now)
            held = None if left_out else notices_db.held(session, _notice(message, device), now)
        holding.check()
        if left_out is not None:
            return lambda session: _store_left_out(session, subject_id, left_out)
        if held is not None:
            until = held.until
            raise Later(until, lambda session: _store_held(session, subject_id, until))
        return self._send(message, device, now)

    def _send(self, message: PushMessage, device: PushSubscription, now: datetime) -> Store:
        from worker.push_signing import seal  # noqa: PLC0415 - workers of other jobs need not load it

        message_id, device_id = message.id, device.id
        try:
            sealed = seal(
                self.settings, device, payload_of(message), lasts_s=int(_KEPT.total_seconds())
            )
        except ValueError:  # its key is none: nothing can ever be sent there
            return lambda session: forget_subscription(session, device_id)
        headers = {**sealed.headers, "urgency": "normal", "topic": topic_of(message)}
        this_machine = self.settings.push_to_this_machine
        answer = post(device.endpoint, sealed.body, headers, this_machine=this_machine)
        if answer.status in _GONE:
            return lambda session: forget_subscription(session, device_id)
        if answer.status == _TOO_MANY:
            raise Later(now + _wait_of(answer), _store_nothing)
        if not 200 <= answer.status < 300:  # noqa: PLR2004 - success, in HTTP
            raise PushFault(f"The browser's maker answered {answer.status}.")
        return lambda session: _store_sent(session, message_id)

    def refuse(self, session: Session, subject_id: UUID, refused: ClipRefused) -> None:
        """Messages are never refused."""

    def give_up(self, session: Session, subject_id: UUID, error: str) -> None:
        """The failed job itself is what a person sees; the mail, where one is wanted, goes its own way."""


def payload_of(message: PushMessage) -> bytes:
    """What the browser gets, in JSON: the kind, and which clips to open. The words are the page's own, and plain."""
    about = None if message.submission_id is None else str(message.submission_id)
    return json.dumps({"kind": message.kind, "about": about}).encode()


def topic_of(message: PushMessage) -> str:
    """Of two messages with the same, a browser that was off gets the later alone. 32 letters at most (RFC 8030, 5.4)."""
    return (message.submission_id or message.id).hex


def _notice(message: PushMessage, device: PushSubscription) -> notices_db.Notice:
    return notices_db.Notice(
        MailKind(message.kind), device.membership_id, message.submission_id, message.child_id
    )


def _reason_to_leave_out(
    session: Session, message: PushMessage, device: PushSubscription, now: datetime
) -> LeftOut | None:
    if now - message.created_at > _SAYS_SOMETHING:
        return LeftOut.TOO_LATE
    notice = _notice(message, device)
    if not notices_db.comes_by_push(session, notice.to_id, notice.kind):
        return LeftOut.SWITCHED_OFF
    return notices_db.reason_to_leave_out(session, notice)


def _wait_of(answer: Answer) -> timedelta:
    """What the maker asks for, within reason; it may also name a date, which is taken for no wish."""
    asked = answer.retry_after.strip()
    wait = timedelta(seconds=min(int(asked), 10**6)) if asked.isdecimal() else _LEAST_WAIT
    return min(max(wait, _LEAST_WAIT), _MOST_WAIT)


def _store_left_out(session: Session, message_id: UUID, why: LeftOut) -> None:
    message = session.get(PushMessage, message_id)
    if message is not None:
        message.left_out = why.value


def _store_held(session: Session, message_id: UUID, until: datetime) -> None:
    message = session.get(PushMessage, message_id)
    if message is not None:
        message.held_until = until


def _store_sent(session: Session, message_id: UUID) -> None:
    message = session.get(PushMessage, message_id)
    if message is not None:
        message.sent_at = utc_now()


def _store_nothing(_session: Session) -> None:
    """Nothing to remember: gone, sent before, or nobody signs messages here any more."""
