"""Inviting people into an academy, and their coming in."""

from datetime import datetime
from uuid import UUID

from sqlalchemy.orm import Session

from api.db import audit
from api.db import invitations as invitations_db
from api.db import people as people_db
from api.db.mails import queue_mail
from api.db.models import Academy, Invitation, Membership
from api.domain.actors import Actor
from api.domain.errors import Conflict, LinkSpent, NotAllowed, NotFound
from api.domain.names import Role
from api.domain.notices import MailKind
from api.domain.secrets import digest, new_secret
from api.services.mails import invitation_letter
from api.services.sign_in import OpenedSession, open_session
from api.settings import Settings


def invite(
    session: Session,
    settings: Settings,
    actor: Actor,
    *,
    email: str,
    name: str,
    role: Role,
    now: datetime,
    language: str | None = None,
) -> Invitation:
    """Offer a place in the actor's academy by mail. ``language``: a tag in its one written form.

    Raises ``Conflict``: ``already_member`` or ``already_invited``, with what to do instead.
    """
    _refuse_members(session, actor.academy_id, email, role)
    token = new_secret()
    invitation = Invitation(
        academy_id=actor.academy_id,
        email=email,
        name=name,
        role=role.value,
        language=language,
        token_sha256=digest(token),
        invited_by=actor.membership_id,
        expires_at=now + settings.invitation_lasts,
    )
    if not invitations_db.add_invitation(session, invitation):
        raise Conflict(
            f"There is already an open invitation as {role.value} for this address. "
            "Send that one again.",
            code="already_invited",
        )
    _mail(session, settings, invitation, token)
    _record(session, actor, "invitation.sent", invitation.id, role=role.value)
    return invitation


def send_again(
    session: Session, settings: Settings, actor: Actor, invitation_id: UUID, now: datetime
) -> Invitation:
    """Mail a fresh link for an open invitation; the old link stops working."""
    invitation = invitations_db.invitation_for(session, actor, invitation_id)
    token = new_secret()
    expires_at = now + settings.invitation_lasts
    _change(session, invitation_id, token_sha256=digest(token), expires_at=expires_at)
    session.refresh(invitation)
    _mail(session, settings, invitation, token)
    _record(session, actor, "invitation.sent_again", invitation_id)
    return invitation


def revoke(session: Session, actor: Actor, invitation_id: UUID, now: datetime) -> None:
    """Withdraw an open invitation; its link stops working."""
    invitations_db.invitation_for(session, actor, invitation_id)
    _change(session, invitation_id, revoked_at=now)
    _record(session, actor, "invitation.revoked", invitation_id)


def accept(
    session: Session, settings: Settings, token: str, name: str | None, now: datetime
) -> OpenedSession:
    """Take an invitation up: make the person and the membership, and sign in.

    ``name`` replaces the one the academy wrote. Raises ``LinkSpent`` when the invitation was
    taken up, withdrawn, has expired or is unknown.
    """
    invitation = invitations_db.accept(session, digest(token), now)
    if invitation is None:
        raise LinkSpent(_why_spent(session, token))
    person = people_db.person_for_address(session, invitation.email, name or invitation.name)
    if name is not None:
        person.name = name
    if person.language is None:  # what somebody chose for themself goes before
        person.language = invitation.language
    member = _open_place(session, invitation, person.id)
    audit.record(
        session,
        "invitation.accepted",
        "invitation",
        invitation.id,
        academy_id=invitation.academy_id,
        after={"membership_id": str(member.id), "role": member.role},
    )
    return open_session(session, settings, member, now)


def _open_place(session: Session, invitation: Invitation, person_id: UUID) -> Membership:
    role = Role(invitation.role)
    member = people_db.membership_of(session, invitation.academy_id, person_id, role)
    if member is None:
        member = Membership(academy_id=invitation.academy_id, person_id=person_id, role=role.value)
        session.add(member)
        session.flush()
    elif member.deactivated_at is not None:
        raise NotAllowed(
            "Your place at the academy has been closed. Ask the academy to open it again.",
            code="deactivated",
        )
    return member


def _refuse_members(session: Session, academy_id: UUID, email: str, role: Role) -> None:
    person = people_db.person_by_email(session, email)
    member = person and people_db.membership_of(session, academy_id, person.id, role)
    if not member:
        return
    if member.deactivated_at is None:
        raise Conflict(
            f"This address belongs to a {role.value} of your academy already.",
            code="already_member",
        )
    raise Conflict(
        f"This address belongs to a {role.value} whose place is closed. Open that place again "
        "in the list of people.",
        code="already_member",
        details={"membership_id": str(member.id)},
    )


def _change(session: Session, invitation_id: UUID, **values: object) -> None:
    if not invitations_db.change_open(session, invitation_id, **values):
        raise NotFound("This invitation was taken up or withdrawn a moment ago.")


def _mail(session: Session, settings: Settings, invitation: Invitation, token: str) -> None:
    academy = session.get_one(Academy, invitation.academy_id)
    letter = invitation_letter(
        settings.base_url,
        token,
        name=invitation.name,
        academy=academy.name,
        role=Role(invitation.role),
        lasts=settings.invitation_lasts,
    )
    queue_mail(session, invitation.email, letter.subject, letter.body, MailKind.INVITATION)


def _record(session: Session, actor: Actor, act: str, invitation_id: UUID, **after: object) -> None:
    audit.record(session, act, "invitation", invitation_id, actor=actor, after=after or None)


def _why_spent(session: Session, token: str) -> str:
    invitation = invitations_db.find_by_token(session, digest(token))
    if invitation is None:
        return (
            "This invitation is not complete, or a newer one has replaced it. "
            "Use the newest mail, or ask your academy to send it again."
        )
    if invitation.accepted_at is not None:
        return (
            "This invitation has been accepted already. "
            "Enter your mail address on the sign-in page to get in."
        )
    if invitation.revoked_at is not None:
        return "The academy has withdrawn this invitation. Ask them if that is a mistake."
    return "This invitation has expired. Ask your academy to send it again."
