"""What students told on joining, and which of them are children or stopped."""

from collections.abc import Collection
from datetime import date, datetime, timedelta
from uuid import UUID

from sqlalchemy import ColumnElement, Select, exists, func, select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from api.db.audit import record
from api.db.models import Academy, Guardianship, Membership, StudentProfile, Submission
from api.domain.ages import Age, age_of, today_in
from api.domain.names import Role

_A_DAY = timedelta(days=1)


def profile_of(session: Session, membership_id: UUID) -> StudentProfile | None:
    """What a student told, if anything yet."""
    return session.scalars(
        select(StudentProfile).where(StudentProfile.membership_id == membership_id)
    ).one_or_none()


def profiles_of(session: Session, membership_ids: Collection[UUID]) -> dict[UUID, StudentProfile]:
    """Profiles by membership, of those who have one."""
    rows = session.scalars(
        select(StudentProfile).where(StudentProfile.membership_id.in_(membership_ids))
    )
    return {row.membership_id: row for row in rows}


def profile_to_change(session: Session, membership_id: UUID) -> StudentProfile:
    """The profile, locked until the transaction ends; made now where there is none."""
    query = (
        select(StudentProfile)
        .where(StudentProfile.membership_id == membership_id)
        .with_for_update()
        .execution_options(populate_existing=True)
    )
    found = session.scalars(query).one_or_none()
    if found is not None:
        return found
    try:
        with session.begin_nested():
            session.add(
                StudentProfile(
                    membership_id=membership_id,
                    child=False,
                    aims="",
                    to_know="",
                    seen_steps=[],
                    stopped_because="",
                )
            )
    except IntegrityError:  # another request made it a moment ago
        pass
    return session.scalars(query).one()


def age_at(
    session: Session, membership_id: UUID, profile: StudentProfile | None, now: datetime
) -> Age:
    """Whether a student is a child at their academy now, by its own limit and calendar."""
    if profile is None:
        return Age.UNKNOWN
    academy = session.get_one(Membership, membership_id).academy
    return _age(profile, academy, now)


def _age(profile: StudentProfile, academy: Academy, now: datetime) -> Age:
    return age_of(
        born_on=profile.born_on,
        said_adult=profile.said_adult_at is not None,
        called_child=profile.called_child_at is not None,
        limit=academy.age_limit,
        today=today_in(academy.time_zone, now),
    )


def is_stopped(session: Session, membership_id: UUID) -> bool:
    """Whether nothing of the student is processed or shown any more."""
    stopped = exists().where(
        StudentProfile.membership_id == membership_id, StudentProfile.stopped_at.is_not(None)
    )
    return bool(session.scalar(select(stopped)))


def stopped_students() -> Select[UUID]:
    """Students whose consent was withdrawn or who are being erased: hidden from coaches and office."""
    return select(StudentProfile.membership_id).where(StudentProfile.stopped_at.is_not(None))


def sent_by_a_child() -> ColumnElement[bool]:
    """Of a submission in the same query: whether a child sent it."""
    return exists().where(
        StudentProfile.membership_id == Submission.student_id, StudentProfile.child
    )


def come_of_age(session: Session, now: datetime) -> int:
    """Let those go who are no children any more; returns how many.

    Their guardian's part ends with the day in the academy's own zone, and their next clip needs their own
    consent. A child of whom the office knows no date stays one until somebody says otherwise.
    """
    lowest = session.scalar(select(func.min(Academy.age_limit)))
    if lowest is None:
        return 0
    rows = session.execute(
        select(StudentProfile, Academy)
        .join(Membership, Membership.id == StudentProfile.membership_id)
        .join(Academy, Academy.id == Membership.academy_id)
        .where(StudentProfile.child, StudentProfile.born_on <= _years_before(now, lowest))
    ).all()
    grown = 0
    for profile, academy in rows:
        called, profile.called_child_at = profile.called_child_at, None
        if _age(profile, academy, now) is not Age.ADULT:
            profile.called_child_at = called
            continue
        profile.child = False
        end_guardianship(session, profile.membership_id, now)
        record(
            session,
            "student.came_of_age",
            "membership",
            profile.membership_id,
            academy_id=academy.id,
        )
        grown += 1
    session.flush()
    return grown


def _years_before(now: datetime, years: int) -> date:
    """No later than any zone's date of so many years ago; a day more costs nothing."""
    tomorrow = (now + _A_DAY).date()
    return tomorrow.replace(year=tomorrow.year - years, day=min(tomorrow.day, 28)) + timedelta(
        days=4
    )


def look_at_ages_again(session: Session, academy: Academy, now: datetime) -> None:
    """After the academy's limit moved: who counts as a child now."""
    rows = session.scalars(
        select(StudentProfile)
        .join(Membership, Membership.id == StudentProfile.membership_id)
        .where(
            Membership.academy_id == academy.id,
            Membership.role == Role.STUDENT.value,
            StudentProfile.born_on.is_not(None),
        )
    )
    for profile in rows:
        profile.child = _age(profile, academy, now) is Age.CHILD
    session.flush()


def current_guardianship(session: Session, child_id: UUID) -> Guardianship | None:
    """Who answers for a child now, or was asked to."""
    return session.scalars(
        select(Guardianship)
        .where(Guardianship.child_id == child_id, Guardianship.ended_at.is_(None))
        .execution_options(populate_existing=True)
    ).one_or_none()


def children_of(guardian_id: UUID) -> Select[UUID]:
    """Memberships of the children whom a guardian answers for now."""
    return select(Guardianship.child_id).where(
        Guardianship.guardian_id == guardian_id,
        Guardianship.accepted_at.is_not(None),
        Guardianship.ended_at.is_(None),
    )


def end_guardianship(session: Session, child_id: UUID, now: datetime) -> Guardianship | None:
    """End it, link and all; ``None`` when there was none. Consents given under it count no more."""
    row = current_guardianship(session, child_id)
    if row is not None:
        row.ended_at = now
        row.token_sha256 = None
        session.flush()
    return row
