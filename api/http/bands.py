"""Target bands that coaches set for single students."""

from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse

from api.db.base import utc_now
from api.domain.actors import Scope
from api.http.deps import CoachOrAdmin, CurrentCoach, DbSession, needs
from api.http.idempotency import IdempotencyKeyHeader, answer_once
from api.http.problems import problems
from api.http.schemas.bands import BandsRead, BandsSent
from api.services import bands as bands_service
from api.services.bands import NewBands

router = APIRouter(tags=["bands"])

_BANDS = "/people/{membership_id}/bands"


@router.get(_BANDS, responses=problems(404), dependencies=[needs(Scope.REVIEWS_READ)])
def list_bands(membership_id: UUID, session: DbSession, actor: CoachOrAdmin) -> list[BandsRead]:
    """A student's own targets; every other number is held against the usual bands."""
    rows = bands_service.list_bands(session, actor, membership_id)
    return [BandsRead.of(row) for row in rows]


@router.post(
    _BANDS,
    status_code=201,
    response_model=BandsRead,
    responses=problems(404),
    dependencies=[needs(Scope.REVIEWS_WRITE)],
)
def set_bands(
    membership_id: UUID,
    request: Request,
    session: DbSession,
    actor: CurrentCoach,
    sent: BandsSent,
    key: IdempotencyKeyHeader = None,
) -> JSONResponse:
    """Set a target for a student, in the place of the one there was for that number and club.

    It counts as a change of the student's open reviews; answers that were sent keep what they said.
    """
    limits = (sent.watch_low, sent.good_low, sent.good_high, sent.watch_high)
    new = NewBands(sent.checkpoint, sent.club, limits, sent.reason)

    def make() -> BandsRead:
        return BandsRead.of(bands_service.set_bands(session, actor, membership_id, new, utc_now()))

    return answer_once(request, session, actor, key, sent, 201, make)


@router.delete(
    f"{_BANDS}/{{bands_id}}",
    status_code=204,
    responses=problems(404),
    dependencies=[needs(Scope.REVIEWS_WRITE)],
)
def remove_bands(
    membership_id: UUID, bands_id: UUID, session: DbSession, actor: CurrentCoach
) -> None:
    """Go back to the usual bands."""
    bands_service.remove_bands(session, actor, membership_id, bands_id, utc_now())
