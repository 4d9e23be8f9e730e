"""Second opinions: a coach asks a colleague about the clips they have, and the colleague commits what they think.

Nothing of it is the student's. The colleague sees the clips, what the machine measured and the question; the asker's own
draft only once their opinion stands, since whoever has read a first one writes the second one after it. The asker
need not wait: sending the answer ends a question that is still open.
"""

from uuid import UUID

from sqlalchemy.orm import Session

from api.db import reviews as reviews_db
from api.db.audit import record
from api.db.models import Review
from api.db.second_reads import (
    close_reads,
    colleagues_of,
    is_to_form_an_opinion,
    opinions_of,
)
from api.domain.actors import Actor
from api.domain.errors import Conflict, Invalid, NotFound
from api.domain.states import OPEN_REVIEW_STATES, ReviewKind, ReviewState
from api.services.reviews import Desk, why_not


def ask_opinion(desk: Desk, review_id: UUID, question: str, asked_of: UUID | None) -> Review:
    """Ask a colleague, or any (``None``), about a review that the caller holds; returns the question.

    Raises ``Conflict``: ``already_asked`` while one is open, ``not_the_students`` about somebody's read; ``Invalid`` with
    ``unknown_colleague`` for somebody who is no coach of the academy, or oneself.
    """
    review = reviews_db.review_for(desk.session, desk.actor, review_id)
    if review.kind != ReviewKind.MAIN:
        raise Conflict(
            "Ask from the student's own review: this one is an opinion itself.",
            code="not_the_students",
        )
    # Held and locked from here on: two tabs ask one after the other.
    if not reviews_db.renew(desk.session, desk.actor, review_id, until=desk.until):
        raise why_not(desk, review_id)
    _refuse_unknown(desk, asked_of)
    if any(one.state in OPEN_REVIEW_STATES for one in opinions_of(desk.session, review_id)):
        raise Conflict(
            "A colleague has been asked about this review already. Withdraw that question to ask another.",
            code="already_asked",
        )
    asked = Review(
        academy_id=review.academy_id,
        submission_id=review.submission_id,
        state=ReviewState.WAITING.value,
        due_at=review.due_at,
        kind=ReviewKind.SECOND.value,
        read_of_id=review.id,
        asked_by=desk.actor.membership_id,
        asked_of=asked_of,
        question=question,
    )
    desk.session.add(asked)
    desk.session.flush()
    after = {"opinion": str(asked.id), "of": None if asked_of is None else str(asked_of)}
    record(desk.session, "review.opinion_asked", "review", review.id, actor=desk.actor, after=after)
    return asked


def _refuse_unknown(desk: Desk, asked_of: UUID | None) -> None:
    colleagues = {member.id for member in colleagues_of(desk.session, desk.actor)}
    if asked_of is not None and asked_of not in colleagues:
        raise Invalid(
            "That is no other coach of your academy who could be asked.", code="unknown_colleague"
        )
    if not colleagues:
        raise Conflict(
            "You are the academy's only coach: there is nobody to ask yet.", code="no_colleague"
        )


def withdraw_question(desk: Desk, review_id: UUID, opinion_id: UUID) -> None:
    """Take a question back; what the colleague had begun stays theirs and goes nowhere. Again is harmless.

    Raises ``Conflict`` with code ``already_committed`` once there is an opinion.
    """
    review = reviews_db.review_for(desk.session, desk.actor, review_id)
    asked = _question(desk, review, opinion_id)
    ended = close_reads(desk.session, review.submission_id, ReviewKind.SECOND)
    desk.session.refresh(asked)
    if asked.state == ReviewState.ANSWERED:
        raise Conflict("The opinion is there already.", code="already_committed")
    if ended:
        record(desk.session, "review.opinion_withdrawn", "review", review.id, actor=desk.actor)


def _question(desk: Desk, review: Review, opinion_id: UUID) -> Review:
    """A question of the caller's, or about the review that they hold now."""
    found = next(
        (one for one in opinions_for(desk.session, desk.actor, review) if one.id == opinion_id),
        None,
    )
    theirs = review.claimed_by == desk.actor.membership_id
    if found is None or not (theirs or found.asked_by == desk.actor.membership_id):
        raise NotFound("There is no such question.")
    return found


def opinions_for(session: Session, actor: Actor, review: Review) -> list[Review]:
    """The questions about a review and what came of them, the newest first.

    For whoever holds the review or had it last, for who asked and for who gave an opinion; for others there are none.
    Nor is there any of a colleague's for whoever is asked themself, until their own is given.
    """
    mine = actor.membership_id
    forms_one = is_to_form_an_opinion(session, actor, review)
    return [
        one
        for one in opinions_of(session, review.id)
        if (one.claimed_by == mine and one.state == ReviewState.ANSWERED)
        or (not forms_one and mine in {review.claimed_by, one.asked_by})
    ]
