"""The coach's desk: claims, corrections, the draft, sending and calling back."""

from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends, Request, Response
from fastapi.responses import JSONResponse
from sqlalchemy.orm import Session

from api.db.base import utc_now
from api.db.looks import note_look
from api.db.models import Review
from api.db.reviews import own_words_of, review_for
from api.domain.actors import Actor, Scope
from api.domain.by_eye import ByEye
from api.domain.drawings import Drawing
from api.domain.judgement import Judged
from api.domain.names import KeyframeId, PointName
from api.domain.states import ReviewKind
from api.http.deps import AppSettings, CurrentCoach, DbSession, needs
from api.http.idempotency import IdempotencyKeyHeader, answer_once
from api.http.problems import problems
from api.http.queues import Filters
from api.http.schemas.reviews import (
    DraftSent,
    LastClipsRead,
    MarkSent,
    OwnWordsRead,
    PointSent,
    RefilmSent,
    ReviewRead,
)
from api.http.schemas.trends import TrendRead
from api.http.showing import Showing
from api.http.showing_reviews import show_last_clips, show_own_words, show_review
from api.http.versions import MadeFrom, etag
from api.services import answers, overlays, refilm
from api.services import reviews as reviews_service
from api.services.reviews import ChosenDrill, Desk, DraftParts
from api.services.trends import trends_of

router = APIRouter(tags=["reviews"])

_REVIEW = "/reviews/{review_id}"
_MARK = f"{_REVIEW}/marks/{{clip_id}}/{{swing}}/{{keyframe}}"
_POINT = f"{_REVIEW}/points/{{clip_id}}/{{swing}}/{{keyframe}}/{{point}}"
_READS = [needs(Scope.REVIEWS_READ)]
_WRITES = [needs(Scope.REVIEWS_WRITE)]
_CHANGES = problems(404, 409, 412, 428)


def get_desk(session: DbSession, actor: CurrentCoach, settings: AppSettings) -> Desk:
    """The calling coach at work."""
    return Desk(session, actor, utc_now(), settings.claim_lease)


CoachDesk = Annotated[Desk, Depends(get_desk)]


def get_correcting(
    review_id: UUID,
    clip_id: UUID,
    swing: int,
    keyframe: KeyframeId,
    desk: CoachDesk,
    made_from: MadeFrom,
    showing: Showing,
) -> overlays.Correcting:
    """A correction of the keyframe that the path names."""
    place = overlays.Place(clip_id, swing, keyframe)
    return overlays.Correcting(desk, showing.links.storage, review_id, made_from, place)


Correcting = Annotated[overlays.Correcting, Depends(get_correcting)]


def looked_into(session: Session, actor: Actor, review_id: UUID) -> Review:
    """A review that its caller opens; who has no part in it is noted."""
    review = review_for(session, actor, review_id)
    if review.kind != ReviewKind.BLIND:
        note_look(session, actor, review.submission_id)
    return review


class Answering:
    """Answers with a review and its ETag."""

    def __init__(self, desk: CoachDesk, showing: Showing, response: Response) -> None:
        self._desk = desk
        self._showing = showing
        self._response = response

    def __call__(self, review: Review) -> ReviewRead:
        """Show the review as it is after the change."""
        self._response.headers["ETag"] = etag(review.version)
        return show_review(self._desk.session, self._desk.actor, review, self._showing)


Answer = Annotated[Answering, Depends()]


@router.post("/reviews/claim-next", responses=problems(404), dependencies=_WRITES)
def claim_next_review(desk: CoachDesk, filters: Filters, answer: Answer) -> ReviewRead:
    """Take what is due first, of those that the filters leave. Nobody else can take it meanwhile."""
    return answer(reviews_service.claim_next(desk, filters))


@router.post(f"{_REVIEW}/claim", responses=problems(404, 409), dependencies=_WRITES)
def claim_review(review_id: UUID, desk: CoachDesk, answer: Answer) -> ReviewRead:
    """Take one review, or take one's own up again. An opinion that a colleague began stays theirs: the question comes with another id."""
    return answer(reviews_service.claim(desk, review_id))


@router.post(f"{_REVIEW}/renew", responses=problems(404, 409), dependencies=_WRITES)
def renew_review(review_id: UUID, desk: CoachDesk, answer: Answer) -> ReviewRead:
    """Prolong the lease. Every change of the draft does so too."""
    return answer(reviews_service.renew(desk, review_id))


@router.post(f"{_REVIEW}/release", responses=problems(404, 409), dependencies=_WRITES)
def release_review(review_id: UUID, desk: CoachDesk, answer: Answer) -> ReviewRead:
    """Put a review back into the queue; the draft stays with it."""
    return answer(reviews_service.release(desk, review_id))


@router.get(_REVIEW, responses=problems(404), dependencies=_READS)
def read_review(review_id: UUID, desk: CoachDesk, answer: Answer) -> ReviewRead:
    """A review with its draft. Reading does not claim."""
    return answer(looked_into(desk.session, desk.actor, review_id))


@router.get(f"{_REVIEW}/own-words", responses=problems(404), dependencies=_READS)
def read_own_words(review_id: UUID, session: DbSession, actor: CurrentCoach) -> OwnWordsRead:
    """What the caller wrote in a review that was stopped since, to copy for a while; nothing else of it."""
    return show_own_words(*own_words_of(session, actor, review_id))


