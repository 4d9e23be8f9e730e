"""Nothing of a student is processed or shown any more: consent was withdrawn, or an erasure confirmed.

One transaction: reviews that are open close, clips are measured no further, uploads end, and coaches and
office see nothing of the student from the commit on. What was answered stays with the student and guardian.
"""

from datetime import datetime
from uuid import UUID

from sqlalchemy import Select, select, update
from sqlalchemy.orm import Session

from api.db.audit import record
from api.db.base import utc_now
from api.db.models import Clip, Job, Review, Submission
from api.db.profiles import profile_to_change
from api.db.submissions import end_unfinished_uploads, lock_submission, move_submission
from api.domain.states import JobState, ReviewState, SubmissionState
from api.domain.tasks import TaskName

CONSENT, ERASURE = "consent", "erasure"
WHY_WITHDRAWN = {
    CONSENT: "Ended, because consent was withdrawn. Nothing of it is measured or shown to a coach.",
    ERASURE: "Ended, because the data is being erased.",
}
_ENDED = frozenset({SubmissionState.WITHDRAWN, SubmissionState.ANSWERED})


def stop_student(session: Session, student_id: UUID, because: str, now: datetime) -> None:
    """Stop everything. ``because``: ``CONSENT`` or ``ERASURE``; the weightier one stays. Harmless to repeat."""
    profile = profile_to_change(session, student_id)
    if profile.stopped_at is None:
        profile.stopped_at = now
    if profile.stopped_because != ERASURE:
        profile.stopped_because = because
    session.flush()
    theirs = session.scalars(
        select(Submission.id).where(Submission.student_id == student_id).order_by(Submission.id)
    ).all()
    for submission_id in theirs:
        _stop_submission(session, submission_id, because)
    session.flush()


def let_go_on(session: Session, student_id: UUID) -> None:
    """Consent was given again, or an erasure called back: what is sent from now on is taken. Nothing ended reopens."""
    profile = profile_to_change(session, student_id)
    profile.stopped_at = None
    profile.stopped_because = ""
    session.flush()


def _stop_submission(session: Session, submission_id: UUID, because: str) -> None:
    _close_reviews(session, submission_id)
    submission = lock_submission(session, submission_id)
    _close_reviews(session, submission_id)  # one that opened while we waited for the lock
    old = SubmissionState(submission.state)
    _end_measuring(session, submission_id)
    end_unfinished_uploads(session, submission_id)
    if old in _ENDED:
        return
    move_submission(submission, SubmissionState.WITHDRAWN, WHY_WITHDRAWN[because])
    record(
        session,
        "submission.stopped",
        "submission",
        submission_id,
        academy_id=submission.academy_id,
        before={"state": old.value},
        after={"state": submission.state, "because": because},
    )


def _close_reviews(session: Session, submission_id: UUID) -> None:
    """Open ones close, whoever holds them; a correction is put aside and the answer goes on standing."""
    of_it = Review.submission_id == submission_id
    session.execute(
        update(Review)
        .where(of_it, Review.state == ReviewState.CLAIMED, Review.amends_number.is_not(None))
        .values(state=ReviewState.ANSWERED.value, lease_ends_at=None, version=Review.version + 1)
        .execution_options(synchronize_session=False)
    )
    session.execute(
        update(Review)
        .where(
            of_it,
            Review.state.in_([ReviewState.WAITING.value, ReviewState.CLAIMED.value]),
            Review.amends_number.is_(None),
        )
        .values(state=ReviewState.CLOSED.value, lease_ends_at=None, version=Review.version + 1)
        .execution_options(synchronize_session=False)
    )


def _end_measuring(session: Session, submission_id: UUID) -> None:
    clips = select(Clip.id).where(Clip.submission_id == submission_id)
    end_jobs(session, TaskName.ANALYSE_CLIP, clips)


def end_jobs(session: Session, name: TaskName, subjects: Select[UUID]) -> None:
    """Take jobs from whoever holds them: their fence has moved on, so nothing of theirs is kept."""
    session.execute(
        update(Job)
        .where(
            Job.name == name.value,
            Job.subject_id.in_(subjects),
            Job.state.in_([JobState.QUEUED.value, JobState.RUNNING.value]),
        )
        .values(
            state=JobState.REFUSED.value,
            lease_ends_at=None,
            fence=Job.fence + 1,
            finished_at=utc_now(),
            last_error="not wanted any more",
        )
        .execution_options(synchronize_session=False)
    )
