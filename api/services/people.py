"""People of an academy: the list, closing and opening places, and one's own profile."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from sqlalchemy.orm import Session

from api.db import audit
from api.db import people as people_db
from api.db import sign_in as sign_in_db
from api.db import tokens as tokens_db
from api.db.models import Membership, Person
from api.db.profiles import profiles_of
from api.domain.actors import Actor
from api.domain.errors import Conflict
from api.domain.names import Hand, Role


def list_people(
    session: Session, actor: Actor, *, role: Role | None, after_id: UUID | None, limit: int
) -> Sequence[Membership]:
    """One page of the people ``actor`` may see."""
    return people_db.page_of_people(session, actor, role=role, after_id=after_id, limit=limit)


def children_among(session: Session, members: Sequence[Membership]) -> set[UUID]:
    """Which of them are children."""
    profiles = profiles_of(session, [member.id for member in members])
    return {id_ for id_, profile in profiles.items() if profile.child}


def deactivate(session: Session, actor: Actor, membership_id: UUID, now: datetime) -> Membership:
    """Close a place: its browsers are signed out and its tokens end. What it did stays.

    Doing it twice is harmless. Raises ``Conflict`` (``last_admin``) for the academy's last admin.
    """
    people_db.lock_academy(session, actor.academy_id)
    member = people_db.member_for(session, actor, membership_id)
    session.refresh(member)
    if member.deactivated_at is not None:
        return member
    if (
        member.role == Role.ADMIN.value
        and people_db.count_active_admins(session, actor.academy_id) == 1
    ):
        raise Conflict(
            "This is the academy's last admin. Invite another admin first.", code="last_admin"
        )
    people_db.close_membership(session, member, now)
    sign_in_db.end_sessions_of(session, member.id, now)
    tokens_db.revoke_all_tokens(session, member.id, now)
    audit.record(session, "membership.closed", "membership", member.id, actor=actor)
    return member


def reactivate(session: Session, actor: Actor, membership_id: UUID) -> Membership:
    """Open a closed place again. Old sessions and tokens stay ended."""
    people_db.lock_academy(session, actor.academy_id)
    member = people_db.member_for(session, actor, membership_id)
    session.refresh(member)
    if member.deactivated_at is not None:
        people_db.reopen_membership(session, member)
        audit.record(session, "membership.opened", "membership", member.id, actor=actor)
    return member


def own_person(session: Session, actor: Actor) -> Person:
    """The person behind the membership."""
    return session.get_one(Person, actor.person_id)


def own_places(session: Session, actor: Actor) -> Sequence[Membership]:
    """The person's open places in all academies."""
    return people_db.active_memberships(session, actor.person_id)


def update_profile(
    session: Session,
    actor: Actor,
    *,
    name: str | None = None,
    handed: Hand | None = None,
    stature_m: float | None = None,
    clear_stature: bool = False,
    language: str | None = None,
    clear_language: bool = False,
) -> Person:
    """Change what the person says about themself; None leaves a value as it is.

    ``language``: a tag in its one written form (``api.domain.languages``).
    """
    person = own_person(session, actor)
    if name is not None:
        person.name = name
    if handed is not None:
        person.handed = handed.value
    if stature_m is not None or clear_stature:
        person.stature_m = stature_m
    if language is not None or clear_language:
        person.language = language
    session.flush()
    audit.record(session, "person.changed", "person", person.id, actor=actor)
    return person
