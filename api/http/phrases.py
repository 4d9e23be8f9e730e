"""Words that coaches keep for their answers."""

from uuid import UUID

from fastapi import APIRouter, Request, Response
from fastapi.responses import JSONResponse

from api.db.base import utc_now
from api.domain.actors import Scope
from api.http.deps import CurrentCoach, DbSession, needs
from api.http.idempotency import IdempotencyKeyHeader, answer_once
from api.http.problems import problems
from api.http.schemas.phrases import PhraseRead, PhraseSent
from api.http.versions import MadeFrom, etag
from api.services import phrases as phrases_service
from api.services.phrases import PhraseWords

router = APIRouter(tags=["phrases"])

_PHRASE = "/phrases/{phrase_id}"
_READS = [needs(Scope.REVIEWS_READ)]
_WRITES = [needs(Scope.REVIEWS_WRITE)]


@router.get("/phrases", dependencies=_READS)
def list_phrases(session: DbSession, actor: CurrentCoach) -> list[PhraseRead]:
    """One's own phrases, then the academy's, each shelf by name."""
    return [PhraseRead.of(row) for row in phrases_service.list_phrases(session, actor)]


@router.post(
    "/phrases",
    status_code=201,
    response_model=PhraseRead,
    responses=problems(409),
    dependencies=_WRITES,
)
def add_phrase(
    request: Request,
    session: DbSession,
    actor: CurrentCoach,
    sent: PhraseSent,
    key: IdempotencyKeyHeader = None,
) -> JSONResponse:
    """Keep a phrase, for oneself or for every coach of the academy."""

    def make() -> PhraseRead:
        return PhraseRead.of(phrases_service.add_phrase(session, actor, _words(sent)))

    return answer_once(request, session, actor, key, sent, 201, make)


@router.put(_PHRASE, responses=problems(404, 409, 412, 428), dependencies=_WRITES)
def change_phrase(
    phrase_id: UUID,
    sent: PhraseSent,
    session: DbSession,
    actor: CurrentCoach,
    made_from: MadeFrom,
    response: Response,
) -> PhraseRead:
    """Put other words in its place, or share it, or take it back as one's own."""
    row = phrases_service.change_phrase(session, actor, phrase_id, made_from, _words(sent))
    response.headers["ETag"] = etag(row.version)
    return PhraseRead.of(row)


@router.delete(_PHRASE, status_code=204, responses=problems(404), dependencies=_WRITES)
def remove_phrase(phrase_id: UUID, session: DbSession, actor: CurrentCoach) -> None:
    """Take a phrase away; answers that used it keep their words."""
    phrases_service.remove_phrase(session, actor, phrase_id, utc_now())


def _words(sent: PhraseSent) -> PhraseWords:
    return PhraseWords(sent.name, sent.body, sent.shared)
