"""How a student's numbers went over their clips, up to those at hand."""

from collections import defaultdict
from collections.abc import Mapping
from typing import Any

from sqlalchemy.orm import Session

from api.db.answers import standing_answers
from api.db.clips import current_clips
from api.db.models import Answer, Review, Submission
from api.db.submissions import earlier_submissions
from api.services.readings import reading_json, told_to_people
from api.services.two_views import SHOWN_SWING

LOOKS_BACK = 12
"""Submissions: as many as a line on a card can tell apart."""


def trends_of(session: Session, review: Review) -> list[dict[str, Any]]:
    """For each number and view the values of the clips before these and of these, oldest first.

    Clips of the same kind (full swings with full swings) count, whatever the club, which is named: another
    club is another number. Of an answered clip it is what the answer told, else what holds now. Each value
    has its 95 % interval: two that overlap are no difference.
    """
    before = earlier_submissions(session, review.submission, limit=LOOKS_BACK)
    answers = standing_answers(session, [one.id for one in before])
    series: dict[tuple[str, str], list[dict[str, Any]]] = defaultdict(list)
    for submission in [*reversed(before), review.submission]:
        mine = submission.id == review.submission_id
        for view, reading in _readings(
            session, submission, answers.get(submission.id), review if mine else None
        ):
            if reading["value"] is not None and reading["swing"] == SHOWN_SWING:
                series[reading["checkpoint"], view].append(_point(submission, reading, mine=mine))
    return [
        {"checkpoint": checkpoint, "view": view, "points": points}
        for (checkpoint, view), points in series.items()
    ]


def _readings(
    session: Session, submission: Submission, answer: Answer | None, review: Review | None
) -> list[tuple[str, Mapping[str, Any]]]:
    views = {str(clip.id): clip.view for clip in current_clips(submission)}
    kept = (
        answer.content["readings"]
        if answer is not None
        else [
            reading_json(one)
            for one in told_to_people(session, submission, None if review is None else review.id)
        ]
    )
    return [(views[one["clip_id"]], one) for one in kept if one["clip_id"] in views]


def _point(submission: Submission, reading: Mapping[str, Any], *, mine: bool) -> dict[str, Any]:
    return {
        "submission_id": str(submission.id),
        "at": (submission.received_at or submission.created_at).isoformat(),
        "club": submission.club_name,
        "value": reading["value"],
        "low": reading["low"],
        "high": reading["high"],
        "band": reading["band"],
        "source": reading["source"],
        "current": mine,
    }
