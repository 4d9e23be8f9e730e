"""Rows into bodies, with links made for whoever reads them."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import timedelta
from typing import Annotated, Any
from uuid import UUID

from fastapi import Depends, Request
from sqlalchemy.orm import Session

from api.db.answers import earlier_answers, standing_answers
from api.db.base import utc_now
from api.db.clips import current_analysis, current_clips, may_see_clips
from api.db.models import Analysis, Answer, Clip, RefilmRequest, Review, Submission, Upload
from api.db.refilm import newest_requests
from api.db.reviews import newest_reviews
from api.db.submissions import STATE_WORDS
from api.domain.actors import Actor
from api.domain.names import Role
from api.domain.refilm import RefilmReason
from api.domain.states import ReviewKind, SubmissionState, UploadState
from api.http.deps import AppSettings
from api.http.schemas.submissions import (
    AnswerRead,
    AnswerSentRead,
    ClipMediaRead,
    ClipRead,
    ClubUsed,
    ProgressRead,
    RefilmRead,
    RefusalRead,
    ReviewStateRead,
    StudentNamed,
    SubmissionRead,
    UploadRead,
)
from api.services.media import MediaLinks
from api.services.proof import proof_as_kept
from api.services.readings import as_shown, findings_told
from api.services.reviews import drill_as_kept
from api.services.two_views import borne_out, read_together
from api.storage.uploads import UploadShelf


@dataclass(frozen=True, slots=True)
class _FoundIn:
    """Findings of a submission: for each analysis those of its swings, and of two clips together."""

    of_analyses: Mapping[str, Any]
    together: Mapping[str, Any] | None

    def measurement(self, analysis: Analysis) -> dict[str, Any]:
        """A clip's measurement with the findings as they are told."""
        measurement = analysis.measurement
        found = self.of_analyses.get(str(analysis.id))
        if found is not None:
            swings = zip(measurement["swings"], found, strict=True)
            measurement = {
                **measurement,
                "swings": [{**swing, "findings": findings} for swing, findings in swings],
            }
        if self.together is None or not measurement["swings"]:
            return measurement
        return borne_out(measurement, self.together)


