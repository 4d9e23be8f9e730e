"""An answer as a sheet to print or keep, made from what the answer kept: never from today's library."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from api.db.answers import sent_answer
from api.db.clips import current_analysis, may_see_clips
from api.db.models import Answer, Clip, Submission
from api.db.submissions import NOT_THERE, submission_for
from api.domain.actors import Actor
from api.domain.errors import NotFound
from api.services.proof import proof_as_kept
from api.services.reviews import drill_as_kept
from api.sheet.contents import contents
from api.sheet.render import Files, Page, fingerprint
from api.sheet.source import ClipOf, Source
from api.storage.base import Storage

NO_ANSWER = "There is no such answer. It may have been called back."


@dataclass(frozen=True, slots=True)
class Sheet:
    """What is to be set. ``mark`` changes with every byte of the document; ``name``: of the file."""

    page: Page
    files: Files
    mark: str
    name: str


def sheet_of(
    session: Session, actor: Actor, submission_id: UUID, number: int, storage: Storage
) -> Sheet:
    """The sheet of a submission's answer ``number``, for whoever may read that answer.

    One whose place a corrected answer took says so. Raises ``NotFound`` for what was called back or was never there,
    and for an admin's eyes: running an academy needs no look at anybody's body.
    """
    submission = submission_for(session, actor, submission_id)
    if not may_see_clips(actor):
        raise NotFound(NOT_THERE)
    answer = sent_answer(session, submission.id, number)
    if answer is None:
        raise NotFound(NO_ANSWER)
    page, files = contents(_source(submission, answer, storage))
    zone = ZoneInfo(submission.student.academy.time_zone)
    return Sheet(page, files, fingerprint(page, files), _file_name(answer.sent_at, zone, number))


def _source(submission: Submission, answer: Answer, storage: Storage) -> Source:
    def read_picture(key: str) -> bytes | None:
        try:
            with storage.open(key) as file:
                return file.read()
        except FileNotFoundError:
            return None

    academy = submission.student.academy
    return Source(
        academy=academy.name,
        zone=ZoneInfo(academy.time_zone),
        student=submission.student.person.name,
        language=submission.student.language,
        handed=submission.handed,
        club=submission.club_name,
        purpose=submission.purpose,
        text=answer.text,
        content=_as_kept(answer.content),
        sent_at=answer.sent_at,
        what_changed=answer.what_changed,
        superseded_at=answer.superseded_at,
        clips=[ClipOf(str(clip.id), clip.view, _size(clip)) for clip in submission.clips],
        read_picture=read_picture,
    )


def _as_kept(content: Mapping[str, Any]) -> dict[str, Any]:
    """The snapshot, with what answers from before did not keep yet."""
    return {
        "pictures": [],
        **content,
        "drills": [drill_as_kept(row) for row in content["drills"]],
        "drill_proof": proof_as_kept(content.get("drill_proof")),
    }


def _size(clip: Clip) -> tuple[int, int] | None:
    analysis = current_analysis(clip)
    if analysis is None or "clip" not in analysis.measurement:
        return None
    size = analysis.measurement["clip"]
    return size["width"], size["height"]


def _file_name(sent_at: datetime, zone: ZoneInfo, number: int) -> str:
    """Plain letters alone, nobody's name: where it is saved others may look."""
    return f"swing-answer-{sent_at.astimezone(zone):%Y-%m-%d}-{number}.pdf"
