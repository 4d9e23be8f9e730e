"""Sending an answer, exactly as it will stay, and calling it back within a few minutes."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import Any
from uuid import UUID

from api.db.answers import next_number, take_back
from api.db.audit import record
from api.db.mails import queue_mail
from api.db.models import Analysis, Answer, Clip, DrillAssignment, Mark, Review
from api.db.readings import COACH
from api.db.reviews import current_marks, review_for
from api.db.submissions import being_measured, lock_submission, move_submission
from api.domain.checkpoints import CHECKPOINTS
from api.domain.drill_library import DRILLS
from api.domain.errors import Conflict
from api.domain.ids import new_id
from api.domain.states import ReviewState, SubmissionState
from api.services.drawings import drawn_frames, on_pictures, still_by_eye
from api.services.judgement import dismissed_in, findings_for_answer, judged_in
from api.services.mails import answered_letter
from api.services.proof import prove_last_drills
from api.services.readings import (
    Told,
    findings_told,
    measured_clips,
    reading_json,
    told_to_people,
)
from api.services.reviews import Desk, changing
from api.services.two_views import read_together, without
from api.storage.base import Storage
from api.storage.keys import annotated_name, product_key, still_name

CALLED_BACK = "Your coach has called the answer back to change something. It will come again."


@dataclass(frozen=True, slots=True)
class Sending:
    """What sending needs beyond the desk: the store, and where the pages are."""

    storage: Storage
    base_url: str


def send_answer(
    desk: Desk, review_id: UUID, versions: Sequence[int] | None, sending: Sending
) -> Review:
    """Send the draft to the student: one transaction for the answer, its drills and the mail.

    Raises ``Conflict`` with code ``nothing_to_send`` when there are no words in it, and
    ``still_measuring`` while a clip has arrived that the coach cannot have judged.
    """
    with changing(desk, review_id, versions, "review.sent") as review:
        if not review.draft_text.strip():
            raise Conflict(
                "Write a few words before you send: numbers alone are no answer.",
                code="nothing_to_send",
            )
        submission = lock_submission(desk.session, review.submission_id)
        if being_measured(desk.session, submission.id):
            raise Conflict(
                "Another clip of this submission has arrived and is being measured. Look at it "
                "before you send: it takes about a minute.",
                code="still_measuring",
            )
        answer = _answer(desk, review, sending.storage)
        desk.session.add(answer)
        desk.session.flush()
        _prescribe(desk, review, answer)
        review.state = ReviewState.ANSWERED.value
        review.lease_ends_at = None
        review.answered_at = desk.now
        move_submission(submission, SubmissionState.ANSWERED)
        person = submission.student.person
        letter = answered_letter(sending.base_url, person.name)
        queue_mail(desk.session, person.email, letter.subject, letter.body)
    return review


def recall_answer(desk: Desk, review_id: UUID, window: timedelta) -> Review:
    """Take an answer back into the hands of the coach who sent it.

    Raises ``Conflict`` with code ``too_late_to_recall`` once ``window`` has passed, or when there
    is no answer of theirs to call back.
    """
    review_for(desk.session, desk.actor, review_id)
    submission_id = take_back(
        desk.session,
        desk.actor,
        review_id,
        sent_after=desk.now - window,
        now=desk.now,
        until=desk.until,
    )
    if submission_id is None:
        minutes = int(window.total_seconds() // 60)
        raise Conflict(
            f"An answer can be called back by the coach who sent it, within {minutes} minutes.",
            code="too_late_to_recall",
        )
    submission = lock_submission(desk.session, submission_id)
    move_submission(submission, SubmissionState.WITH_COACH, CALLED_BACK)
    record(desk.session, "review.recalled", "review", review_id, actor=desk.actor)
    return review_for(desk.session, desk.actor, review_id)


def _answer(desk: Desk, review: Review, storage: Storage) -> Answer:
    readings = told_to_people(desk.session, review.submission, review.id)
    marks = current_marks(desk.session, review.id)
    dismissed = dismissed_in(judged_in(review))
    pictures = [
        picture
        for clip, analysis in measured_clips(review.submission)
        for picture in _pictures(
            clip, analysis, readings, marks, drawn_frames(review, clip), storage
        )
    ]
    return Answer(
        id=new_id(),
        review_id=review.id,
        submission_id=review.submission_id,
        number=next_number(desk.session, review.id),
        text=review.draft_text.strip(),
        content={
            "coach_name": review.coach.person.name if review.coach else "",
            "readings": [reading_json(told) for told in readings],
            "findings": _still_told(findings_told(desk.session, review.submission), dismissed),
            "pictures": pictures,
            "drills": [_drill_json(chosen) for chosen in review.draft_drills],
            "later": list(review.draft_later),
            "judged": findings_for_answer(desk.session, review),
            "by_eye": still_by_eye(review),
            "drawings": on_pictures(review, pictures),
            "together": without(
                read_together(desk.session, review.submission, review.id), dismissed
            ),
            "drill_proof": prove_last_drills(desk.session, review.submission, review.id),
        },
        sent_by=desk.actor.membership_id,
        sent_at=desk.now,
    )


def _still_told(findings: Mapping[str, Any], dismissed: set[str]) -> dict[str, Any]:
    """By analysis, for each swing, without what the coach took away."""
    return {
        analysis: [[one for one in swing if one["code"] not in dismissed] for swing in swings]
        for analysis, swings in findings.items()
    }


def _drill_json(chosen: Mapping[str, Any]) -> dict[str, Any]:
    drill = DRILLS[chosen["drill_id"]]
    return {
        **chosen,
        "name": drill.name,
        "purpose": drill.purpose,
        "kit": list(drill.kit),
        "steps": list(drill.steps),
        "cautions": list(drill.cautions),
        "next_clip": drill.next_clip,
    }


def _prescribe(desk: Desk, review: Review, answer: Answer) -> None:
    for chosen in review.draft_drills:
        dose = {name: value for name, value in chosen.items() if name != "drill_id"}
        desk.session.add(
            DrillAssignment(
                answer_id=answer.id,
                student_id=review.submission.student_id,
                drill=chosen["drill_id"],
                dose=dose,
            )
        )


def _pictures(
    clip: Clip,
    analysis: Analysis,
    readings: Sequence[Told],
    marks: Sequence[Mark],
    drawn_on: Mapping[int, tuple[int, str]],
    storage: Storage,
) -> Iterator[dict[str, Any]]:
    """One picture a keyframe. The machine's lines are only shown where they still hold.

    A keyframe whose main number is told otherwise, or on which the coach drew, gets the plain picture of its frame: the page
    draws the points it was read from over it. A picture that was never made is left out. A frame that was drawn on and
    that its keyframe has left since (``off_moment``) comes after the keyframes.
    """
    drawn: set[str] = set()
    left = dict(drawn_on)
    for number, swing in enumerate(analysis.measurement["swings"]):
        for keyframe, found in swing["keyframes"].items():
            mark = _mark_at(marks, clip, number, keyframe)
            frame = found.get("frame") if mark is None else mark.frame
            machine_holds = mark is None and not _told_otherwise(readings, clip, number, keyframe)
            lines_drawn = machine_holds and keyframe not in drawn and frame not in drawn_on
            if frame is None:
                continue
            drawn.add(keyframe)
            left.pop(frame, None)
            name = annotated_name(keyframe) if lines_drawn else still_name(frame)
            key = product_key(clip.id, analysis.pipeline_version, name)
            if storage.exists(key):
                yield {
                    "clip_id": str(clip.id),
                    "swing": number,
                    "keyframe": keyframe,
                    "frame": frame,
                    "key": key,
                    "lines_drawn": lines_drawn,
                    "off_moment": False,
                }
    for frame, (number, keyframe) in sorted(left.items()):
        key = product_key(clip.id, analysis.pipeline_version, still_name(frame))
        mark = _mark_at(marks, clip, number, keyframe)
        if storage.exists(key):
            yield {
                "clip_id": str(clip.id),
                "swing": number,
                "keyframe": keyframe,
                "frame": frame,
                "key": key,
                "lines_drawn": False,
                "off_moment": mark is None or mark.frame != frame,
            }


def _mark_at(marks: Sequence[Mark], clip: Clip, swing: int, keyframe: str) -> Mark | None:
    place = (clip.id, swing, keyframe)
    return next((row for row in marks if (row.clip_id, row.swing, row.keyframe) == place), None)


def _told_otherwise(readings: Sequence[Told], clip: Clip, swing: int, keyframe: str) -> bool:
    """Whether the words on the machine's picture no longer hold: those of a main number.

    It names value and band. A coach's reading, what corrections taught and a target of the student's own
    change one or both, and a picture must never say another number than the answer beside it.
    """
    return any(
        (told.row.source == COACH or told.learnt is not None or told.own is not None)
        and (told.row.clip_id, told.row.swing) == (clip.id, swing)
        and CHECKPOINTS[told.checkpoint].main
        and CHECKPOINTS[told.checkpoint].keyframe == keyframe
        for told in readings
    )
