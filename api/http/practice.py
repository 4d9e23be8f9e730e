"""What a student practised: ticked by themself or their guardian, read by their coach too."""

from datetime import date
from typing import Annotated, Any
from uuid import UUID

from fastapi import APIRouter, Depends

from api.db.base import utc_now
from api.db.looks import note_look_at_student
from api.domain.actors import Scope
from api.domain.practice import Practised
from api.http.deps import CurrentMember, DbSession, StudentOrGuardian, needs
from api.http.problems import problems
from api.http.schemas.practice import PracticeRead, PractisedSent
from api.http.showing import drill_shown
from api.services import practice as practice_service
from api.services.practice import Practising

router = APIRouter(tags=["practice"])

_PRACTICE = "/people/{membership_id}/practice"
_DAY = f"{_PRACTICE}/{{assignment_id}}/{{day}}"


def _member(session: DbSession, actor: CurrentMember) -> Practising:
    return Practising(session, actor, utc_now())


def _student(session: DbSession, actor: StudentOrGuardian) -> Practising:
    return Practising(session, actor, utc_now())


def _shown(found: dict[str, Any]) -> PracticeRead:
    drills = [{**one, "drill": drill_shown(one["drill"])} for one in found["drills"]]
    return PracticeRead.model_validate({**found, "drills": drills})


@router.get(_PRACTICE, responses=problems(404), dependencies=[needs(Scope.CLIPS_READ)])
def read_practice(
    membership_id: UUID, asked: Annotated[Practising, Depends(_member)]
) -> PracticeRead:
    """The drills of a student's newest answer, and what they ticked. Students read their own."""
    found = practice_service.practice_of(asked, membership_id)
    note_look_at_student(asked.session, asked.actor, membership_id)
    return _shown(found)


@router.put(_DAY, responses=problems(404, 422), dependencies=[needs(Scope.CLIPS_WRITE)])
def tick_practice(
    membership_id: UUID,
    assignment_id: UUID,
    day: date,
    asked: Annotated[Practising, Depends(_student)],
    sent: PractisedSent,
) -> PracticeRead:
    """Tell what was done of a drill on a day. Told again, it takes the place of what was told before."""
    told = Practised(day, sent.sets_done, sent.hurt, sent.note.strip())
    practice_service.tick(asked, membership_id, assignment_id, told)
    return _shown(practice_service.practice_of(asked, membership_id))


@router.delete(_DAY, responses=problems(404), dependencies=[needs(Scope.CLIPS_WRITE)])
def untick_practice(
    membership_id: UUID,
    assignment_id: UUID,
    day: date,
    asked: Annotated[Practising, Depends(_student)],
) -> PracticeRead:
    """Take back what was told of a day."""
    practice_service.untick(asked, membership_id, assignment_id, day)
    return _shown(practice_service.practice_of(asked, membership_id))
