"""Today's drills, what was ticked of them, and how the week goes."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from api.db import practice as practice_db
from api.db.answers import drills_of
from api.db.audit import record
from api.db.models import Academy, DrillAssignment
from api.db.people import NOT_THERE, member_for, student_acted_as
from api.domain.actors import Actor
from api.domain.errors import NotFound
from api.domain.names import Role
from api.domain.practice import Practised, check_day, this_week, weeks_kept_up

LOOKS_BACK = timedelta(weeks=26)


@dataclass(frozen=True, slots=True)
class Practising:
    """Who asks, and when."""

    session: Session
    actor: Actor
    now: datetime


def practice_of(asked: Practising, student_id: UUID) -> dict[str, Any]:
    """The drills of the student's newest answer with what was ticked; none where there is no answer yet.

    Raises ``NotFound`` for who is no student that the actor may see.
    """
    student = member_for(asked.session, asked.actor, student_id)
    if student.role != Role.STUDENT:
        raise NotFound(NOT_THERE)
    today = _today(asked)
    answer = practice_db.newest_answer(asked.session, asked.actor, student)
    if answer is None:
        return {"today": today, "answer": None, "drills": []}
    given = drills_of(asked.session, answer)
    days = practice_db.days_of(asked.session, given, since=today - LOOKS_BACK)
    texts = {one["drill_id"]: one for one in answer.content["drills"]}
    return {
        "today": today,
        "answer": {
            "submission_id": answer.submission_id,
            "sent_at": answer.first_sent_at,
            "coach_name": answer.content["coach_name"],
        },
        "drills": [
            _drill(one, texts[one.drill], days.get(one.id, []), today)
            for one in given
            if one.drill in texts
        ],
    }


def _drill(
    given: DrillAssignment, text: dict[str, Any], days: list[Practised], today: date
) -> dict[str, Any]:
    done = {one.day for one in days if one.sets_done > 0}
    asked = given.dose.get("days_per_week", 7)
    week = this_week(done, today, asked)
    return {
        "assignment_id": given.id,
        "drill": text,
        "days": days,
        "week_done": week.done,
        "week_asked": week.asked,
        "weeks_kept_up": weeks_kept_up(done, today, asked),
    }


def tick(asked: Practising, student_id: UUID, assignment_id: UUID, told: Practised) -> None:
    """Keep what the student did of a drill on a day. Told again, it is replaced.

    Raises ``NotFound`` for a drill that is not theirs or no longer holds, ``Invalid`` for a day that cannot be.
    """
    given = _own(asked, student_id, assignment_id)
    check_day(told.day, given=_in_zone(asked, given.created_at), today=_today(asked))
    practice_db.tell_day(asked.session, given, told)
    if told.hurt:
        # A coach must be able to answer for what was known and when; the words themselves are not copied.
        record(asked.session, "practice.hurt", "drill_assignment", given.id, actor=asked.actor)


def untick(asked: Practising, student_id: UUID, assignment_id: UUID, day: date) -> None:
    """Take back what was told of a day. Raises ``NotFound`` like ``tick``."""
    practice_db.forget_day(asked.session, _own(asked, student_id, assignment_id), day)


def _own(asked: Practising, student_id: UUID, assignment_id: UUID) -> DrillAssignment:
    student = student_acted_as(asked.session, asked.actor, student_id)
    return practice_db.given_drill(asked.session, student, assignment_id)


def _today(asked: Practising) -> date:
    return _in_zone(asked, asked.now)


def _in_zone(asked: Practising, moment: datetime) -> date:
    zone = asked.session.get_one(Academy, asked.actor.academy_id).time_zone
    return moment.astimezone(ZoneInfo(zone)).date()
