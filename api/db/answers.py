"""Answers as they were sent, and the drills they prescribed."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from sqlalchemy import exists, func, select, update
from sqlalchemy.orm import Session

from api.db.clips import clips_visible_to
from api.db.models import Analysis, Answer, Clip, DrillAssignment, Review, Submission
from api.domain.actors import Actor
from api.domain.states import ReviewState


def standing_answer(session: Session, submission_id: UUID) -> Answer | None:
    """The answer that a student may read: the newest that was not called back."""
    return session.scalars(
        select(Answer)
        .where(Answer.submission_id == submission_id, Answer.recalled_at.is_(None))
        .order_by(Answer.id.desc())
        .limit(1)
    ).one_or_none()


def standing_answers(session: Session, submission_ids: Sequence[UUID]) -> dict[UUID, Answer]:
    """The same for several submissions at once."""
    rows = session.scalars(
        select(Answer)
        .where(Answer.submission_id.in_(submission_ids), Answer.recalled_at.is_(None))
        .order_by(Answer.id)
    )
    return {answer.submission_id: answer for answer in rows}


def last_answer_before(session: Session, submission: Submission, moment: datetime) -> Answer | None:
    """The newest standing answer that the submission's student had for another one before ``moment``.

    A student is a member of one academy; the academy is asked for all the same.
    """
    return session.scalars(
        select(Answer)
        .join(Submission, Submission.id == Answer.submission_id)
        .where(
            Submission.academy_id == submission.academy_id,
            Submission.student_id == submission.student_id,
            Submission.id != submission.id,
            Answer.recalled_at.is_(None),
            Answer.sent_at < moment,
        )
        .order_by(Answer.sent_at.desc(), Answer.id.desc())
        .limit(1)
    ).one_or_none()


def last_clip_answered(session: Session, actor: Actor, clip: Clip) -> tuple[Clip, Answer] | None:
    """The clip of the same view that the student had answered last before ``clip`` arrived, with that answer.

    Of submissions with the same purpose alone: a pause lies beside a full swing like nothing. A clip of the
    other view, one that was filmed again and one never measured are passed over.
    """
    submission = clip.submission
    row = session.execute(
        clips_visible_to(actor)
        .join(Answer, Answer.submission_id == Submission.id)
        .add_columns(Answer)
        .where(
            Submission.student_id == submission.student_id,
            Submission.id != submission.id,
            Submission.purpose == submission.purpose,
            Clip.view == clip.view,
            Clip.replaced_at.is_(None),
            exists().where(Analysis.clip_id == Clip.id),
            Answer.recalled_at.is_(None),
            Answer.sent_at < clip.received_at,
        )
        .order_by(Answer.sent_at.desc(), Answer.id.desc())
        .limit(1)
    ).one_or_none()
    return None if row is None else (row[0], row[1])


def drills_of(session: Session, answer: Answer) -> Sequence[DrillAssignment]:
    """The drills that an answer prescribed and that still hold, in its order."""
    return session.scalars(
        select(DrillAssignment)
        .where(DrillAssignment.answer_id == answer.id, DrillAssignment.withdrawn_at.is_(None))
        .order_by(DrillAssignment.id)
    ).all()


def next_number(session: Session, review_id: UUID) -> int:
    """1 for a review's first answer, 2 for the one after a recall."""
    newest = session.scalar(select(func.max(Answer.number)).where(Answer.review_id == review_id))
    return (newest or 0) + 1


def take_back(
    session: Session,
    actor: Actor,
    review_id: UUID,
    *,
    sent_after: datetime,
    now: datetime,
    until: datetime,
) -> UUID | None:
    """Call an answer back into its coach's hands, if they sent it after ``sent_after``.

    Marks the answer recalled and withdraws its drills. Returns the submission's id, None when it
    is not theirs or too late: one conditional UPDATE decides.
    """
    submission_id = session.scalar(
        update(Review)
        .where(
            Review.id == review_id,
            Review.academy_id == actor.academy_id,
            Review.claimed_by == actor.membership_id,
            Review.state == ReviewState.ANSWERED,
            Review.answered_at > sent_after,
        )
        .values(
            state=ReviewState.CLAIMED.value,
            lease_ends_at=until,
            answered_at=None,
            version=Review.version + 1,
        )
        .returning(Review.submission_id)
        .execution_options(synchronize_session=False)
    )
    if submission_id is not None:
        _withdraw(session, review_id, now)
    return submission_id


def _withdraw(session: Session, review_id: UUID, now: datetime) -> None:
    recalled = session.scalars(
        update(Answer)
        .where(Answer.review_id == review_id, Answer.recalled_at.is_(None))
        .values(recalled_at=now)
        .returning(Answer.id)
    ).all()
    session.execute(
        update(DrillAssignment)
        .where(DrillAssignment.answer_id.in_(recalled), DrillAssignment.withdrawn_at.is_(None))
        .values(withdrawn_at=now)
    )
