"""How a student's numbers went from answer to answer, what really changed, and which drills were given between."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from sqlalchemy import select
from sqlalchemy.orm import Session, selectinload

from api.db.answers import drills_of_reviews, stands
from api.db.models import Answer, Submission
from api.db.people import NOT_THERE, member_for
from api.db.submissions import submissions_visible_to
from api.domain.actors import Actor
from api.domain.bands import Bands
from api.domain.change import Change, change
from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS
from api.domain.drill_library import DRILLS
from api.domain.errors import NotFound
from api.domain.measurement import Estimate
from api.domain.names import Role
from api.services.two_views import SHOWN_SWING

LOOKS_BACK = 60
"""Answers: more than a year of one a week."""

Point = dict[str, Any]


def progress_of(session: Session, actor: Actor, student_id: UUID) -> dict[str, Any]:
    """Every number over the student's answered clips, as the standing answers told it, and the drills between.

    ``series``: for each checkpoint, view and purpose the points, oldest first, and what changed between the last
    two. ``drills``: spans, oldest first. Raises ``NotFound`` for who is no student that ``actor`` may see.
    """
    student = member_for(session, actor, student_id)
    if student.role != Role.STUDENT:
        raise NotFound(NOT_THERE)
    answered = _answered(session, actor, student_id)
    return {"series": _series(answered), "drills": _drill_spans(session, answered)}


def _answered(session: Session, actor: Actor, student_id: UUID) -> list[tuple[Submission, Answer]]:
    """Submissions with the answers that stand, in the order in which the clips came."""
    visible = submissions_visible_to(actor).with_only_columns(Submission.id)
    rows = session.execute(
        select(Submission, Answer)
        .join(Answer, Answer.submission_id == Submission.id)
        .where(Submission.id.in_(visible), Submission.student_id == student_id, stands())
        .options(selectinload(Submission.clips))
        .order_by(Submission.received_at.desc(), Submission.id.desc())
        .limit(LOOKS_BACK)
    ).all()
    return [(submission, answer) for submission, answer in reversed(rows)]


# ---------------------------------------------------------------- numbers


def _series(answered: Sequence[tuple[Submission, Answer]]) -> list[dict[str, Any]]:
    found: dict[tuple[str, str, str], list[Point]] = defaultdict(list)
    for submission, answer in answered:
        views = {str(clip.id): clip.view for clip in submission.clips}
        for told in answer.content["readings"]:
            view = views.get(told["clip_id"])
            if view is None or told["value"] is None or told["swing"] != SHOWN_SWING:
                continue
            key = told["checkpoint"], view, submission.purpose
            found[key].append(_point(submission, answer, told))
    return [
        {
            "checkpoint": checkpoint,
            "view": view,
            "purpose": purpose,
            "points": points,
            "changed": _changed(CheckpointId(checkpoint), points),
        }
        for (checkpoint, view, purpose), points in found.items()
        if checkpoint in set(CheckpointId)
    ]


def _point(submission: Submission, answer: Answer, told: Mapping[str, Any]) -> Point:
    return {
        "submission_id": submission.id,
        "at": submission.received_at or submission.created_at,
        "answered_at": answer.first_sent_at,
        "club": submission.club_name,
        "value": told["value"],
        "sigma": told["sigma"],
        "low": told["low"],
        "high": told["high"],
        "band": told["band"],
        "by_coach": told["source"] == "coach",
        "own_bands": told.get("own_bands"),
    }


def _changed(checkpoint: CheckpointId, points: Sequence[Point]) -> dict[str, Any] | None:
    """Between the last clip and the one before it with the same club: another club is another number."""
    *before, last = points
    earlier = next((one for one in reversed(before) if one["club"] == last["club"]), None)
    if earlier is None:
        return None
    told = change(_estimate(earlier), _estimate(last), _target(checkpoint, last))
    return {"since": earlier["submission_id"], **_change_json(told)}


def _change_json(told: Change) -> dict[str, Any]:
    return {"difference": told.difference, "least": told.least, "moved": told.moved.value}


def _estimate(point: Point) -> Estimate:
    return Estimate(point["value"], point["sigma"])


def _target(checkpoint: CheckpointId, point: Point) -> Bands | None:
    """What the newest answer held the number against."""
    own = point["own_bands"]
    if own is None:
        return CHECKPOINTS[checkpoint].bands
    return Bands(own["watch_low"], own["good_low"], own["good_high"], own["watch_high"])


# ---------------------------------------------------------------- drills


def _drill_spans(
    session: Session, answered: Sequence[tuple[Submission, Answer]]
) -> list[dict[str, Any]]:
    """From the answer that gave a drill to the next one that did not; ``until`` is missing for today's."""
    answers = sorted((answer for _, answer in answered), key=lambda one: one.first_sent_at)
    held = drills_of_reviews(session, [one.review_id for one in answers])
    spans: list[dict[str, Any]] = []
    running: dict[str, dict[str, Any]] = {}
    for answer in answers:
        given = held.get(answer.review_id, set()) & set(DRILLS)
        for drill in set(running) - given:
            running.pop(drill)["until"] = answer.first_sent_at
        for drill in sorted(given - set(running)):
            span = {
                "drill_id": drill,
                "name": DRILLS[drill].name,
                "since": answer.first_sent_at,
                "until": None,
            }
            running[drill] = span
            spans.append(span)
    return spans
