"""Reviews into bodies."""

from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy.orm import Session

from api.db.answers import last_clip_answered, standing_answer
from api.db.audit import history_of
from api.db.base import utc_now
from api.db.clips import current_clips
from api.db.looks import LOOKED_INTO
from api.db.models import Answer, Clip, Membership, Review
from api.db.reviews import current_marks, current_points, marks_when
from api.db.second_reads import is_to_form_an_opinion
from api.domain.actors import Actor
from api.domain.states import ReviewKind, ReviewState
from api.http.schemas.reviews import (
    DraftRead,
    HistoryRead,
    LastClipRead,
    LastClipsRead,
    MarkRead,
    OwnWordsRead,
    PointRead,
    QuestionRead,
    ReviewRead,
)
from api.http.schemas.submissions import PersonNamed
from api.http.showing import Shower
from api.services.answers import may_correct_now
from api.services.judgement import findings_seen
from api.services.proof import proof_as_kept, prove_last_drills
from api.services.readings import as_shown, reading_json, told_to_people
from api.services.reviews import drill_as_kept
from api.services.two_views import read_together


def show_review(session: Session, actor: Actor, review: Review, shower: Shower) -> ReviewRead:
    """A review with its draft and the readings that hold; once it is answered, those that were sent."""
    hidden = is_to_form_an_opinion(session, actor, review)
    return ReviewRead(
        id=review.id,
        kind=ReviewKind(review.kind),
        question=question_of(session, review),
        about_review_id=review.read_of_id if review.kind == ReviewKind.SECOND else None,
        state=review.state,
        version=review.version,
        submission=shower.one(session, actor, review.submission)
        if review.kind == ReviewKind.MAIN
        else shower.beside(session, actor, review),
        claimed_by=_holder(review),
        lease_ends_at=review.lease_ends_at,
        recall_until=None
        if review.answered_at is None or review.kind != ReviewKind.MAIN
        else review.answered_at + shower.recall_window,
        corrects=review.amends_number,
        may_correct=may_correct_now(
            session, actor, review, sent_before=utc_now() - shower.recall_window
        ),
        draft=_NO_DRAFT if hidden else _draft(session, review),
        draft_hidden=hidden,
        **(_read_by_machine(session, review) if hidden else _read(session, review)),
        history=_history(session, review),
    )


def question_of(session: Session, review: Review) -> QuestionRead | None:
    """What a colleague asks, of a second opinion."""
    if review.asked_by is None:
        return None
    return QuestionRead(
        at=review.created_at,
        by=named(session, review.asked_by),
        of=None if review.asked_of is None else named(session, review.asked_of),
        words=review.question,
    )


def named(session: Session, membership_id: UUID) -> PersonNamed:
    """Somebody of the academy, by name."""
    member = session.get_one(Membership, membership_id)
    return PersonNamed(id=membership_id, name=member.person.name)


def show_last_clips(
    session: Session, actor: Actor, review: Review, shower: Shower
) -> LastClipsRead:
    """For each clip of the review the one of the last answer that can lie beside it, where there is one."""
    found = (
        (clip, last_clip_answered(session, actor, clip))
        for clip in current_clips(review.submission)
    )
    return LastClipsRead(
        items=[_last_clip(session, clip, *last, shower) for clip, last in found if last is not None]
    )


def _last_clip(
    session: Session, clip: Clip, last: Clip, answer: Answer, shower: Shower
) -> LastClipRead:
    as_sent = marks_when(session, answer.review_id, answer.sent_at)
    marks = [row for row in as_sent if row.clip_id == last.id]
    return LastClipRead(
        of_clip_id=clip.id,
        review_id=answer.review_id,
        answered_at=answer.sent_at,
        coach_name=answer.content["coach_name"],
        club=last.submission.club_name,
        handed=last.submission.handed,
        clip=shower.clip(last),
        marks=[MarkRead.model_validate(row) for row in marks],
    )


