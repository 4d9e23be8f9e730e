"""Second opinions into bodies."""

from sqlalchemy.orm import Session

from api.db.models import Review
from api.domain.states import ReviewState
from api.http.schemas.opinions import OpinionRead, OpinionSaidRead
from api.http.schemas.reviews import QuestionRead
from api.http.showing_reviews import named, question_of
from api.services.readings import as_shown


def show_opinion(session: Session, review: Review) -> OpinionRead:
    """A question with what was committed to it, and with nothing of a draft."""
    given = review.state == ReviewState.ANSWERED
    at_it = given or review.state == ReviewState.CLAIMED
    said = review.committed
    return OpinionRead(
        id=review.id,
        question=QuestionRead.model_validate(question_of(session, review)),
        state=ReviewState(review.state),
        reader=named(session, review.claimed_by) if at_it and review.claimed_by else None,
        committed_at=review.answered_at if given else None,
        said=OpinionSaidRead.model_validate(
            {**said, "readings": [as_shown(one) for one in said["readings"]]}
        )
        if given
        else None,
    )
