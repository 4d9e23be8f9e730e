"""One question back about each answer, and its reply. Neither costs the student anything."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from sqlalchemy.orm import Session

from api.db import questions as questions_db
from api.db.answers import standing_answer
from api.db.audit import record
from api.db.models import Question
from api.db.notices import Notice
from api.db.people import student_acted_as
from api.db.submissions import lock_submission, submission_for
from api.domain.actors import Actor
from api.domain.errors import Conflict
from api.domain.notices import MailKind
from api.services.consents import check_may_be_answered
from api.services.guardians import tell_guardian
from api.services.mails import replied_letter
from api.services.notices import tell

LIST_MOST = 200
NOT_ANSWERED = (
    "There is no answer to ask about yet. Write what you would like to know with your clip."
)


@dataclass(frozen=True, slots=True)
class Asking:
    """Who asks or replies, and when."""

    session: Session
    actor: Actor
    now: datetime


def ask(asking: Asking, submission_id: UUID, text: str) -> Question:
    """Ask about an answer that stands, as the student or for a child.

    Raises ``NotFound`` for what is not theirs, ``Conflict`` with code ``not_answered`` before there is
    an answer and ``asked_already`` for a second question.
    """
    submission = submission_for(asking.session, asking.actor, submission_id)
    student_acted_as(asking.session, asking.actor, submission.student_id)
    lock_submission(asking.session, submission.id)
    if standing_answer(asking.session, submission.id) is None:
        raise Conflict(NOT_ANSWERED, code="not_answered")
    question = questions_db.add_question(asking.session, submission, text)
    record(asking.session, "question.asked", "question", question.id, actor=asking.actor)
    return question


def about(asking: Asking, submission_id: UUID) -> Question | None:
    """What was asked about an answer. Raises ``NotFound`` for a submission that the actor may not see.

    Who runs the academy reads it too: nothing between a coach and a student is private.
    """
    submission_for(asking.session, asking.actor, submission_id)
    return questions_db.question_about(asking.session, asking.actor, submission_id)


def waiting(asking: Asking) -> Sequence[Question]:
    """What waits for a reply in the coach's academy, the oldest first."""
    return questions_db.open_questions(asking.session, asking.actor, limit=LIST_MOST)


def reply(asking: Asking, question_id: UUID, text: str, base_url: str) -> Question:
    """Reply, once; the student is told by mail. Raises ``Conflict`` with code ``replied_already``.

    A child's guardian gets word too; without a consent in force it is refused (``api.domain.consent``).
    """
    question = questions_db.question_for(asking.session, asking.actor, question_id)
    check_may_be_answered(asking.session, question.submission.student_id, asking.now)
    if not questions_db.give_reply(asking.session, asking.actor, question.id, text, asking.now):
        raise Conflict(
            "Another coach has replied meanwhile. Nothing was sent twice.", code="replied_already"
        )
    question = questions_db.question_for(asking.session, asking.actor, question_id)
    person = question.submission.student.person
    letter = replied_letter(base_url, person.name)
    notice = Notice(MailKind.REPLIED, question.submission.student_id, question.submission_id)
    tell(asking.session, notice, letter, asking.now)
    what = "a coach has replied to a question"
    tell_guardian(asking.session, base_url, question.submission, what, asking.now)
    record(asking.session, "question.replied", "question", question.id, actor=asking.actor)
    return question
