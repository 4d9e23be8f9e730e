"""Guardians: named once, asked by mail, with an account of their own.

A child names a guardian once and cannot change whom: only the office can, which ends what the one before
had agreed to.
"""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from sqlalchemy import select, update
from sqlalchemy.orm import Session

from api.db import people as people_db
from api.db.audit import record
from api.db.mails import Matter, queue_mail
from api.db.models import Guardianship, Membership, Submission
from api.db.notices import Notice
from api.db.profiles import (
    age_at,
    children_of,
    current_guardianship,
    end_guardianship,
    profile_of,
    profile_to_change,
)
from api.db.stopping import CONSENT, stop_student
from api.domain.actors import Actor
from api.domain.ages import Age
from api.domain.errors import Conflict, Invalid, LinkSpent, NotAllowed
from api.domain.names import Role
from api.domain.notices import MailKind
from api.domain.secrets import digest, new_secret
from api.services.letters_home import copy_for_guardian, guardian_letter
from api.services.notices import tell
from api.services.sign_in import OpenedSession, open_session
from api.settings import Settings

_ASK_AGAIN = "Ask the child, or the academy, to send it again."


def name_guardian(
    session: Session, settings: Settings, actor: Actor, *, name: str, email: str, now: datetime
) -> Guardianship:
    """A child says who answers for them, once; the guardian gets a one-time link.

    Raises ``Conflict``: ``no_child`` for who is of age, ``guardian_fixed`` when one is named already;
    ``Invalid`` (``guardian_is_you``) for the child's own address.
    """
    profile = profile_to_change(session, actor.membership_id)
    if age_at(session, actor.membership_id, profile, now) is not Age.CHILD:
        raise Conflict(
            "Only who is not of age here needs a guardian. Say when you were born first.",
            code="no_child",
        )
    if current_guardianship(session, actor.membership_id) is not None:
        raise Conflict(
            "Your guardian is named already, and only the academy's office can change who it is. "
            "Ask them if the address is wrong.",
            code="guardian_fixed",
        )
    return _ask(session, settings, actor, actor.membership_id, name=name, email=email, now=now)


def replace_guardian(
    session: Session,
    settings: Settings,
    actor: Actor,
    child_id: UUID,
    *,
    name: str,
    email: str,
    now: datetime,
) -> Guardianship:
    """The office names another guardian. What the one before agreed to counts no more, so processing stops.

    The same address again renews the link. Raises ``NotFound`` for who is no student of the academy,
    ``Conflict`` (``no_child``).
    """
    member = people_db.place_of(session, actor, child_id)
    profile = profile_to_change(session, member.id)
    if age_at(session, member.id, profile, now) is not Age.CHILD:
        raise Conflict("This student is not a child. Say so first if they are.", code="no_child")
    current = current_guardianship(session, child_id)
    if current is not None and current.email == email:
        return remind(session, settings, actor, child_id, now)
    if current is not None:
        end_guardianship(session, child_id, now)
        if current.accepted_at is not None:
            stop_student(session, child_id, CONSENT, now)
    return _ask(session, settings, actor, child_id, name=name, email=email, now=now)


def _ask(
    session: Session,
    settings: Settings,
    actor: Actor,
    child_id: UUID,
    *,
    name: str,
    email: str,
    now: datetime,
) -> Guardianship:
    child = session.get_one(Membership, child_id)
    if email == child.person.email:
        raise Invalid(
            "A guardian needs a mail address of their own: this one is the child's.",
            code="guardian_is_you",
        )
    row = Guardianship(child_id=child_id, email=email, name=name, named_by=actor.membership_id)
    session.add(row)
    session.flush()
    record(
        session,
        "guardian.named",
        "guardianship",
        row.id,
        actor=actor,
        after={"child_id": str(child_id)},
    )
    _mail_link(session, settings, row, now)
    return row


def remind(
    session: Session, settings: Settings, actor: Actor, child_id: UUID, now: datetime
) -> Guardianship:
    """Mail a fresh link to the address that was named; the one before stops working.

    Raises ``Conflict``: ``guardian_missing``, ``guardian_has_account`` once they have come in.
    """
    people_db.place_of(session, actor, child_id)
    row = current_guardianship(session, child_id)
    if row is None:
        raise Conflict("Nobody is named yet.", code="guardian_missing")
    if row.accepted_at is not None:
        raise Conflict(
            "The guardian has an account already, and signs in with their own address.",
            code="guardian_has_account",
        )
    _mail_link(session, settings, row, now)
    record(session, "guardian.reminded", "guardianship", row.id, actor=actor)
    return row


