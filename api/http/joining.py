"""A student's joining, step by step, and whom a child names as guardian."""

from uuid import UUID

from fastapi import APIRouter

from api.db.base import utc_now
from api.domain.actors import Scope
from api.domain.ages import Age, today_in, years_old
from api.domain.names import Role
from api.http.deps import AppSettings, CoachOrAdmin, CurrentStudent, DbSession, needs
from api.http.problems import problems
from api.http.schemas.joining import (
    GuardianNamed,
    GuardianRead,
    JoiningRead,
    ProfileSent,
    StudentProfileRead,
)
from api.services import guardians as guardians_service
from api.services import joining as joining_service
from api.services.joining import ProfileParts

router = APIRouter(tags=["joining"])


@router.get("/joining")
def read_joining(session: DbSession, actor: CurrentStudent) -> JoiningRead:
    """What one has told, what is left, and where consent stands."""
    return JoiningRead.of(joining_service.read_joining(session, actor, utc_now()))


@router.patch("/joining", responses=problems(409, 422))
def change_joining(session: DbSession, actor: CurrentStudent, sent: ProfileSent) -> JoiningRead:
    """Tell or change any part, in any order. A child cannot make themself an adult: ``age_fixed``."""
    parts = ProfileParts(**sent.model_dump(exclude_none=True))
    return JoiningRead.of(joining_service.change_joining(session, actor, parts, utc_now()))


@router.put("/joining/guardian", responses=problems(409, 422))
def name_guardian(
    session: DbSession, actor: CurrentStudent, settings: AppSettings, sent: GuardianNamed
) -> GuardianRead:
    """Name one's guardian, once: they get a mail. Only the office can name another."""
    row = guardians_service.name_guardian(
        session, settings, actor, name=sent.name, email=sent.email, now=utc_now()
    )
    return GuardianRead.of(row)


@router.get(
    "/people/{membership_id}/profile",
    responses=problems(404),
    dependencies=[needs(Scope.PEOPLE_READ)],
)
def read_profile(
    membership_id: UUID, session: DbSession, actor: CoachOrAdmin
) -> StudentProfileRead:
    """A student's aims, what a coach should know (for coaches alone), and whether this is a child."""
    now = utc_now()
    seen = joining_service.student_seen(session, actor, membership_id, now)
    born_on = None if seen.profile is None else seen.profile.born_on
    years = None
    if seen.standing.age is Age.CHILD and born_on is not None:
        years = years_old(born_on, today_in(seen.academy.time_zone, now))
    with_words = actor.role is Role.COACH
    return StudentProfileRead.of(membership_id, seen, years=years, with_words=with_words)
