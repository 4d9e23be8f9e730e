"""Answers as they were sent, and the drills they prescribed."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from sqlalchemy import ColumnElement, and_, exists, func, or_, select, update
from sqlalchemy.orm import Session

from api.db.clips import clips_visible_to
from api.db.models import (
    Analysis,
    Answer,
    Clip,
    DrillAssignment,
    Membership,
    Review,
    Submission,
)
from api.db.second_reads import IS_MAIN
from api.domain.actors import Actor
from api.domain.states import ReviewState


def stands() -> ColumnElement[bool]:
    """Whether an answer stands: neither called back, nor has a corrected one taken its place."""
    return and_(Answer.recalled_at.is_(None), Answer.superseded_at.is_(None))


def standing_answer(session: Session, submission_id: UUID) -> Answer | None:
    """The answer that holds for a submission."""
    return session.scalars(
        select(Answer)
        .where(Answer.submission_id == submission_id, stands())
        .order_by(Answer.id.desc())
        .limit(1)
    ).one_or_none()


def standing_answers(session: Session, submission_ids: Sequence[UUID]) -> dict[UUID, Answer]:
    """The same for several submissions at once."""
    rows = session.scalars(
        select(Answer).where(Answer.submission_id.in_(submission_ids), stands()).order_by(Answer.id)
    )
    return {answer.submission_id: answer for answer in rows}


def earlier_answers(session: Session, review_ids: Sequence[UUID]) -> dict[UUID, list[Answer]]:
    """By review, the answers whose place a corrected one took, the newest first."""
    rows = session.scalars(
        select(Answer)
        .where(
            Answer.review_id.in_(review_ids),
            Answer.recalled_at.is_(None),
            Answer.superseded_at.is_not(None),
        )
        .order_by(Answer.number.desc())
    )
    found: dict[UUID, list[Answer]] = {}
    for answer in rows:
        found.setdefault(answer.review_id, []).append(answer)
    return found


def sent_answer(session: Session, submission_id: UUID, number: int) -> Answer | None:
    """A submission's answer ``number`` that was not called back, whether it stands or a corrected one took its place."""
    return session.scalars(
        select(Answer)
        .where(
            Answer.submission_id == submission_id,
            Answer.number == number,
            Answer.recalled_at.is_(None),
        )
        .order_by(Answer.id.desc())
        .limit(1)
    ).one_or_none()


def last_answer_before(session: Session, submission: Submission, moment: datetime) -> Answer | None:
    """The newest standing answer that the submission's student had for another one before ``moment``.

    One that was corrected since counts from when it was first sent. A student is a member of one academy; the academy is asked for all the same.
    """
    return session.scalars(
        select(Answer)
        .join(Submission, Submission.id == Answer.submission_id)
        .where(
            Submission.academy_id == submission.academy_id,
            Submission.student_id == submission.student_id,
            Submission.id != submission.id,
            stands(),
            Answer.first_sent_at < moment,
        )
        .order_by(Answer.first_sent_at.desc(), Answer.id.desc())
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
            stands(),
            Answer.first_sent_at < clip.received_at,
        )
        .order_by(Answer.first_sent_at.desc(), Answer.id.desc())
        .limit(1)
    ).one_or_none()
    return None if row is None else (row[0], row[1])


def drills_of(
    session: Session, answer: Answer, *, given_before: datetime | None = None
) -> Sequence[DrillAssignment]:
    """The drills of an answer that still hold, in order: a corrected answer keeps those it did not take back.

    ``given_before``: without those that came with a correction after that moment.
    """
    rows = (
        select(DrillAssignment)
        .join(Answer, Answer.id == DrillAssignment.answer_id)
        .where(Answer.review_id == answer.review_id, DrillAssignment.withdrawn_at.is_(None))
    )
    if given_before is not None:
        rows = rows.where(Answer.sent_at < given_before)
    return session.scalars(rows.order_by(DrillAssignment.id)).all()


