"""People and their places in academies. Who may see whom is decided here, once."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from sqlalchemy import Select, false, func, or_, select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from api.db.models import Academy, Membership, Person, Submission
from api.db.profiles import children_of
from api.db.second_reads import out_of_sight
from api.domain.actors import Actor
from api.domain.errors import Invalid, NotFound
from api.domain.names import Role

NOT_THERE = "There is no such person in your academy."


def people_visible_to(actor: Actor) -> Select[Membership]:
    """Where every read of an academy's people starts.

    An admin sees everybody of the academy, a coach its students and themself, a student themself, a guardian
    their children too. Whose clips a coach reads beside the answer is not there meanwhile: practice, progress and
    targets all tell of the answer.
    """
    rows = select(Membership).where(Membership.academy_id == actor.academy_id)
    if actor.role == Role.ADMIN:
        return rows
    if actor.role == Role.COACH:
        read = select(Submission.student_id).where(Submission.id.in_(out_of_sight(actor)))
        return rows.where(
            or_(Membership.role == Role.STUDENT.value, Membership.id == actor.membership_id),
            Membership.id.not_in(read),
        )
    if actor.role == Role.GUARDIAN:
        mine = Membership.id.in_(children_of(actor.membership_id))
        return rows.where(or_(mine, Membership.id == actor.membership_id))
    return rows.where(Membership.id == actor.membership_id)


def member_for(session: Session, actor: Actor, membership_id: UUID) -> Membership:
    """One membership as ``actor`` may see it, else ``NotFound``."""
    row = session.scalar(people_visible_to(actor).where(Membership.id == membership_id))
    if row is None:
        raise NotFound(NOT_THERE)
    return row


def page_of_people(
    session: Session,
    actor: Actor,
    *,
    role: Role | None,
    after_id: UUID | None,
    limit: int,
) -> Sequence[Membership]:
    """Memberships that ``actor`` may see, in the order they joined, later than ``after_id``."""
    rows = people_visible_to(actor)
    if role is not None:
        rows = rows.where(Membership.role == role.value)
    if after_id is not None:
        rows = rows.where(Membership.id > after_id)
    return session.scalars(rows.order_by(Membership.id).limit(limit)).all()


def active_memberships(session: Session, person_id: UUID) -> Sequence[Membership]:
    """A person's open places, oldest first."""
    return session.scalars(
        select(Membership)
        .where(Membership.person_id == person_id, Membership.deactivated_at.is_(None))
        .order_by(Membership.id)
    ).all()


def person_by_email(session: Session, email: str) -> Person | None:
    """The person with this address (in its stored form)."""
    return session.scalar(select(Person).where(Person.email == email))


def person_for_address(session: Session, email: str, name: str) -> Person:
    """The person with this address; made now when there is none, once even when asked twice."""
    found = person_by_email(session, email)
    if found is not None:
        return found
    person = Person(email=email, name=name)
    try:
        with session.begin_nested():
            session.add(person)
    except IntegrityError:  # somebody else made the same person a moment ago
        return session.scalars(select(Person).where(Person.email == email)).one()
    return person


def membership_of(
    session: Session, academy_id: UUID, person_id: UUID, role: Role
) -> Membership | None:
    """A person's place in an academy in one role, open or closed."""
    return session.scalar(
        select(Membership).where(
            Membership.academy_id == academy_id,
            Membership.person_id == person_id,
            Membership.role == role.value,
        )
    )


def lock_academy(session: Session, academy_id: UUID) -> None:
    """Make others who change this academy's people wait, until the transaction ends."""
    session.execute(select(Academy.id).where(Academy.id == academy_id).with_for_update())


def count_active_admins(session: Session, academy_id: UUID) -> int:
    """How many people can run the academy. Lock it first."""
    return session.scalars(
        select(func.count())
        .select_from(Membership)
        .where(
            Membership.academy_id == academy_id,
            Membership.role == Role.ADMIN.value,
            Membership.deactivated_at.is_(None),
        )
    ).one()


def close_membership(session: Session, member: Membership, now: datetime) -> None:
    """End a place in an academy; what it did stays."""
    member.deactivated_at = now
    session.flush()


def reopen_membership(session: Session, member: Membership) -> None:
    """Open a place again."""
    member.deactivated_at = None
    session.flush()


def places_visible_to(actor: Actor) -> Select[Membership]:
    """Whose consents, copies and erasures ``actor`` may look after.

    Oneself as a student or guardian, one's children as a guardian, every student as the office.
    """
    rows = select(Membership).where(Membership.academy_id == actor.academy_id)
    oneself = Membership.id == actor.membership_id
    if actor.role == Role.ADMIN:
        return rows.where(Membership.role == Role.STUDENT.value)
    if actor.role == Role.GUARDIAN:
        return rows.where(or_(oneself, Membership.id.in_(children_of(actor.membership_id))))
    return rows.where(oneself) if actor.role == Role.STUDENT else rows.where(false())


def acts_as(actor: Actor) -> Select[UUID]:
    """Memberships of the students as whom ``actor`` may send, tick and ask: themself, or each child of a guardian's.

    No place that has been closed, and nobody else's child.
    """
    rows = select(Membership.id).where(
        Membership.academy_id == actor.academy_id,
        Membership.role == Role.STUDENT.value,
        Membership.deactivated_at.is_(None),
    )
    if actor.role == Role.GUARDIAN:
        return rows.where(Membership.id.in_(children_of(actor.membership_id)))
    return rows.where(Membership.id == actor.membership_id)


def student_acted_as(session: Session, actor: Actor, student_id: UUID | None) -> Membership:
    """The student as whom ``actor`` acts. A student need not say it, a guardian says for which child.

    Raises ``Invalid`` (``which_child``) where a guardian does not, ``NotFound`` for who is not theirs.
    """
    if student_id is None and actor.role == Role.GUARDIAN:
        raise Invalid("Say for which child this is (student_id).", code="which_child")
    wanted = student_id or actor.membership_id
    row = session.scalar(
        select(Membership).where(Membership.id == wanted, Membership.id.in_(acts_as(actor)))
    )
    if row is None:
        raise NotFound(NOT_THERE)
    return row


def place_of(session: Session, actor: Actor, membership_id: UUID) -> Membership:
    """A place that ``actor`` looks after, else ``NotFound``."""
    row = session.scalar(places_visible_to(actor).where(Membership.id == membership_id))
    if row is None:
        raise NotFound(NOT_THERE)
    return row
