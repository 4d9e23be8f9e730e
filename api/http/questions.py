"""One question back about an answer: asked by the student, replied to by a coach."""

from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends, Request
from fastapi.responses import JSONResponse

from api.db.base import utc_now
from api.db.looks import note_look
from api.domain.actors import Scope
from api.http.deps import (
    AppSettings,
    CurrentCoach,
    CurrentMember,
    DbSession,
    StudentOrGuardian,
    needs,
)
from api.http.idempotency import IdempotencyKeyHeader, answer_once
from api.http.problems import problems
from api.http.schemas.questions import AskedBackFound, AskedBackRead, AskedBackSent
from api.services import questions as questions_service
from api.services.questions import Asking

router = APIRouter(tags=["questions"])

_ABOUT = "/submissions/{submission_id}/question"


def _asking(session: DbSession, actor: CurrentMember) -> Asking:
    return Asking(session, actor, utc_now())


@router.get(_ABOUT, responses=problems(404), dependencies=[needs(Scope.CLIPS_READ)])
def read_question(
    submission_id: UUID, asking: Annotated[Asking, Depends(_asking)]
) -> AskedBackFound:
    """What the student asked about the answer, and the reply."""
    found = questions_service.about(asking, submission_id)
    note_look(asking.session, asking.actor, submission_id)
    return AskedBackFound(question=None if found is None else AskedBackRead.of(found))


@router.post(
    _ABOUT,
    status_code=201,
    response_model=AskedBackRead,
    responses=problems(404, 409),
    dependencies=[needs(Scope.CLIPS_WRITE)],
)
def ask_question(
    submission_id: UUID,
    request: Request,
    session: DbSession,
    actor: StudentOrGuardian,
    sent: AskedBackSent,
    key: IdempotencyKeyHeader = None,
) -> JSONResponse:
    """Ask one question about an answer, as the student or for a child. It is free, and there is one for each answer."""

    def make() -> AskedBackRead:
        asking = Asking(session, actor, utc_now())
        return AskedBackRead.of(questions_service.ask(asking, submission_id, sent.text))

    return answer_once(request, session, actor, key, sent, 201, make)


@router.get("/questions", dependencies=[needs(Scope.REVIEWS_READ)])
def list_questions(session: DbSession, actor: CurrentCoach) -> list[AskedBackRead]:
    """What waits for a reply, the oldest first; two hundred at most."""
    return [
        AskedBackRead.of(row)
        for row in questions_service.waiting(Asking(session, actor, utc_now()))
    ]


@router.post(
    "/questions/{question_id}/reply",
    response_model=AskedBackRead,
    responses=problems(404, 409),
    dependencies=[needs(Scope.REVIEWS_WRITE)],
)
def reply_to_question(
    question_id: UUID,
    request: Request,
    session: DbSession,
    actor: CurrentCoach,
    sent: AskedBackSent,
    settings: AppSettings,
    key: IdempotencyKeyHeader = None,
) -> JSONResponse:
    """Reply, once. The student is told by mail that there is a reply."""

    def make() -> AskedBackRead:
        asking = Asking(session, actor, utc_now())
        replied = questions_service.reply(asking, question_id, sent.text, settings.base_url)
        return AskedBackRead.of(replied)

    return answer_once(request, session, actor, key, sent, 200, make)
