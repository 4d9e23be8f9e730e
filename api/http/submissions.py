"""Submissions: start, list, read, withdraw."""

from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Query, Request
from fastapi.responses import JSONResponse

from api.db.clips import sent_before
from api.db.looks import note_look
from api.db.people import student_acted_as
from api.domain.actors import Scope
from api.domain.names import View
from api.http.deps import (
    CurrentMember,
    DbSession,
    ForWhom,
    PageSize,
    StudentOrGuardian,
    needs,
)
from api.http.idempotency import IdempotencyKeyHeader, answer_once
from api.http.problems import problems
from api.http.schemas.common import Page
from api.http.schemas.submissions import (
    SentBeforeRead,
    SentClipRead,
    SubmissionRead,
    SubmissionStarted,
)
from api.http.showing import Showing
from api.services import submissions as submissions_service

router = APIRouter(tags=["submissions"])

_SUBMISSION = "/submissions/{submission_id}"


@router.post(
    "/submissions",
    status_code=201,
    response_model=SubmissionRead,
    responses=problems(404),
    dependencies=[needs(Scope.CLIPS_WRITE)],
)
def start_submission(
    request: Request,
    session: DbSession,
    actor: StudentOrGuardian,
    sent: SubmissionStarted,
    showing: Showing,
    key: IdempotencyKeyHeader = None,
) -> JSONResponse:
    """Ask for an answer. The clips are sent to `/uploads` afterwards, one for each view."""

    def make() -> SubmissionRead:
        new = submissions_service.NewSubmission(
            club_id=sent.club_id,
            purpose=sent.purpose,
            with_ball=sent.with_ball,
            handed=sent.handed,
            note=sent.note,
            student_id=sent.student_id,
        )
        submission = submissions_service.create_submission(session, actor, new)
        return showing.one(session, actor, submission)

    return answer_once(request, session, actor, key, sent, 201, make)


@router.get("/clips/sent-before", responses=problems(404), dependencies=[needs(Scope.CLIPS_READ)])
def find_sent_before(
    session: DbSession,
    actor: StudentOrGuardian,
    length: Annotated[int, Query(ge=1, le=2**50, description="Bytes of the file.")],
    sha256: Annotated[str | None, Query(pattern="^[0-9a-f]{64}$")] = None,
    student_id: ForWhom = None,
) -> SentBeforeRead:
    """Whether a file was sent before, so that nobody pays or waits for the same swing twice.

    Ask with the length first: without a clip of that length there is no need to read the whole file for its hash.
    """
    student = student_acted_as(session, actor, student_id)
    clip = sent_before(session, student, length, sha256)
    if clip is None:
        return SentBeforeRead(same_length=False, sent=None)
    told = SentClipRead(
        submission_id=clip.submission_id, view=View(clip.view), received_at=clip.received_at
    )
    return SentBeforeRead(same_length=True, sent=None if sha256 is None else told)


@router.get("/submissions", dependencies=[needs(Scope.CLIPS_READ)])
def list_submissions(
    session: DbSession,
    actor: CurrentMember,
    showing: Showing,
    cursor: Annotated[UUID | None, Query(description="`next_cursor` of the page before.")] = None,
    limit: PageSize = 50,
) -> Page[SubmissionRead]:
    """One's own submissions, or the academy's for its coaches and admins; newest first."""
    rows = submissions_service.list_submissions(session, actor, before=cursor, limit=limit + 1)
    shown = rows[:limit]
    return Page(
        items=showing.many(session, actor, shown),
        next_cursor=shown[-1].id if len(rows) > limit else None,
    )


@router.get(_SUBMISSION, responses=problems(404), dependencies=[needs(Scope.CLIPS_READ)])
def read_submission(
    submission_id: UUID, session: DbSession, actor: CurrentMember, showing: Showing
) -> SubmissionRead:
    """Where a submission is, what was measured, and the answer once there is one."""
    submission = submissions_service.read_submission(session, actor, submission_id)
    note_look(session, actor, submission.id)
    return showing.one(session, actor, submission)


@router.post(
    f"{_SUBMISSION}/withdraw",
    responses=problems(404, 409),
    dependencies=[needs(Scope.CLIPS_WRITE)],
)
def withdraw_submission(
    submission_id: UUID, session: DbSession, actor: StudentOrGuardian, showing: Showing
) -> SubmissionRead:
    """Take a submission back before a coach takes it. Doing it twice is fine.

    What had arrived of unfinished uploads is deleted by the next sweep.
    """
    submission = submissions_service.withdraw_submission(session, actor, submission_id)
    return showing.one(session, actor, submission)
