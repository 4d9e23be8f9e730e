"""Who looked into a review that they have no part in: a coach who knows an answer cannot read it blindly."""

from uuid import UUID

from sqlalchemy import exists, select
from sqlalchemy.orm import Session

from api.db.audit import record
from api.db.models import Academy, AuditEvent, Review, Submission
from api.db.reviews import newest_reviews
from api.db.second_reads import IS_MAIN
from api.domain.actors import Actor
from api.domain.names import Role
from api.domain.states import OPEN_REVIEW_STATES, ReviewKind

LOOKED_INTO = "review.looked_into"
"""In the trail of a review: a coach opened it who had no part in it."""


def note_look(session: Session, actor: Actor, submission_id: UUID) -> None:
    """Write down, once, that a coach looked into a submission's answer or draft: they cannot read it blindly any more.

    Only while the academy has answers read again, or has such a read open.
    """
    if actor.role == Role.COACH and _reads_blindly(session, actor):
        _note(session, actor, newest_reviews(session, [submission_id]).get(submission_id))


def note_look_at_student(session: Session, actor: Actor, student_id: UUID) -> None:
    """The same of what tells of all of a student's answers: their practice, their progress."""
    if actor.role != Role.COACH or not _reads_blindly(session, actor):
        return
    newest = session.scalars(
        select(Review)
        .join(Submission, Submission.id == Review.submission_id)
        .where(
            IS_MAIN,
            Submission.academy_id == actor.academy_id,
            Submission.student_id == student_id,
        )
        .order_by(Submission.id.desc(), Review.id.desc())
        .limit(1)
    ).one_or_none()
    _note(session, actor, newest)


def _note(session: Session, actor: Actor, main: Review | None) -> None:
    if main is None:
        return
    known = exists().where(
        AuditEvent.subject_type == "review",
        AuditEvent.subject_id == main.id,
        AuditEvent.actor_id == actor.membership_id,
    )
    if not session.scalar(select(known)):
        record(session, LOOKED_INTO, "review", main.id, actor=actor)


def _reads_blindly(session: Session, actor: Actor) -> bool:
    share = session.scalar(select(Academy.double_read_share).where(Academy.id == actor.academy_id))
    if share:
        return True
    an_open_one = exists().where(
        Review.academy_id == actor.academy_id,
        Review.kind == ReviewKind.BLIND,
        Review.state.in_(OPEN_REVIEW_STATES),
    )
    return bool(session.scalar(select(an_open_one)))