def drills_of_reviews(session: Session, review_ids: Sequence[UUID]) -> dict[UUID, set[str]]:
    """By review, the names of the drills that its answers gave and that still hold."""
    rows = session.execute(
        select(Answer.review_id, DrillAssignment.drill)
        .join(Answer, Answer.id == DrillAssignment.answer_id)
        .where(Answer.review_id.in_(review_ids), DrillAssignment.withdrawn_at.is_(None))
    )
    found: dict[UUID, set[str]] = {}
    for review_id, drill in rows:
        found.setdefault(review_id, set()).add(drill)
    return found


def next_number(session: Session, review_id: UUID) -> int:
    """1 for a review's first answer, 2 for the one after a recall or a correction."""
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
            IS_MAIN,
            Review.state == ReviewState.ANSWERED,
            Review.amends_number.is_(None),
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
        .where(Answer.review_id == review_id, stands())
        .values(recalled_at=now)
        .returning(Answer.id)
        .execution_options(synchronize_session=False)
    ).all()
    session.execute(
        update(DrillAssignment)
        .where(DrillAssignment.answer_id.in_(recalled), DrillAssignment.withdrawn_at.is_(None))
        .values(withdrawn_at=now)
        .execution_options(synchronize_session=False)
    )


def open_correction(
    session: Session,
    actor: Actor,
    review_id: UUID,
    *,
    sent_before: datetime,
    until: datetime,
) -> bool:
    """Take an answered review up again to correct what stands; one conditional UPDATE decides.

    Only the coach who sent it may, or any other once that coach is deactivated; only an answer sent no later
    than ``sent_before``, which can no longer be called back. The answer goes on standing.
    """
    theirs = (
        select(Answer.number)
        .join(Membership, Membership.id == Answer.sent_by)
        .where(
            Answer.review_id == Review.id,
            stands(),
            or_(
                Answer.sent_by == actor.membership_id,
                Membership.deactivated_at.is_not(None),
            ),
        )
        .correlate(Review)
        .scalar_subquery()
    )
    taken = session.execute(
        update(Review)
        .where(
            Review.id == review_id,
            Review.academy_id == actor.academy_id,
            IS_MAIN,
            Review.state == ReviewState.ANSWERED,
            Review.answered_at <= sent_before,
            theirs.is_not(None),
        )
        .values(
            state=ReviewState.CLAIMED.value,
            claimed_by=actor.membership_id,
            lease_ends_at=until,
            amends_number=theirs,
            version=Review.version + 1,
        )
        .returning(Review.id)
        .execution_options(synchronize_session=False)
    ).one_or_none()
    return taken is not None


def supersede(session: Session, review_id: UUID, number: int, now: datetime) -> Answer | None:
    """A corrected answer takes this one's place; None when it does not stand any more."""
    return session.scalars(
        update(Answer)
        .where(Answer.review_id == review_id, Answer.number == number, stands())
        .values(superseded_at=now)
        .returning(Answer)
        .execution_options(populate_existing=True)
    ).one_or_none()


def drop_correction(session: Session, correction: Answer) -> Answer:
    """The answer that a called back correction had replaced stands again, with the drills it took away."""
    earlier = session.scalars(
        update(Answer)
        .where(
            Answer.review_id == correction.review_id,
            Answer.number == correction.corrects_number,
        )
        .values(superseded_at=None)
        .returning(Answer)
        .execution_options(populate_existing=True)
    ).one()
    answers_of_review = select(Answer.id).where(Answer.review_id == correction.review_id)
    session.execute(
        update(DrillAssignment)
        .where(
            DrillAssignment.answer_id.in_(answers_of_review),
            DrillAssignment.withdrawn_by_number == correction.number,
        )
        .values(withdrawn_at=None, withdrawn_by_number=None)
        .execution_options(synchronize_session=False)
    )
    return earlier


def may_correct(session: Session, actor: Actor, answer: Answer) -> bool:
    """Whether this coach may correct an answer: they sent it, or who did is deactivated."""
    if answer.sent_by == actor.membership_id:
        return True
    return session.get_one(Membership, answer.sent_by).deactivated_at is not None
