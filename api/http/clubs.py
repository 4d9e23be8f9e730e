"""A student's golf clubs."""

from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse

from api.db.base import utc_now
from api.domain.actors import Scope
from api.http.deps import CurrentStudent, DbSession, ForWhom, StudentOrGuardian, needs
from api.http.idempotency import IdempotencyKeyHeader, answer_once
from api.http.problems import problems
from api.http.schemas.clubs import ClubAdded, ClubRead
from api.services import clubs as clubs_service

router = APIRouter(tags=["clubs"])


@router.get("/clubs", responses=problems(404), dependencies=[needs(Scope.CLIPS_READ)])
def list_clubs(
    session: DbSession, actor: StudentOrGuardian, student_id: ForWhom = None
) -> list[ClubRead]:
    """One's own clubs, or those of a child one answers for; longest first."""
    rows = clubs_service.list_clubs(session, actor, student_id)
    return [ClubRead.model_validate(club) for club in rows]


@router.post(
    "/clubs",
    status_code=201,
    response_model=ClubRead,
    responses=problems(404, 409),
    dependencies=[needs(Scope.CLIPS_WRITE)],
)
def add_club(
    request: Request,
    session: DbSession,
    actor: StudentOrGuardian,
    sent: ClubAdded,
    key: IdempotencyKeyHeader = None,
) -> JSONResponse:
    """Put a club into the bag."""

    def make() -> ClubRead:
        club = clubs_service.add_club(
            session, actor, sent.student_id, name=sent.name, length_m=sent.length_m
        )
        return ClubRead.model_validate(club)

    return answer_once(request, session, actor, key, sent, 201, make)


@router.delete(
    "/clubs/{club_id}",
    status_code=204,
    responses=problems(404),
    dependencies=[needs(Scope.CLIPS_WRITE)],
)
def remove_club(club_id: UUID, session: DbSession, actor: CurrentStudent) -> None:
    """Take a club out of the bag. Clips filmed with it keep its name and length."""
    clubs_service.remove_club(session, actor, club_id, utc_now())
