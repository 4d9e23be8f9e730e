"""Target bands of a student's own: whose they are, and which are in force."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from sqlalchemy import Select, select, update
from sqlalchemy.orm import Session, aliased

from api.db.models import Membership, StudentBands, Submission
from api.db.profiles import children_of
from api.domain.actors import Actor
from api.domain.errors import NotFound
from api.domain.names import Role

EVERY_CLUB = ""


def bands_visible_to(actor: Actor) -> Select[StudentBands]:
    """Where every read for a person starts: those of the academy's students that are in force.

    A student sees their own, a guardian their children's.
    """
    student = aliased(Membership)
    rows = (
        select(StudentBands)
        .join(student, student.id == StudentBands.student_id)
        .where(student.academy_id == actor.academy_id, StudentBands.retired_at.is_(None))
    )
    if actor.role == Role.STUDENT:
        return rows.where(StudentBands.student_id == actor.membership_id)
    if actor.role == Role.GUARDIAN:
        return rows.where(StudentBands.student_id.in_(children_of(actor.membership_id)))
    return rows


def bands_of(session: Session, actor: Actor, student_id: UUID) -> Sequence[StudentBands]:
    """A student's own bands, those for every club first."""
    return session.scalars(
        bands_visible_to(actor)
        .where(StudentBands.student_id == student_id)
        .order_by(StudentBands.checkpoint, StudentBands.club_name)
    ).all()


def bands_for(session: Session, actor: Actor, student_id: UUID, bands_id: UUID) -> StudentBands:
    """One row of a student's, else ``NotFound``."""
    row = session.scalar(
        bands_visible_to(actor).where(
            StudentBands.id == bands_id, StudentBands.student_id == student_id
        )
    )
    if row is None:
        raise NotFound("This student has no such target of their own.")
    return row


def bands_in_force(session: Session, submission: Submission) -> dict[str, StudentBands]:
    """By checkpoint, the student's own bands for the submission's club; one for that club comes first."""
    rows = session.scalars(
        select(StudentBands)
        .where(
            StudentBands.student_id == submission.student_id,
            StudentBands.retired_at.is_(None),
            StudentBands.club_name.in_([EVERY_CLUB, submission.club_name or EVERY_CLUB]),
        )
        .order_by(StudentBands.club_name)  # empty sorts first, and the club's own goes over it
    )
    return {row.checkpoint: row for row in rows}


def lock_student(session: Session, student_id: UUID) -> None:
    """Make others who set this student's bands wait until the transaction ends.

    Rows that only point at the student (a drill that is being prescribed) do not wait.
    """
    session.execute(
        select(Membership.id).where(Membership.id == student_id).with_for_update(key_share=True)
    )


def retire_bands(
    session: Session, student_id: UUID, checkpoint: str, club_name: str, now: datetime
) -> UUID | None:
    """End what is in force for this checkpoint and club; the row stays. Returns its id."""
    return session.scalar(
        update(StudentBands)
        .where(
            StudentBands.student_id == student_id,
            StudentBands.checkpoint == checkpoint,
            StudentBands.club_name == club_name,
            StudentBands.retired_at.is_(None),
        )
        .values(retired_at=now)
        .returning(StudentBands.id)
    )


def clubs_filmed(session: Session, student_id: UUID) -> list[str]:
    """Names of the clubs that the student has sent clips of, as submissions keep them."""
    names = session.scalars(
        select(Submission.club_name)
        .where(Submission.student_id == student_id, Submission.club_name.is_not(None))
        .distinct()
        .order_by(Submission.club_name)
    )
    return [name for name in names if name is not None]
