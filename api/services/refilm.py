"""Asking for a new film: its causes, the drawings that go with them, and a marked frame. It costs nothing."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from api.db.clips import clip_of, current_analysis, current_clips
from api.db.models import RefilmRequest, Review, Submission
from api.db.notices import Notice
from api.db.second_reads import close_reads
from api.db.submissions import lock_submission, move_submission
from api.domain.errors import Conflict, Invalid
from api.domain.filming_problems import ProblemCode
from api.domain.notices import MailKind
from api.domain.refilm import (
    DRAWING_OF_REASON,
    FREE,
    MOST_CAUSES,
    REASON_OF_PROBLEM,
    RefilmReason,
)
from api.domain.states import ReviewKind, ReviewState, SubmissionState
from api.services.consents import check_may_be_answered
from api.services.guardians import tell_guardian
from api.services.mails import film_again_letter
from api.services.notices import tell
from api.services.reviews import Desk, changing, refuse_reads
from api.services.tracks import load_tracks
from api.storage.base import Storage
from api.storage.keys import product_key, still_name


@dataclass(frozen=True, slots=True)
class MarkedFrame:
    """A spot on one frame of a clip, upright display pixels of the original, and what there is to see."""

    clip_id: UUID
    frame: int
    x: float
    y: float
    words: str


@dataclass(frozen=True, slots=True)
class NewFilm:
    """Why a new film is needed, the main cause first, and what the student is told."""

    causes: Sequence[RefilmReason]
    message: str
    marked: MarkedFrame | None = None


@dataclass(frozen=True, slots=True)
class Asking:
    """What asking needs beyond the desk: the store, and where the pages are."""

    storage: Storage
    base_url: str


def ask_refilm(desk: Desk, review_id: UUID, new: NewFilm, asking: Asking) -> Review:
    """End the review by asking for a new film; the student sees what is told, and gets a mail.

    The request is kept as it was told, with who asked and that nothing is charged. Raises ``Invalid`` for
    causes that are told twice or too many, and for a frame or a spot that the clip does not have.
    """
    if len(set(new.causes)) != len(new.causes) or not 1 <= len(new.causes) <= MOST_CAUSES:
        raise Invalid(f"Choose from one to {MOST_CAUSES} causes, each once.")
    said = {"causes": [cause.value for cause in new.causes], "charge": FREE}
    with changing(desk, review_id, None, "review.refilm_asked", **said) as review:
        refuse_reads(review)
        if review.amends_number is not None:
            raise Conflict(
                "The student has your answer to this clip. Ask for a new one in its words.",
                code="already_answered",
            )
        submission = lock_submission(desk.session, review.submission_id)
        check_may_be_answered(desk.session, submission.student_id, desk.now)
        desk.session.add(
            RefilmRequest(
                review_id=review.id,
                submission_id=submission.id,
                asked_by=desk.actor.membership_id,
                asked_at=desk.now,
                causes=said["causes"],
                message=new.message,
                problems=_drawings(submission, new.causes),
                marked=None
                if new.marked is None
                else _marked(desk, submission, new.marked, asking),
                charge=FREE,
            )
        )
        review.state = ReviewState.CLOSED.value
        review.lease_ends_at = None
        close_reads(desk.session, submission.id, ReviewKind.SECOND, ReviewKind.BLIND)
        move_submission(submission, SubmissionState.REFILM_ASKED, new.message)
        submission.refilm_asked_at = desk.now
        submission.due_at = None  # the promise waits while the student films
        person = submission.student.person
        letter = film_again_letter(asking.base_url, person.name)
        notice = Notice(MailKind.FILM_AGAIN, submission.student_id, submission.id)
        tell(desk.session, notice, letter, desk.now)
        what = "a coach has asked for a new film"
        tell_guardian(desk.session, asking.base_url, submission, what, desk.now)
    return review


def _drawings(submission: Submission, causes: Sequence[RefilmReason]) -> list[dict[str, str]]:
    """A drawing for each cause: those of what was found on the clips, else the guide's own for it."""
    drawn: list[dict[str, str]] = []
    for cause in causes:
        found = [one for one in problems_found(submission) if one["cause"] == cause.value]
        usual = DRAWING_OF_REASON.get(cause)
        views = [clip.view for clip in current_clips(submission)]
        if not found and usual is not None and views:
            found = [{"cause": cause.value, "view": views[0], "code": usual}]
        drawn += found
    return drawn


def problems_found(submission: Submission) -> list[dict[str, str]]:
    """What the camera check found on the clips that count, each with the cause it is counted under."""
    found = []
    for clip in current_clips(submission):
        analysis = current_analysis(clip)
        problems: list[Any] = [] if analysis is None else analysis.measurement["view"]["problems"]
        for one in problems:
            if one["code"] in set(ProblemCode):  # a result of an earlier version may hold others
                cause = REASON_OF_PROBLEM[ProblemCode(one["code"])]
                found.append({"cause": cause.value, "view": clip.view, "code": one["code"]})
    return found


def _marked(
    desk: Desk, submission: Submission, marked: MarkedFrame, asking: Asking
) -> dict[str, Any]:
    clip = clip_of(desk.session, desk.actor, submission.id, marked.clip_id)
    analysis = current_analysis(clip)
    if analysis is None:
        raise Invalid("Nothing was measured on that clip, so there is no frame to mark.")
    time_s = load_tracks(asking.storage, analysis).time_s(marked.frame)
    facts = analysis.measurement["clip"]
    if time_s is None:
        raise Invalid("The clip does not have that frame.")
    if not (0 <= marked.x <= facts["width"] and 0 <= marked.y <= facts["height"]):
        raise Invalid("The spot is outside the picture.")
    key = product_key(clip.id, analysis.pipeline_version, still_name(marked.frame))
    return {
        "clip_id": str(clip.id),
        "view": clip.view,
        "frame": marked.frame,
        "time_s": time_s,
        "x": marked.x,
        "y": marked.y,
        "width": facts["width"],
        "height": facts["height"],
        "words": marked.words,
        "key": key if asking.storage.exists(key) else None,
    }