@dataclass(frozen=True, slots=True)
class Shower:
    """What showing things takes: links, and how much of each upload has arrived."""

    links: MediaLinks
    shelf: UploadShelf
    recall_window: timedelta

    def one(self, session: Session, actor: Actor, submission: Submission) -> SubmissionRead:
        """A submission with everything its reader may see."""
        return self._show(session, actor, [submission], whole=may_see_clips(actor))[0]

    def beside(self, session: Session, actor: Actor, review: Review) -> SubmissionRead:
        """A submission for who reads it beside the answer: what was measured and what they changed, nothing else."""
        submission = review.submission
        found = _told(session, submission, review.id, None)
        clips = [self._clip(clip, found) for clip in current_clips(submission)]
        shown = self._submission(actor, submission, review, None, clips, None)
        # How the answer fares is not theirs to know; a blind read has no time of its own.
        hidden: dict[str, Any] = {"state_reason": ""}
        if review.kind == ReviewKind.BLIND:
            hidden["due_at"] = None
        return shown.model_copy(update=hidden)

    def many(
        self, session: Session, actor: Actor, submissions: Sequence[Submission]
    ) -> list[SubmissionRead]:
        """Submissions for a list: without measurements, links and answers."""
        return self._show(session, actor, submissions, whole=False)

    def clip(self, clip: Clip) -> ClipRead:
        """One clip as it was measured: for laying beside another, findings and all as the machine had them."""
        return self._clip(clip, _FoundIn({}, None))

    def _show(
        self, session: Session, actor: Actor, submissions: Sequence[Submission], *, whole: bool
    ) -> list[SubmissionRead]:
        ids = [submission.id for submission in submissions]
        reviews = newest_reviews(session, ids)
        answers = standing_answers(session, ids) if whole else {}
        earlier = earlier_answers(session, [one.review_id for one in answers.values()])
        asked = [one.id for one in submissions if one.state == SubmissionState.REFILM_ASKED]
        refilms = newest_requests(session, asked) if whole else {}
        shown = []
        for one in submissions:
            review, answer = reviews.get(one.id), answers.get(one.id)
            # Corrections under way are the coach's until they are sent.
            open_to_reader = actor.role == Role.COACH or answer is not None
            in_force = review.id if review is not None and open_to_reader else None
            # Who corrects an answer works with what holds now, not with what it told.
            at_work = actor.role == Role.COACH and review is not None and review.corrects_now
            told = _told(session, one, in_force, None if at_work else answer) if whole else None
            clips = [self._clip(clip, told) for clip in current_clips(one)]
            read = None if answer is None else self._answer(answer, earlier)
            refilm = self._refilm(*refilms[one.id]) if one.id in refilms else None
            shown.append(self._submission(actor, one, review, read, clips, refilm))
        return shown

    def _submission(
        self,
        actor: Actor,
        submission: Submission,
        review: Review | None,
        answer: AnswerRead | None,
        clips: list[ClipRead],
        refilm: RefilmRead | None,
    ) -> SubmissionRead:
        mine = submission.student_id == actor.membership_id
        return SubmissionRead(
            id=submission.id,
            state=SubmissionState(submission.state),
            state_words=STATE_WORDS[SubmissionState(submission.state)],
            state_reason=submission.state_reason,
            created_at=submission.created_at,
            due_at=submission.due_at,
            club=_club(submission),
            purpose=submission.purpose,
            with_ball=submission.with_ball,
            handed=submission.handed,
            # A note may speak of health; running an academy does not need it.
            note="" if actor.role == Role.ADMIN else submission.note,
            student=StudentNamed(
                id=submission.student_id,
                name=submission.student.person.name,
                language=submission.student.language,
            ),
            uploads=[self._upload(one) for one in submission.uploads] if mine else [],
            clips=clips,
            review=None if review is None else ReviewStateRead.model_validate(review),
            refilm=refilm,
            answer=answer,
        )

    def _upload(self, upload: Upload) -> UploadRead:
        return UploadRead(
            id=upload.id,
            view=upload.view,
            offset=self._arrived(upload),
            length=upload.length,
            state=upload.state,
        )

    def _arrived(self, upload: Upload) -> int:
        if upload.state == UploadState.COMPLETE:
            return upload.length
        try:
            return self.shelf.offset(upload.id)
        except FileNotFoundError:
            return 0

    def _clip(self, clip: Clip, told: _FoundIn | None) -> ClipRead:
        analysis = None if told is None else current_analysis(clip)
        media = None if analysis is None else self.links.clip_media(analysis)
        return ClipRead(
            id=clip.id,
            view=clip.view,
            state=clip.state,
            refusal=_refusal(clip),
            progress=_progress(clip),
            measurement=None if analysis is None or told is None else told.measurement(analysis),
            media=None if media is None else ClipMediaRead(**asdict(media)),
        )

    def _answer(self, answer: Answer, earlier: Mapping[UUID, Sequence[Answer]]) -> AnswerRead:
        before = earlier.get(answer.review_id, [])
        return AnswerRead(
            **self._sent(answer), earlier=[AnswerSentRead(**self._sent(one)) for one in before]
        )

    def _sent(self, answer: Answer) -> dict[str, Any]:
        until = answer.sent_at + self.recall_window
        return {
            "number": answer.number,
            "text": answer.text,
            "what_changed": answer.what_changed or None,
            "sent_at": answer.sent_at,
            "coach_name": answer.content["coach_name"],
            "recall_until": until if until > utc_now() else None,
            "pictures": [one for row in answer.content["pictures"] if (one := self._picture(row))],
            "readings": [as_shown(kept) for kept in answer.content["readings"]],
            "drills": [drill_shown(row) for row in answer.content["drills"]],
            # Answers from before these were there have none, and are never rewritten.
            "later": answer.content.get("later", []),
            "findings": answer.content.get("judged"),
            "by_eye": answer.content.get("by_eye", []),
            "drawings": answer.content.get("drawings", []),
            "together": answer.content.get("together"),
            "drill_proof": proof_as_kept(answer.content.get("drill_proof")),
        }

    def _refilm(self, asked: RefilmRequest, by: str) -> RefilmRead:
        marked = asked.marked
        return RefilmRead(
            asked_at=asked.asked_at,
            asked_by=by,
            causes=[RefilmReason(cause) for cause in asked.causes],
            message=asked.message,
            drawings=asked.problems,
            marked=None if marked is None else {**marked, "url": self.links.link(marked["key"])},
            charge=asked.charge,
        )

    def _picture(self, row: Mapping[str, Any]) -> dict[str, Any] | None:
        url = self.links.link(row["key"])
        return None if url is None else {"off_moment": False, **row, "url": url}


def _told(
    session: Session, submission: Submission, review_id: UUID | None, answer: Answer | None
) -> _FoundIn:
    """What the readings point to. Once an answer stands, what it told: later targets do not reach it."""
    if answer is None:
        together = read_together(session, submission, review_id)
        return _FoundIn(findings_told(session, submission), together)
    # Answers from before these were kept leave the measurement's own as they are.
    return _FoundIn(answer.content.get("findings", {}), answer.content.get("together"))


def _club(submission: Submission) -> ClubUsed | None:
    if submission.club_name is None:
        return None
    return ClubUsed(name=submission.club_name, length_m=submission.club_length_m)


def _refusal(clip: Clip) -> RefusalRead | None:
    if clip.refusal_code is None:
        return None
    return RefusalRead(code=clip.refusal_code, message=clip.refusal_message or "")


def _progress(clip: Clip) -> ProgressRead | None:
    if clip.progress_stage is None:
        return None
    return ProgressRead(stage=clip.progress_stage, share=clip.progress_share or 0.0)


def drill_shown(row: Mapping[str, Any]) -> dict[str, Any]:
    """A drill out of an answer, as it is sent: lists as one text."""
    row = drill_as_kept(row)
    return {**row, "kit": ", ".join(row["kit"]), "caution": " ".join(row["cautions"])}


def get_shower(request: Request, settings: AppSettings) -> Shower:
    """How this app shows things."""
    storage = request.app.state.storage
    return Shower(
        links=MediaLinks(storage, request.app.state.link_signer),
        shelf=UploadShelf(settings.uploads_dir, storage),
        recall_window=settings.recall_window,
    )


Showing = Annotated[Shower, Depends(get_shower)]