def _mail_link(session: Session, settings: Settings, row: Guardianship, now: datetime) -> None:
    token = new_secret()
    row.token_sha256 = digest(token)
    row.expires_at = now + settings.invitation_lasts
    session.flush()
    letter = guardian_letter(
        settings.base_url,
        token,
        guardian=row.name,
        child=row.child.person.name,
        academy=row.child.academy.name,
        until=row.expires_at,
    )
    matter = Matter(MailKind.GUARDIAN_ASKED, row.child_id)
    queue_mail(session, row.email, letter.subject, letter.body, matter)


def accept(session: Session, settings: Settings, token: str, now: datetime) -> OpenedSession:
    """Use a mailed link: the guardian's account is there, with this child, and signed in.

    Nothing is agreed to by that. Raises ``LinkSpent``; ``NotAllowed`` (``deactivated``).
    """
    row = _spend(session, digest(token), now)
    person = people_db.person_for_address(session, row.email, row.name)
    academy_id = row.child.academy_id
    member = people_db.membership_of(session, academy_id, person.id, Role.GUARDIAN)
    if member is None:
        member = Membership(academy_id=academy_id, person_id=person.id, role=Role.GUARDIAN.value)
        session.add(member)
        session.flush()
    elif member.deactivated_at is not None:
        raise NotAllowed(
            "Your place at the academy has been closed. Ask the academy to open it again.",
            code="deactivated",
        )
    row.guardian_id = member.id
    row.accepted_at = now
    row.token_sha256 = None
    session.flush()
    record(
        session,
        "guardian.came_in",
        "guardianship",
        row.id,
        academy_id=academy_id,
        after={"membership_id": str(member.id)},
    )
    return open_session(session, settings, member, now)


def _spend(session: Session, token_sha256: str, now: datetime) -> Guardianship:
    """One conditional UPDATE: of two at once, one wins. The digest goes with the use."""
    spent = session.scalar(
        update(Guardianship)
        .where(
            Guardianship.token_sha256 == token_sha256,
            Guardianship.accepted_at.is_(None),
            Guardianship.ended_at.is_(None),
            Guardianship.expires_at > now,
        )
        .values(token_sha256=None)
        .returning(Guardianship.id)
    )
    if spent is None:
        raise LinkSpent(
            "This link has been used, has expired, or a newer one has replaced it. Who has used it signs in "
            f"with their mail address on the sign-in page. {_ASK_AGAIN}"
        )
    return session.get_one(Guardianship, spent, populate_existing=True)


def children(session: Session, actor: Actor) -> Sequence[Membership]:
    """The children whom a guardian answers for, oldest place first."""
    return session.scalars(
        select(Membership)
        .where(Membership.id.in_(children_of(actor.membership_id)))
        .order_by(Membership.id)
    ).all()


def set_age(
    session: Session, actor: Actor, student_id: UUID, *, child: bool, now: datetime
) -> Membership:
    """The office says that a student is a child, or takes that back. Its word goes before any declaration.

    From then on a guardian's consent is needed; without one in force processing stops at once. Taken back, all that
    was declared is forgotten and the student is asked again: the way out of a slip in the year. Raises ``NotFound``.
    """
    member = people_db.place_of(session, actor, student_id)
    profile = profile_to_change(session, student_id)
    if not child:
        profile.called_child_at = None
        profile.said_adult_at = None
        profile.born_on = None
    elif profile.called_child_at is None:
        profile.called_child_at = now
    before = profile.child
    profile.child = age_at(session, student_id, profile, now) is Age.CHILD
    session.flush()
    if profile.child and not before:
        stop_student(session, student_id, CONSENT, now)
    if not profile.child:
        end_guardianship(session, student_id, now)
    record(
        session,
        "student.age_set",
        "membership",
        student_id,
        actor=actor,
        after={"child": profile.child},
    )
    return member


def tell_guardian(
    session: Session, base_url: str, submission: Submission, what: str, now: datetime
) -> None:
    """Send a child's guardian word of what a coach wrote; nothing where no guardian has come in.

    ``what``: "a coach has answered". Of an adult nobody else is told.
    """
    child = submission.student
    profile = profile_of(session, child.id)
    row = current_guardianship(session, child.id)
    if profile is None or not profile.child or row is None or row.guardian_id is None:
        return
    person = session.get_one(Membership, row.guardian_id).person
    letter = copy_for_guardian(base_url, person.name, child.person.name, what)
    notice = Notice(MailKind.CHILD_WRITTEN_TO, row.guardian_id, submission.id, child.id)
    tell(session, notice, letter, now)
