"""Getting in by a mailed link, acting in one membership at a time, and getting out."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from sqlalchemy.orm import Session

from api.db import audit
from api.db import people as people_db
from api.db import sign_in as sign_in_db
from api.db.mails import queue_mail
from api.db.models import Membership, SignInLink, SignInSession
from api.domain.actors import Actor
from api.domain.errors import LinkSpent, NotAllowed, NotFound
from api.domain.notices import MailKind
from api.domain.secrets import digest, new_secret
from api.services.mails import sign_in_letter
from api.settings import Settings

_AGAIN = "Enter your mail address on the sign-in page to get a new one."


@dataclass(frozen=True, slots=True)
class OpenedSession:
    """A new session and the secret for its cookie, which is kept nowhere else."""

    cookie: str
    row: SignInSession
    member: Membership


def ask_for_link(session: Session, settings: Settings, email: str, now: datetime) -> None:
    """Mail a sign-in link to ``email`` if somebody with a place in an academy has that address.

    The caller must answer alike in both cases.
    """
    person = people_db.person_by_email(session, email)
    if person is None or not people_db.active_memberships(session, person.id):
        return
    token = new_secret()
    session.add(
        SignInLink(
            person_id=person.id,
            token_sha256=digest(token),
            expires_at=now + settings.sign_in_link_lasts,
        )
    )
    letter = sign_in_letter(settings.base_url, token, person.name, settings.sign_in_link_lasts)
    queue_mail(session, person.email, letter.subject, letter.body, MailKind.SIGN_IN)


def sign_in_by_link(
    session: Session, settings: Settings, token: str, now: datetime
) -> OpenedSession:
    """Spend a mailed link and open a session.

    Raises ``LinkSpent`` when it is used, expired or unknown; ``NotAllowed`` when the person has
    no open place in any academy any more.
    """
    person_id = sign_in_db.spend_link(session, digest(token), now)
    if person_id is None:
        raise LinkSpent(_why_spent(session, token))
    member = _where_to_act(session, person_id)
    if member is None:
        raise NotAllowed(
            "Your place at the academy has been closed. Ask the academy to open it again.",
            code="deactivated",
        )
    return open_session(session, settings, member, now)


def open_session(
    session: Session, settings: Settings, member: Membership, now: datetime
) -> OpenedSession:
    """Sign a browser in as ``member``."""
    cookie = new_secret()
    row = SignInSession(
        person_id=member.person_id,
        membership_id=member.id,
        token_sha256=digest(cookie),
        csrf_token=new_secret(),
        expires_at=now + settings.session_lasts,
    )
    session.add(row)
    session.flush()
    audit.record(
        session,
        "session.opened",
        "membership",
        member.id,
        academy_id=member.academy_id,
    )
    return OpenedSession(cookie, row, member)


def sign_out(session: Session, actor: Actor, now: datetime) -> None:
    """End the browser's session. A token is not a session: it is revoked instead."""
    sign_in_db.end_session(session, _session_of(actor), now)
    audit.record(session, "session.ended", "membership", actor.membership_id, actor=actor)


def act_in(session: Session, actor: Actor, membership_id: UUID) -> Membership:
    """Let the browser act in another of the person's own places; returns that membership."""
    session_id = _session_of(actor)
    for member in people_db.active_memberships(session, actor.person_id):
        if member.id == membership_id:
            sign_in_db.act_in(session, session_id, member.id)
            return member
    raise NotFound("You have no such open place in an academy.")


def _session_of(actor: Actor) -> UUID:
    if actor.session_id is None:
        raise NotAllowed("A token cannot do this; sign in on the page.", code="scope_missing")
    return actor.session_id


def _where_to_act(session: Session, person_id: UUID) -> Membership | None:
    """Where the person acted last if that place is open, else their oldest open place."""
    members = people_db.active_memberships(session, person_id)
    last = sign_in_db.last_membership_used(session, person_id)
    for member in members:
        if member.id == last:
            return member
    return members[0] if members else None


def _why_spent(session: Session, token: str) -> str:
    link = sign_in_db.find_link(session, digest(token))
    if link is None:
        return f"This link is not complete or not one of ours. {_AGAIN}"
    if link.used_at is not None:
        return f"This link has been used already; each works once. {_AGAIN}"
    return f"This link has expired. {_AGAIN}"