def _read(session: Session, review: Review) -> dict[str, Any]:
    """What was read. Of an answer that stands, what it told: a target set since is for the next one."""
    if review.kind != ReviewKind.MAIN:
        return _read_beside(session, review)
    answer = standing_answer(session, review.submission_id)
    if review.state == ReviewState.ANSWERED and answer is not None:
        return {
            "findings": [],
            "readings": [as_shown(kept) for kept in answer.content["readings"]],
            "together": answer.content.get("together"),
            "drill_proof": proof_as_kept(answer.content.get("drill_proof")),
        }
    return _read_with(session, review, review.id)


def _read_by_machine(session: Session, review: Review) -> dict[str, Any]:
    """What was read before any coach put something right."""
    return _read_with(session, review, None)


def _read_with(session: Session, review: Review, corrections_of: UUID | None) -> dict[str, Any]:
    told = told_to_people(session, review.submission, corrections_of)
    return {
        "findings": findings_seen(session, review.submission, corrections_of),
        "readings": [reading_json(one) for one in told],
        "together": read_together(session, review.submission, corrections_of),
        "drill_proof": prove_last_drills(session, review.submission, corrections_of),
    }


def _read_beside(session: Session, review: Review) -> dict[str, Any]:
    """What a second opinion or a blind read says; committed, as it was then.

    A blind reader is held to the clips: drills given before, and who set a target and why, speak of colleagues.
    """
    if review.state == ReviewState.ANSWERED:
        readings = [as_shown(kept) for kept in review.committed["readings"]]
        return {"findings": [], "readings": readings, "together": None, "drill_proof": None}
    blind = review.kind == ReviewKind.BLIND
    told = told_to_people(session, review.submission, review.id)
    readings = [reading_json(one) for one in told]
    return {
        "findings": findings_seen(session, review.submission, review.id),
        "readings": [_without_names(one) for one in readings] if blind else readings,
        "together": read_together(session, review.submission, review.id),
        "drill_proof": None if blind else prove_last_drills(session, review.submission, review.id),
    }


def _without_names(reading: dict[str, Any]) -> dict[str, Any]:
    own = reading["own_bands"]
    return reading if own is None else {**reading, "own_bands": {**own, "reason": "", "set_by": ""}}


_NO_DRAFT = DraftRead(
    text="",
    marks=[],
    points=[],
    drills=[],
    later=[],
    judgements=[],
    by_eye=[],
    drawings=[],
    what_changed="",
)


def _draft(session: Session, review: Review) -> DraftRead:
    return DraftRead(
        text=review.draft_text,
        marks=[MarkRead.model_validate(row) for row in current_marks(session, review.id)],
        points=[PointRead.model_validate(row) for row in current_points(session, review.id)],
        drills=[drill_as_kept(kept) for kept in review.draft_drills],
        later=review.draft_later,
        judgements=review.draft_judgements,
        by_eye=review.draft_by_eye,
        drawings=review.draft_drawings,
        what_changed=review.draft_what_changed,
    )


def show_own_words(review: Review, until: datetime) -> OwnWordsRead:
    """The coach's own sentences of a draft, and nothing else of it: no number, no finding's name, no student."""
    judged = [one["words"] for one in review.draft_judgements]
    notes = [drill_as_kept(kept)["note"] for kept in review.draft_drills]
    words = [
        review.draft_text,
        *review.draft_later,
        *judged,
        *notes,
        review.draft_what_changed,
    ]
    return OwnWordsRead(words=[one.strip() for one in words if one.strip()], until=until)


def _history(session: Session, review: Review) -> list[HistoryRead]:
    names: dict[object, str] = {}
    shown = []
    for event in history_of(session, review.id):
        if event.act == LOOKED_INTO:
            continue
        if event.actor_id is not None and event.actor_id not in names:
            names[event.actor_id] = session.get_one(Membership, event.actor_id).person.name
        shown.append(HistoryRead(at=event.at, act=event.act, by=names.get(event.actor_id)))
    return shown


def _holder(review: Review) -> PersonNamed | None:
    """Who has it; somebody whose lease lapsed is not shown as its holder."""
    if review.state == ReviewState.WAITING or review.coach is None:
        return None
    return PersonNamed(id=review.coach.id, name=review.coach.person.name)
