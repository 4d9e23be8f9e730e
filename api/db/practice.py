"""What students ticked off of the drills they were given."""

from collections.abc import Sequence
from datetime import date
from uuid import UUID

from sqlalchemy import delete, select
from sqlalchemy.dialects.postgresql import insert as postgresql_insert
from sqlalchemy.dialects.sqlite import insert as sqlite_insert
from sqlalchemy.orm import Session

from api.db.answers import stands
from api.db.models import Answer, DrillAssignment, Membership, PracticeDay, Submission
from api.domain.actors import Actor
from api.domain.errors import NotFound
from api.domain.ids import new_id
from api.domain.practice import Practised

NOT_GIVEN = "This drill is not one of yours any more."


def newest_answer(session: Session, actor: Actor, student: Membership) -> Answer | None:
    """The standing answer that the student was sent last; a correction counts from the one it corrects."""
    return session.scalars(
        select(Answer)
        .join(Submission, Submission.id == Answer.submission_id)
        .where(
            Submission.academy_id == actor.academy_id,
            Submission.student_id == student.id,
            stands(),
        )
        .order_by(Answer.first_sent_at.desc(), Answer.id.desc())
        .limit(1)
    ).one_or_none()


def given_drill(session: Session, student: Membership, assignment_id: UUID) -> DrillAssignment:
    """A drill of a student's that still holds, else ``NotFound``."""
    row = session.scalars(
        select(DrillAssignment).where(
            DrillAssignment.id == assignment_id,
            DrillAssignment.student_id == student.id,
            DrillAssignment.withdrawn_at.is_(None),
        )
    ).one_or_none()
    if row is None:
        raise NotFound(NOT_GIVEN)
    return row


def days_of(
    session: Session, given: Sequence[DrillAssignment], *, since: date
) -> dict[UUID, list[Practised]]:
    """By drill given, the days on which it was ticked, oldest first.

    Days under an earlier answer that gave the same student the same drill count too: what was kept up does not begin anew
    with every answer. Where a day was told under both, what was told under this one stands.
    """
    mine = {(one.student_id, one.drill): one.id for one in given}
    rows = session.execute(
        select(PracticeDay, DrillAssignment.drill)
        .join(DrillAssignment, DrillAssignment.id == PracticeDay.assignment_id)
        .where(
            PracticeDay.student_id.in_({one.student_id for one in given}),
            DrillAssignment.drill.in_({one.drill for one in given}),
            PracticeDay.day >= since,
        )
        .order_by(PracticeDay.day, DrillAssignment.created_at, DrillAssignment.id)
    )
    found: dict[UUID, dict[date, Practised]] = {one.id: {} for one in given}
    own = {one.id for one in given}
    told_here: set[tuple[UUID, date]] = set()
    for row, drill in rows:
        assignment = mine.get((row.student_id, drill))
        if assignment is None or (assignment, row.day) in told_here:
            continue
        found[assignment][row.day] = Practised(row.day, row.sets_done, row.hurt, row.note)
        if row.assignment_id in own:
            told_here.add((assignment, row.day))
    return {assignment: list(days.values()) for assignment, days in found.items()}


def tell_day(session: Session, given: DrillAssignment, told: Practised) -> None:
    """Keep what was done on a day, in the place of what was told of it before."""
    insert = sqlite_insert if session.get_bind().dialect.name == "sqlite" else postgresql_insert
    said = {"sets_done": told.sets_done, "hurt": told.hurt, "note": told.note}
    row = insert(PracticeDay).values(
        id=new_id(),
        assignment_id=given.id,
        student_id=given.student_id,
        day=told.day,
        **said,
    )
    session.execute(
        row.on_conflict_do_update(index_elements=["assignment_id", "day"], set_=said),
        execution_options={"synchronize_session": False},
    )


def forget_day(session: Session, given: DrillAssignment, day: date) -> None:
    """Untick a day."""
    session.execute(
        delete(PracticeDay).where(PracticeDay.assignment_id == given.id, PracticeDay.day == day)
    )