@router.get(f"{_REVIEW}/trends", responses=problems(404), dependencies=_READS)
def read_trends(review_id: UUID, session: DbSession, actor: CurrentCoach) -> list[TrendRead]:
    """How the student's numbers went over their clips of this kind, this one last. A blind reader gets none."""
    review = looked_into(session, actor, review_id)
    if review.kind == ReviewKind.BLIND:
        return []
    return [TrendRead.model_validate(one) for one in trends_of(session, review)]


@router.get(f"{_REVIEW}/last-clips", responses=problems(404), dependencies=_READS)
def read_last_clips(review_id: UUID, desk: CoachDesk, showing: Showing) -> LastClipsRead:
    """What the student had answered last, clip by clip, of the same view and purpose: to compare."""
    review = looked_into(desk.session, desk.actor, review_id)
    if review.kind == ReviewKind.BLIND:
        return LastClipsRead(items=[])
    return show_last_clips(desk.session, desk.actor, review, showing)


@router.put(_MARK, responses=_CHANGES, dependencies=_WRITES)
def set_mark(correcting: Correcting, sent: MarkSent, answer: Answer) -> ReviewRead:
    """Move a keyframe to a frame; its readings are taken again from the points there."""
    return answer(overlays.move_keyframe(correcting, sent.frame))


@router.delete(_MARK, responses=_CHANGES, dependencies=_WRITES)
def drop_mark(correcting: Correcting, answer: Answer) -> ReviewRead:
    """Go back to the machine's keyframe."""
    return answer(overlays.keyframe_back(correcting))


@router.put(_POINT, responses=_CHANGES, dependencies=_WRITES)
def set_point(
    correcting: Correcting, point: PointName, sent: PointSent, answer: Answer
) -> ReviewRead:
    """Place a point on the keyframe's frame; the readings that use it are taken again."""
    return answer(overlays.move_point(correcting, point, sent.x, sent.y))


@router.delete(_POINT, responses=_CHANGES, dependencies=_WRITES)
def drop_point(correcting: Correcting, point: PointName, answer: Answer) -> ReviewRead:
    """Go back to the machine's point."""
    return answer(overlays.point_back(correcting, point))


@router.patch(f"{_REVIEW}/draft", responses=_CHANGES, dependencies=_WRITES)
def change_draft(
    review_id: UUID, sent: DraftSent, desk: CoachDesk, made_from: MadeFrom, answer: Answer
) -> ReviewRead:
    """Replace the parts that are given: text, later, judgements, what is judged by eye, drawings, drills."""
    parts = DraftParts(
        text=sent.text,
        drills=None if sent.drills is None else [ChosenDrill(**dict(one)) for one in sent.drills],
        judgements=None
        if sent.judgements is None
        else [Judged(**dict(one)) for one in sent.judgements],
        later=sent.later,
        by_eye=None if sent.by_eye is None else [ByEye(**dict(one)) for one in sent.by_eye],
        drawings=None
        if sent.drawings is None
        else [Drawing(**{**dict(one), "places": tuple(one.places)}) for one in sent.drawings],
        what_changed=sent.what_changed,
    )
    return answer(reviews_service.change_draft(desk, review_id, made_from, parts))


@router.post(f"{_REVIEW}/send", response_model=ReviewRead, responses=_CHANGES, dependencies=_WRITES)
def send_review(
    review_id: UUID,
    request: Request,
    desk: CoachDesk,
    made_from: MadeFrom,
    settings: AppSettings,
    showing: Showing,
    key: IdempotencyKeyHeader = None,
) -> JSONResponse:
    """Send the draft to the student. It can be called back for a few minutes."""
    secret = settings.secret.get_secret_value().encode()
    sending = answers.Sending(showing.links.storage, settings.base_url, secret)

    def make() -> ReviewRead:
        review = answers.send_answer(desk, review_id, made_from, sending)
        return show_review(desk.session, desk.actor, review, showing)

    return answer_once(
        request, desk.session, desk.actor, key, None, 200, make, etag_of=etag_of_body
    )


def etag_of_body(body: dict[str, object]) -> str:
    """A review's ETag, from its body."""
    return etag(int(str(body["version"])))


@router.post(f"{_REVIEW}/recall", responses=problems(404, 409), dependencies=_WRITES)
def recall_review(
    review_id: UUID, desk: CoachDesk, settings: AppSettings, answer: Answer
) -> ReviewRead:
    """Call an answer back to change it; the student sees that it was."""
    return answer(answers.recall_answer(desk, review_id, settings.recall_window))


@router.post(f"{_REVIEW}/correct", responses=problems(404, 409), dependencies=_WRITES)
def correct_review(
    review_id: UUID, desk: CoachDesk, settings: AppSettings, answer: Answer
) -> ReviewRead:
    """Take an answered review up again to correct it. The student reads the standing answer meanwhile."""
    return answer(answers.correct_answer(desk, review_id, settings.recall_window))


@router.post(f"{_REVIEW}/ask-refilm", responses=problems(404, 409), dependencies=_WRITES)
def ask_refilm(
    review_id: UUID,
    sent: RefilmSent,
    desk: CoachDesk,
    settings: AppSettings,
    showing: Showing,
    answer: Answer,
) -> ReviewRead:
    """End the review and ask the student to film again, with causes, words and a marked frame. It is free."""
    marked = None if sent.marked is None else refilm.MarkedFrame(**dict(sent.marked))
    new = refilm.NewFilm(sent.causes, sent.message, marked)
    asking = refilm.Asking(showing.links.storage, settings.base_url)
    return answer(refilm.ask_refilm(desk, review_id, new, asking))
