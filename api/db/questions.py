"""Questions about answers: who may see which, and the one reply that each gets."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from sqlalchemy import Select, select, update
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session, selectinload

from api.db.models import Question, Submission
from api.db.submissions import submissions_visible_to
from api.domain.actors import Actor
from api.domain.errors import Conflict, NotFound

NOT_THERE = "There is no such question."
ASKED_ALREADY = (
    "You have asked your question about this answer. Ask the next one with your next clip."
)


def _visible_to(actor: Actor) -> Select[Question]:
    visible = submissions_visible_to(actor).with_only_columns(Submission.id)
    return select(Question).where(Question.submission_id.in_(visible))


def question_about(session: Session, actor: Actor, submission_id: UUID) -> Question | None:
    """The question about an answer that ``actor`` may see, if one was asked."""
    return session.scalars(
        _visible_to(actor).where(Question.submission_id == submission_id)
    ).one_or_none()


def question_for(session: Session, actor: Actor, question_id: UUID) -> Question:
    """One question as ``actor`` may see it, else ``NotFound``."""
    row = session.scalars(_visible_to(actor).where(Question.id == question_id)).one_or_none()
    if row is None:
        raise NotFound(NOT_THERE)
    return row


def open_questions(session: Session, actor: Actor, *, limit: int) -> Sequence[Question]:
    """What waits for a reply in the actor's academy, the oldest first."""
    return session.scalars(
        _visible_to(actor)
        .where(Question.academy_id == actor.academy_id, Question.replied_at.is_(None))
        .options(selectinload(Question.submission))
        .order_by(Question.created_at, Question.id)
        .limit(limit)
    ).all()


def add_question(session: Session, submission: Submission, text: str) -> Question:
    """Ask. Raises ``Conflict`` when one was asked already: a constraint decides, not a look before."""
    question = Question(academy_id=submission.academy_id, submission_id=submission.id, text=text)
    try:
        with session.begin_nested():
            session.add(question)
    except IntegrityError as error:
        raise Conflict(ASKED_ALREADY, code="asked_already") from error
    return question


def give_reply(session: Session, actor: Actor, question_id: UUID, text: str, now: datetime) -> bool:
    """Reply, if nobody has; one conditional UPDATE decides between two coaches."""
    found = session.execute(
        update(Question)
        .where(
            Question.id == question_id,
            Question.academy_id == actor.academy_id,
            Question.replied_at.is_(None),
        )
        .values(reply=text, replied_by=actor.membership_id, replied_at=now)
        .returning(Question.id)
        .execution_options(synchronize_session=False)
    ).scalar_one_or_none()
    session.expire_all()
    return found is not None
