"""Kinds of mail: which are notices that somebody may do without, which never, and why not.

A notice can be switched off by whoever gets it, and waits while it is night where they are. What lets somebody in,
what asks for or tells of a consent, and what guards somebody's data is sent whatever was chosen, and says so itself.
"""

import base64
import binascii
import hmac
from dataclasses import dataclass
from enum import StrEnum
from hashlib import sha256
from uuid import UUID

from api.domain.names import Role


class MailKind(StrEnum):
    """What a mail is about. Stored and sent as text, and part of mailed links: a released one stays."""

    SIGN_IN = "sign_in"
    INVITATION = "invitation"
    GUARDIAN_ASKED = "guardian_asked"
    CONSENT_DECIDED = "consent_decided"
    ERASURE = "erasure"
    CHILD_WRITTEN_TO = "child_written_to"
    ANSWERED = "answered"
    FILM_AGAIN = "film_again"
    REPLIED = "replied"


NOTICES = (MailKind.ANSWERED, MailKind.FILM_AGAIN, MailKind.REPLIED)
"""What a student may do without."""

WHY_ALWAYS: dict[MailKind, str] = {
    MailKind.SIGN_IN: "without it nobody could sign in, and it is only sent when somebody asks for it",
    MailKind.INVITATION: "without it nobody could come in, and it is only sent when an academy invites you",
    MailKind.GUARDIAN_ASKED: "nothing is filmed of a child before a guardian was asked",
    MailKind.CONSENT_DECIDED: "what was agreed to, or is no longer, is always told to whom it is about",
    MailKind.ERASURE: "nobody's data is erased without a mail that asks whether it is really meant",
    MailKind.CHILD_WRITTEN_TO: "a guardian is told whenever a coach writes to the child; that is part of what "
    "you agreed to",
}
"""Of every kind that cannot be switched off: the reason, to follow "because"."""

WAITS = frozenset({*NOTICES, MailKind.CHILD_WRITTEN_TO, MailKind.CONSENT_DECIDED})
"""What waits until quiet hours are over. The rest was asked for by a person who waits for it."""

NOTICES_OF_ROLE: dict[Role, tuple[MailKind, ...]] = {
    Role.STUDENT: (*NOTICES, MailKind.CONSENT_DECIDED),
    Role.GUARDIAN: (MailKind.CHILD_WRITTEN_TO,),
}
"""What is told to whom, as the page about it lists it. Coaches and the office get no notices: they have the queue."""


class LeftOut(StrEnum):
    """Why a mail or message was not sent, and is not going to be."""

    SWITCHED_OFF = "switched_off"
    OVERTAKEN = "overtaken"
    """What it told of is no longer so: the clip was taken back or filmed again, the answer called back."""

    TOO_LATE = "too_late"
    """It was to be shown on a device, which could not be reached until it said nothing new any more."""

    PLACE_CLOSED = "place_closed"
    """Who it was for has left the academy, is about to be erased, or answers for the child no more."""


_PURPOSE = b"fairlead unsubscribe link 1"
_ID_BYTES = 16
_MAC_BYTES = 16
"""128 bits: too many to guess, and the address stays short enough for any mail program."""


@dataclass(frozen=True, slots=True)
class WayOut:
    """Whom a link to unsubscribe is for, and from what."""

    membership_id: UUID
    kind: MailKind


def way_out_token(secret: bytes, way_out: WayOut) -> str:
    """The link's own part: unguessable without ``secret``, the same for every mail of the kind, good for ever.

    For ever, since a mail may be opened after years, and all that it can do is stop or start these mails.
    """
    said = way_out.membership_id.bytes + way_out.kind.value.encode()
    return base64.urlsafe_b64encode(_mac(secret, said) + said).rstrip(b"=").decode()


def read_way_out(secret: bytes, token: str) -> WayOut | None:
    """Whom and what a token is for; ``None`` for one that is not ours."""
    try:
        raw = base64.b64decode(
            token.encode("ascii") + b"=" * (-len(token) % 4), altchars=b"-_", validate=True
        )
    except (binascii.Error, UnicodeError):
        return None
    mac, said = raw[:_MAC_BYTES], raw[_MAC_BYTES:]
    if not hmac.compare_digest(mac, _mac(secret, said)) or len(said) <= _ID_BYTES:
        return None
    kind = said[_ID_BYTES:].decode()
    return WayOut(UUID(bytes=said[:_ID_BYTES]), MailKind(kind)) if kind in NOTICES else None


def _mac(secret: bytes, said: bytes) -> bytes:
    derived = hmac.digest(secret, _PURPOSE, sha256)
    return hmac.digest(derived, said, sha256)[:_MAC_BYTES]


def way_out_url(base_url: str, token: str) -> str:
    """The address that a mail names: a page for a person, and where a mail program posts to (RFC 8058)."""
    return f"{base_url.rstrip('/')}/unsubscribe/{token}"


def foot_of(kind: MailKind, *, pages: str, way_out: str | None) -> str:
    """What stands under a mail: how to stop its kind, or why that cannot be.

    ``pages``: where its reader chooses notices; ``way_out``: the address to stop this kind, of a notice.
    """
    if way_out is None:
        return f"This mail cannot be switched off, because {WHY_ALWAYS[kind]}."
    return (
        f"Which notices come by mail, and when it is too late for them, is for you to choose: {pages}\n"
        f"No more mails of this kind: {way_out}"
    )
