"""Second opinions: ask a colleague, read what they committed; and committing a read beside an answer."""

from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse

from api.db.reviews import review_for
from api.db.second_reads import colleagues_of
from api.domain.actors import Scope
from api.http.deps import CurrentCoach, DbSession, needs
from api.http.idempotency import IdempotencyKeyHeader, answer_once
from api.http.problems import problems
from api.http.reviews import CoachDesk, etag_of_body
from api.http.schemas.opinions import OpinionRead, QuestionSent
from api.http.schemas.reviews import ReviewRead
from api.http.schemas.submissions import PersonNamed
from api.http.showing import Showing
from api.http.showing_opinions import show_opinion
from api.http.showing_reviews import show_review
from api.http.versions import MadeFrom
from api.services import opinions as opinions_service
from api.services.commits import commit_read

router = APIRouter(tags=["reviews"])

_REVIEW = "/reviews/{review_id}"
_OPINIONS = f"{_REVIEW}/opinions"
_READS = [needs(Scope.REVIEWS_READ)]
_WRITES = [needs(Scope.REVIEWS_WRITE)]


@router.get("/colleagues", dependencies=_READS)
def list_colleagues(session: DbSession, actor: CurrentCoach) -> list[PersonNamed]:
    """The academy's other coaches, who may be asked."""
    return [
        PersonNamed(id=member.id, name=member.person.name)
        for member in colleagues_of(session, actor)
    ]


@router.get(_OPINIONS, responses=problems(404), dependencies=_READS)
def list_opinions(review_id: UUID, session: DbSession, actor: CurrentCoach) -> list[OpinionRead]:
    """What colleagues were asked about a review, the newest first, for who has to do with it. No student sees any of it."""
    review = review_for(session, actor, review_id)
    found = opinions_service.opinions_for(session, actor, review)
    return [show_opinion(session, one) for one in found]


@router.post(
    _OPINIONS,
    status_code=201,
    response_model=OpinionRead,
    responses=problems(404, 409),
    dependencies=_WRITES,
)
def ask_opinion(
    review_id: UUID,
    request: Request,
    sent: QuestionSent,
    desk: CoachDesk,
    key: IdempotencyKeyHeader = None,
) -> JSONResponse:
    """Ask a colleague about a review that the caller holds. The answer can be sent without waiting for it."""

    def make() -> OpinionRead:
        asked = opinions_service.ask_opinion(desk, review_id, sent.words, sent.of)
        return show_opinion(desk.session, asked)

    return answer_once(request, desk.session, desk.actor, key, sent, 201, make)


@router.delete(
    f"{_OPINIONS}/{{opinion_id}}",
    status_code=204,
    responses=problems(404, 409),
    dependencies=_WRITES,
)
def withdraw_question(review_id: UUID, opinion_id: UUID, desk: CoachDesk) -> None:
    """Take a question back that has not been answered."""
    opinions_service.withdraw_question(desk, review_id, opinion_id)


@router.post(
    f"{_REVIEW}/commit",
    response_model=ReviewRead,
    responses=problems(404, 409, 412, 428),
    dependencies=_WRITES,
)
def commit_review(
    review_id: UUID,
    request: Request,
    desk: CoachDesk,
    made_from: MadeFrom,
    showing: Showing,
    key: IdempotencyKeyHeader = None,
) -> JSONResponse:
    """Let a second opinion or a blind read stand as it is: for the colleague who asked, or for the figures alone."""

    def make() -> ReviewRead:
        review = commit_read(desk, review_id, made_from)
        return show_review(desk.session, desk.actor, review, showing)

    return answer_once(
        request, desk.session, desk.actor, key, None, 200, make, etag_of=etag_of_body
    )
