"""Submissions: who may see which, and the moves that several parts of the service make."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from uuid import UUID

from sqlalchemy import ColumnElement, Select, exists, select, true, update
from sqlalchemy.orm import Session

from api.db.base import utc_now
from api.db.models import Clip, Review, Submission, Upload
from api.db.profiles import children_of, stopped_students
from api.db.second_reads import IS_MAIN, out_of_sight
from api.domain.actors import Actor
from api.domain.errors import Conflict, NotFound
from api.domain.names import Role
from api.domain.states import (
    OPEN_REVIEW_STATES,
    ClipState,
    ReviewState,
    SubmissionState,
    UploadState,
    submission_may_move,
)

SILENT_AFTER = timedelta(minutes=15)
"""An upload that has not gone on for this long keeps a measured clip from its coach no longer
(working value). It may still be finished until a coach takes the submission."""
NOT_THERE = "There is no such submission, or it is not yours to see."


def submissions_visible_to(actor: Actor) -> Select[Submission]:
    """Where every read of submissions starts: the actor's academy, and a student's own only."""
    return select(Submission).where(*seen_by(actor))


def seen_by(actor: Actor) -> list[ColumnElement[bool]]:
    """Of submissions: those that ``actor`` may see.

    A guardian sees those of their children. Coaches and office see none of who is stopped
    (``api.db.stopping``), and a coach who reads beside an answer sees it only as that read shows it.
    """
    ours = Submission.academy_id == actor.academy_id
    if actor.role == Role.STUDENT:
        return [ours, Submission.student_id == actor.membership_id]
    if actor.role == Role.GUARDIAN:
        return [ours, Submission.student_id.in_(children_of(actor.membership_id))]
    going = Submission.student_id.not_in(stopped_students())
    if actor.role == Role.COACH:
        return [ours, going, Submission.id.not_in(out_of_sight(actor))]
    return [ours, going]


def submission_for(session: Session, actor: Actor, submission_id: UUID) -> Submission:
    """One submission as ``actor`` may see it, else ``NotFound``."""
    row = session.scalars(
        submissions_visible_to(actor).where(Submission.id == submission_id)
    ).one_or_none()
    if row is None:
        raise NotFound(NOT_THERE)
    return row


def page_of_submissions(
    session: Session, actor: Actor, *, before: UUID | None, limit: int
) -> Sequence[Submission]:
    """What ``actor`` may see, newest first, older than ``before``."""
    rows = submissions_visible_to(actor)
    if before is not None:
        rows = rows.where(Submission.id < before)
    return session.scalars(rows.order_by(Submission.id.desc()).limit(limit)).all()


def earlier_submissions(
    session: Session, submission: Submission, *, limit: int
) -> Sequence[Submission]:
    """The same student's clips of the same kind from before, newest first; none that was withdrawn."""
    return session.scalars(
        select(Submission)
        .where(
            Submission.academy_id == submission.academy_id,
            Submission.student_id == submission.student_id,
            Submission.purpose == submission.purpose,
            Submission.state != SubmissionState.WITHDRAWN,
            Submission.id < submission.id,
        )
        .order_by(Submission.id.desc())
        .limit(limit)
    ).all()


def lock_submission(session: Session, submission_id: UUID) -> Submission:
    """Read a submission afresh and keep others from moving it until this transaction ends."""
    return session.scalars(
        select(Submission)
        .where(Submission.id == submission_id)
        .with_for_update(of=Submission)
        .execution_options(populate_existing=True)
    ).one()


def move_submission(submission: Submission, new: SubmissionState, reason: str = "") -> None:
    """Change the state, along the allowed moves only. Raises ``Conflict``."""
    old = SubmissionState(submission.state)
    if not submission_may_move(old, new):
        raise Conflict(f"A submission that is {STATE_WORDS[old].lower()} cannot do that.")
    submission.state = new.value
    submission.state_reason = reason


def end_unfinished_uploads(
    session: Session, submission_id: UUID, which: ColumnElement[bool] | None = None
) -> None:
    """Cancel uploads that have not become clips; the sweeper deletes their bytes."""
    session.execute(
        update(Upload)
        .where(
            Upload.submission_id == submission_id,
            Upload.state == UploadState.RECEIVING,
            true() if which is None else which,
        )
        .values(state=UploadState.CANCELLED.value)
    )


def being_measured(session: Session, submission_id: UUID) -> bool:
    """Whether a clip of the submission has arrived and is not measured, refused or given up."""
    return any(clip.state == ClipState.RECEIVED for clip in _current_clips(session, submission_id))


STATE_WORDS: dict[SubmissionState, str] = {
    SubmissionState.RECEIVING: "Waiting for your clip",
    SubmissionState.ANALYSING: "Being measured",
    SubmissionState.WAITING: "Waiting for a coach",
    SubmissionState.WITH_COACH: "With a coach",
    SubmissionState.ANSWERED: "Answered",
    SubmissionState.REFILM_ASKED: "To be filmed again",
    SubmissionState.WITHDRAWN: "Withdrawn",
    SubmissionState.UNREADABLE: "Not readable",
}


def due_after(received_at: datetime, promise_hours: int) -> datetime:
    """When the answer is due: clock hours from the arrival of the clip."""
    return received_at + timedelta(hours=promise_hours)


def settle_submission(session: Session, submission_id: UUID) -> SubmissionState:
    """Move a submission on when nothing of it is still being worked on. Harmless to repeat.

    Call it in the transaction that ended something (a clip measured, refused or failed; an upload
    cancelled or expired), after flushing that change. Every current clip refused: ``unreadable``,
    and the student films again. Otherwise a review opens, even where measuring failed: a coach
    sees what the machine cannot. While a second file is still arriving nothing moves, unless it has
    been silent for ``SILENT_AFTER``.

    The submission's row is locked first: of two workers that finish its two clips at once, the
    later one sees both done.
    """
    session.flush()
    submission = lock_submission(session, submission_id)
    state = SubmissionState(submission.state)
    clips = _current_clips(session, submission_id)
    if state is not SubmissionState.ANALYSING or _still_busy(session, submission_id, clips):
        return state
    refused = [clip for clip in clips if clip.state == ClipState.REFUSED]
    if len(refused) == len(clips):
        move_submission(submission, SubmissionState.UNREADABLE, refused[-1].refusal_message or "")
    else:
        move_submission(submission, SubmissionState.WAITING)
        _open_review(session, submission)
    session.flush()
    return SubmissionState(submission.state)


def _current_clips(session: Session, submission_id: UUID) -> list[Clip]:
    return list(
        session.scalars(
            select(Clip)
            .where(Clip.submission_id == submission_id, Clip.replaced_at.is_(None))
            .order_by(Clip.id)
            .execution_options(populate_existing=True)
        )
    )


def _still_busy(session: Session, submission_id: UUID, clips: list[Clip]) -> bool:
    if not clips or any(clip.state == ClipState.RECEIVED for clip in clips):
        return True
    arriving = exists().where(
        Upload.submission_id == submission_id,
        Upload.state == UploadState.RECEIVING,
        Upload.heard_at > utc_now() - SILENT_AFTER,
    )
    return bool(session.scalar(select(arriving)))


def _open_review(session: Session, submission: Submission) -> None:
    open_one = exists().where(
        Review.submission_id == submission.id, IS_MAIN, Review.state.in_(OPEN_REVIEW_STATES)
    )
    if session.scalar(select(open_one)) or submission.due_at is None:
        return
    session.add(
        Review(
            academy_id=submission.academy_id,
            submission_id=submission.id,
            state=ReviewState.WAITING,
            due_at=submission.due_at,
        )
    )
