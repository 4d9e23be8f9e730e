"""Sending an answer, exactly as it will stay; calling it back within a few minutes, correcting it later."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from sqlalchemy.orm import Session

from api.db.answers import (
    drills_of,
    drop_correction,
    may_correct,
    next_number,
    open_correction,
    standing_answer,
    supersede,
    take_back,
)
from api.db.audit import record
from api.db.models import Analysis, Answer, Clip, DrillAssignment, Mark, Review
from api.db.notices import Notice
from api.db.readings import COACH
from api.db.reviews import current_marks, review_for
from api.db.second_reads import close_reads
from api.db.submissions import being_measured, lock_submission, move_submission
from api.domain.actors import Actor
from api.domain.checkpoints import CHECKPOINTS
from api.domain.drill_library import DRILLS
from api.domain.errors import Conflict, NotFound
from api.domain.ids import new_id
from api.domain.languages import reads_english
from api.domain.notices import MailKind
from api.domain.states import ReviewKind, ReviewState, SubmissionState
from api.services.consents import check_may_be_answered
from api.services.double_reads import open_blind_read
from api.services.drawings import drawn_frames, on_pictures, still_by_eye
from api.services.guardians import tell_guardian
from api.services.judgement import dismissed_in, findings_for_answer, judged_in
from api.services.mails import answered_letter, corrected_letter
from api.services.notices import take_back as take_notices_back
from api.services.notices import tell
from api.services.proof import prove_last_drills
from api.services.readings import (
    Told,
    findings_told,
    measured_clips,
    reading_json,
    told_to_people,
)
from api.services.reviews import Desk, changing, refuse_reads
from api.services.two_views import read_together, without
from api.sheet.checkpoints import as_kept
from api.storage.base import Storage
from api.storage.keys import annotated_name, product_key, still_name

CALLED_BACK = "Your coach has called the answer back to change something. It will come again."
CORRECTION_CALLED_BACK = "Your coach has called the correction back to change something. Until it comes again, this answer holds."


@dataclass(frozen=True, slots=True)
class Sending:
    """What sending needs beyond the desk: the store, where the pages are, and the secret that picks double reads."""

    storage: Storage
    base_url: str
    secret: bytes


def send_answer(
    desk: Desk, review_id: UUID, versions: Sequence[int] | None, sending: Sending
) -> Review:
    """Send the draft to the student: one transaction for the answer, its drills and the mail.

    The draft of a correction takes the place of the answer it corrects, which stays to be read. A question to a colleague
    that is still open ends, and the academy's share of answers gets a blind read. Raises ``Conflict`` with code ``nothing_to_send`` when there are no words in it, and
    ``still_measuring`` while a clip has arrived that the coach cannot have judged; of a correction with
    ``say_what_changed`` when the student would not be told.
    """
    with changing(desk, review_id, versions, "review.sent") as review:
        refuse_reads(review)
        if not review.draft_text.strip():
            raise Conflict(
                "Write a few words before you send: numbers alone are no answer.",
                code="nothing_to_send",
            )
        submission = lock_submission(desk.session, review.submission_id)
        check_may_be_answered(desk.session, submission.student_id, desk.now)
        if being_measured(desk.session, submission.id):
            raise Conflict(
                "Another clip of this submission has arrived and is being measured. Look at it "
                "before you send: it takes about a minute.",
                code="still_measuring",
            )
        corrected = _make_way(desk, review)
        answer = _answer(desk, review, sending.storage, corrected)
        desk.session.add(answer)
        desk.session.flush()
        _prescribe(desk, review, answer)
        review.state = ReviewState.ANSWERED.value
        review.lease_ends_at = None
        review.answered_at = desk.now
        review.amends_number = None
        review.draft_what_changed = ""
        if corrected is None:
            move_submission(submission, SubmissionState.ANSWERED)
        submission.state_reason = ""
        person = submission.student.person
        write = answered_letter if corrected is None else corrected_letter
        letter = write(sending.base_url, person.name)
        notice = Notice(MailKind.ANSWERED, submission.student_id, submission.id)
        tell(desk.session, notice, letter, desk.now)
        close_reads(desk.session, submission.id, ReviewKind.SECOND)
        if corrected is None:
            open_blind_read(desk.session, desk.actor, review, sending.secret)
        what = "a coach has answered" if corrected is None else "a coach has corrected an answer"
        tell_guardian(desk.session, sending.base_url, submission, what, desk.now)
    return review


def _make_way(desk: Desk, review: Review) -> Answer | None:
    """The answer that a correction replaces, which stands no longer; ``None`` for a first answer."""
    if review.amends_number is None:
        return None
    if not review.draft_what_changed.strip():
        raise Conflict(
            "Say in a few words what has changed: the student has read the answer from before.",
            code="say_what_changed",
        )
    corrected = supersede(desk.session, review.id, review.amends_number, desk.now)
    if corrected is None:
        raise Conflict(
            "The answer that this corrects does not stand any more. Load the review again.",
            code="nothing_to_correct",
        )
    return corrected


def correct_answer(desk: Desk, review_id: UUID, window: timedelta) -> Review:
    """Take an answered review up again, to correct what the student reads meanwhile.

    The draft is as it was sent, or as an earlier correction that never went out left it. Raises ``Conflict``:
    ``call_it_back`` while that is still possible, ``not_yours_to_correct`` when another coach sent it who is
    still there, ``already_claimed`` when a correction is under way.
    """
    review_for(desk.session, desk.actor, review_id)
    sent_before = desk.now - window
    if open_correction(
        desk.session, desk.actor, review_id, sent_before=sent_before, until=desk.until
    ):
        review = review_for(desk.session, desk.actor, review_id)
        after: dict[str, object] = {"corrects": review.amends_number}
        record(
            desk.session, "review.correcting", "review", review_id, actor=desk.actor, after=after
        )
        return review
    raise _why_not_correct(desk, review_for(desk.session, desk.actor, review_id), sent_before)


def _why_not_correct(desk: Desk, review: Review, sent_before: datetime) -> Conflict:
    answer = standing_answer(desk.session, review.submission_id)
    if answer is None or answer.review_id != review.id:
        return Conflict("There is no answer to correct.", code="nothing_to_correct")
    if review.state == ReviewState.CLAIMED:
        return Conflict("A correction is under way already.", code="already_claimed")
    if not may_correct(desk.session, desk.actor, answer):
        return Conflict(
            "An answer is corrected by the coach who sent it. Another may once that coach has left.",
            code="not_yours_to_correct",
        )
    if answer.sent_at > sent_before:
        return Conflict(
            "The answer was sent a moment ago: call it back to change it.", code="call_it_back"
        )
    return Conflict("The answer changed just now. Load the review again.", code="try_again")


def may_correct_now(
    session: Session, actor: Actor, review: Review, *, sent_before: datetime
) -> bool:
    """Whether the page may offer a correction: what ``correct_answer`` would allow."""
    if review.state != ReviewState.ANSWERED:
        return False
    answer = standing_answer(session, review.submission_id)
    return (
        answer is not None
        and answer.review_id == review.id
        and answer.sent_at <= sent_before
        and may_correct(session, actor, answer)
    )


def recall_answer(desk: Desk, review_id: UUID, window: timedelta) -> Review:
    """Take an answer back into the hands of the coach who sent it.

    Behind a correction that is called back the answer from before stands again. Raises ``Conflict`` with code ``too_late_to_recall`` once ``window`` has passed, or when there
    is no answer of theirs to call back.
    """
    review = review_for(desk.session, desk.actor, review_id)
    answer = standing_answer(desk.session, review.submission_id)
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
    if answer is None:  # what was just taken back was read a line above
        raise NotFound("There is no answer to call back.")
    if answer.corrects_number is None:
        move_submission(submission, SubmissionState.WITH_COACH, CALLED_BACK)
    else:
        earlier = drop_correction(desk.session, answer)
        submission.state_reason = CORRECTION_CALLED_BACK
        review = review_for(desk.session, desk.actor, review_id)
        review.amends_number = earlier.number
        review.answered_at = earlier.sent_at
        review.draft_what_changed = answer.what_changed
    take_notices_back(desk.session, submission_id, desk.now)
    desk.session.flush()
    record(desk.session, "review.recalled", "review", review_id, actor=desk.actor)
    return review_for(desk.session, desk.actor, review_id)


def _answer(desk: Desk, review: Review, storage: Storage, corrected: Answer | None) -> Answer:
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
            "checkpoints": as_kept(told.checkpoint for told in readings),
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
        first_sent_at=desk.now if corrected is None else corrected.first_sent_at,
        corrects_number=None if corrected is None else corrected.number,
        what_changed="" if corrected is None else review.draft_what_changed.strip(),
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
    """Give the drills of the draft. A correction leaves alone what it says again, and takes back the rest."""
    wanted = {
        chosen["drill_id"]: {name: value for name, value in chosen.items() if name != "drill_id"}
        for chosen in review.draft_drills
    }
    for given in drills_of(desk.session, answer):
        if wanted.get(given.drill) == given.dose:
            del wanted[given.drill]
        else:
            given.withdrawn_at = desk.now
            given.withdrawn_by_number = answer.number
    for drill, dose in wanted.items():
        desk.session.add(
            DrillAssignment(
                answer_id=answer.id,
                student_id=review.submission.student_id,
                drill=drill,
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

    A keyframe whose main number is told otherwise, or on which the coach drew, gets the plain picture of its frame, and so
    does every one for a student whose numbers are not written as the worker writes them (an English point): the page
    draws the points it was read from over it. A picture that was never made is left out. A frame that was drawn on and
    that its keyframe has left since (``off_moment``) comes after the keyframes.
    """
    drawn: set[str] = set()
    written_alike = reads_english(clip.submission.student.language)
    left = dict(drawn_on)
    for number, swing in enumerate(analysis.measurement["swings"]):
        for keyframe, found in swing["keyframes"].items():
            mark = _mark_at(marks, clip, number, keyframe)
            frame = found.get("frame") if mark is None else mark.frame
            machine_holds = mark is None and not _told_otherwise(readings, clip, number, keyframe)
            lines_drawn = (
                written_alike and machine_holds and keyframe not in drawn and frame not in drawn_on
            )
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
