"""What the invented coach does with the measured submissions."""

from datetime import date, datetime, timedelta
from uuid import UUID

from sqlalchemy import select
from sqlalchemy.orm import Session

from api.db.base import utc_now
from api.db.models import Review
from api.db.session import transaction
from api.demo.people import actor
from api.demo.scenes import Ending, Scene
from api.demo.sending import House
from api.domain.refilm import REFILM_WORDS, RefilmReason
from api.domain.states import ReviewState
from api.services import answers, refilm, reviews
from api.services.reviews import ChosenDrill, Desk, DraftParts
from api.storage.factory import open_storage

COACH = "rosa"
_ANSWER = (
    "Stop with the lead arm level, and look: arm and shaft should make an upright L.\n\n"
    "Good clips, Mira: I can see everything I need. Your body leads and your hands follow on time; "
    "leave that alone. With the lead arm level the picture tells me more than the figure does, so "
    "look at it first and at the number second.\n\n"
    "Two seconds for each stop. If it feels odd it may be right. Send me the same two views next "
    "week."
)
_DRAFT = (
    "Oriel, from behind the grip points too far out for my taste. Before I answer I want to look at"
)


def act_out(house: House, scene: Scene, submission_id: UUID) -> None:
    """Do what the scene ends with, once: what somebody did since is theirs."""
    with transaction(house.factory) as session:
        review_id = _untouched_review(session, submission_id)
        if review_id is None:
            return
        desk = Desk(session, actor(session, COACH), utc_now(), house.settings.claim_lease)
        if scene.ending is Ending.ANSWERED:
            _answer(house, desk, review_id)
        elif scene.ending is Ending.DRAFTED:
            reviews.claim(desk, review_id)
            parts = DraftParts(text=_DRAFT, drills=[_drill("grip-end-at-the-line", desk)])
            reviews.change_draft(desk, review_id, None, parts)
        elif scene.ending is Ending.FILM_AGAIN:
            reviews.claim(desk, review_id)
            reason = RefilmReason.DARK_OR_BLURRED
            new = refilm.NewFilm([reason], REFILM_WORDS[reason])
            asking = refilm.Asking(open_storage(house.settings), house.settings.base_url)
            refilm.ask_refilm(desk, review_id, new, asking)


def _untouched_review(session: Session, submission_id: UUID) -> UUID | None:
    """The submission's first and only review, if nobody has ever taken it."""
    found = session.scalars(select(Review).where(Review.submission_id == submission_id)).all()
    if len(found) != 1 or found[0].state != ReviewState.WAITING or found[0].version != 1:
        return None
    return found[0].id


def _answer(house: House, desk: Desk, review_id: UUID) -> None:
    reviews.claim(desk, review_id)
    drills = [_drill("stop-and-look", desk), _drill("thigh-then-set", desk)]
    reviews.change_draft(desk, review_id, None, DraftParts(text=_ANSWER, drills=drills))
    settings = house.settings
    secret = settings.secret.get_secret_value().encode()
    sending = answers.Sending(open_storage(settings), settings.base_url, secret)
    answers.send_answer(desk, review_id, None, sending)


def _drill(drill_id: str, desk: Desk) -> ChosenDrill:
    return ChosenDrill(
        drill_id=drill_id,
        sets=3,
        reps=6,
        pause_s=2.0,
        days_per_week=4,
        until=_in_two_weeks(desk.now),
        note="Slowly, without a ball for the first week.",
    )


def _in_two_weeks(now: datetime) -> date:
    return (now + timedelta(days=14)).date()
