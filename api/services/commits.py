"""Committing a read beside an answer: kept exactly as it was, for who asked or for the figures, never for the student."""

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from sqlalchemy.orm import Session

from api.db.audit import record
from api.db.models import Review
from api.db.submissions import being_measured
from api.domain.drill_library import DRILLS
from api.domain.errors import Conflict
from api.domain.states import ReviewKind, ReviewState
from api.services.drawings import still_by_eye
from api.services.judgement import findings_for_answer
from api.services.readings import measured_clips, reading_json, told_to_people
from api.services.reviews import Desk, changing


def commit_read(desk: Desk, review_id: UUID, versions: Sequence[int] | None) -> Review:
    """Let the draft of a second opinion or a blind read stand. It cannot be changed or called back afterwards.

    Raises ``Conflict``: ``students_review`` for a review whose answer goes to the student, ``nothing_to_send`` for an
    opinion without words, ``still_measuring`` while a clip has arrived that the reader cannot have seen.
    """
    with changing(desk, review_id, versions, "review.committed") as review:
        if review.kind == ReviewKind.MAIN:
            raise Conflict(
                "This review is the student's own: send the answer instead.", code="students_review"
            )
        if review.kind == ReviewKind.SECOND and not review.draft_text.strip():
            raise Conflict(
                "Write a few words before you commit: your colleague asked you a question.",
                code="nothing_to_send",
            )
        if being_measured(desk.session, review.submission_id):
            raise Conflict(
                "Another clip of this submission has arrived and is being measured. Look at it "
                "before you commit: it takes about a minute.",
                code="still_measuring",
            )
        review.committed = _as_committed(desk.session, review)
        review.state = ReviewState.ANSWERED.value
        review.lease_ends_at = None
        review.answered_at = desk.now
        if review.kind == ReviewKind.SECOND and review.read_of_id is not None:
            record(
                desk.session,
                "review.opinion_given",
                "review",
                review.read_of_id,
                actor=desk.actor,
                after={"opinion": str(review.id)},
            )
    return review


def _as_committed(session: Session, review: Review) -> dict[str, Any]:
    """``analyses``: by clip, what was measured with; readings of other measurements are other readings."""
    told = told_to_people(session, review.submission, review.id)
    return {
        "text": review.draft_text.strip(),
        "readings": [reading_json(one) for one in told],
        "judged": findings_for_answer(session, review),
        "by_eye": still_by_eye(review),
        "later": list(review.draft_later),
        "drills": [
            {"drill_id": one["drill_id"], "name": DRILLS[one["drill_id"]].name}
            for one in review.draft_drills
        ],
        "analyses": {
            str(clip.id): str(analysis.id) for clip, analysis in measured_clips(review.submission)
        },
    }
