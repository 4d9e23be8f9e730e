"""Sending a clip: opening an upload, finding it again, ending it. The bytes: ``upload_body``."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from sqlalchemy import update
from sqlalchemy.orm import Session

from api.db.audit import record
from api.db.base import utc_now
from api.db.models import Submission, Upload
from api.db.people import student_acted_as
from api.db.submissions import end_unfinished_uploads, lock_submission, submission_for
from api.db.uploads import cancel_upload, may_send_view, uploads_of
from api.domain.actors import Actor
from api.domain.errors import Conflict, Invalid, NotFound, TooLarge
from api.domain.ids import new_id
from api.domain.names import View
from api.domain.refusals import MESSAGES, RefusalCode
from api.domain.states import SubmissionState, UploadState
from api.domain.upload_errors import StorageFull, UploadGone
from api.services.consents import check_may_send
from api.storage.uploads import UploadShelf

_FREE_SPACE_KEPT = 256 * 1024 * 1024
"""Beyond the file itself; more than what uploads leave while they arrive (``upload_body``)."""
_MAX_FILENAME = 200
_CLOSED = {
    SubmissionState.WITH_COACH: "A coach is working on this submission, so no clip can be added.",
    SubmissionState.ANSWERED: "This submission is answered. Start a new one for a new clip.",
    SubmissionState.WITHDRAWN: "This submission was withdrawn. Start a new one.",
}
_VIEW_WORDS = {View.FACE_ON: "face-on", View.DOWN_THE_LINE: "down-the-line"}


@dataclass(frozen=True, slots=True)
class NewUpload:
    """What the sender says about a file before sending it."""

    submission_id: str | None
    view: str | None
    filename: str
    metadata_header: str
    length: int


@dataclass(frozen=True, slots=True)
class UploadRules:
    """Limits on uploads, from the settings."""

    max_bytes: int
    expires_after: timedelta


def create_upload(
    session: Session,
    actor: Actor,
    shelf: UploadShelf,
    new: NewUpload,
    rules: UploadRules,
    *,
    now: datetime,
) -> Upload:
    """Open an upload for one view of the student's own submission, by them or their guardian.

    An unfinished upload of the same view makes way: choosing a file again is starting again.
    Raises ``NotFound`` for a submission that is not the student's, ``Invalid`` for an empty file
    or an unknown view, ``TooLarge``, ``Conflict`` when no clip of that view is wanted or no consent is in
    force, and ``StorageFull``.
    """
    submission, view = _checked(session, actor, new)
    check_may_send(session, actor, submission.student_id, now)
    _check_size(new.length, rules.max_bytes, shelf)
    _check_wanted(session, submission, view)
    end_unfinished_uploads(session, submission.id, Upload.view == view.value)
    upload = Upload(
        id=new_id(),
        submission_id=submission.id,
        owner_id=submission.student_id,
        view=view.value,
        filename=new.filename[:_MAX_FILENAME],
        metadata_header=new.metadata_header,
        length=new.length,
        expires_at=now + rules.expires_after,
    )
    session.add(upload)
    record(
        session,
        "upload.opened",
        "upload",
        upload.id,
        actor=actor,
        after={"submission_id": str(submission.id), "view": view.value, "length": new.length},
    )
    session.flush()
    shelf.create(upload.id)
    return upload


def _checked(session: Session, actor: Actor, new: NewUpload) -> tuple[Submission, View]:
    try:
        submission_id = UUID(new.submission_id or "")
    except ValueError:
        raise Invalid("Say which submission the clip belongs to (submission_id).") from None
    submission = submission_for(session, actor, submission_id)
    student_acted_as(session, actor, submission.student_id)
    if new.view not in set(View):
        raise Invalid(f"The view must be one of {', '.join(View)}.")
    return lock_submission(session, submission_id), View(new.view)


def _check_size(length: int, most: int, shelf: UploadShelf) -> None:
    if length == 0:
        raise Invalid(MESSAGES[RefusalCode.EMPTY_FILE], code=RefusalCode.EMPTY_FILE.value)
    if length > most:
        limit = f"{most / 1024**2:.0f} MB"
        raise TooLarge(MESSAGES[RefusalCode.TOO_LARGE].format(limit=limit))
    if shelf.free_bytes() < length + _FREE_SPACE_KEPT:
        raise StorageFull("We have no room for this clip at the moment. Try again later.")


def _check_wanted(session: Session, submission: Submission, view: View) -> None:
    closed = _CLOSED.get(SubmissionState(submission.state))
    if closed is not None:
        raise Conflict(closed, code="no_clip_wanted")
    if not may_send_view(session, submission, view.value):
        raise Conflict(
            f"This submission has its {_VIEW_WORDS[view]} clip already. "
            "Send the other view, or start a new submission.",
            code="view_already_sent",
        )


def upload_for(session: Session, actor: Actor, upload_id: UUID) -> Upload:
    """An upload of the actor's own, or of a child's they answer for, still open or complete.

    Raises ``NotFound`` for anybody else's, ``UploadGone`` for one that expired or was cancelled.
    """
    upload = session.scalars(uploads_of(actor).where(Upload.id == upload_id)).one_or_none()
    if upload is None:
        raise NotFound("There is no such upload, or it is not yours.")
    if upload.state == UploadState.EXPIRED:
        raise UploadGone("This upload was left unfinished for too long. Choose the clip again.")
    if upload.state == UploadState.CANCELLED:
        raise UploadGone(
            "This upload was ended: another file took its place, or a coach has begun with the "
            "submission. Choose the clip again, in a new submission if a coach has this one."
        )
    return upload


def live_upload(session: Session, actor: Actor, upload_id: UUID, *, now: datetime) -> Upload:
    """The same, refusing one whose time is up even before the sweeper has come by."""
    upload = upload_for(session, actor, upload_id)
    if upload.state == UploadState.RECEIVING and upload.expires_at <= now:
        raise UploadGone("This upload was left unfinished for too long. Choose the clip again.")
    return upload


def prolong_upload(session: Session, upload_id: UUID, until: datetime) -> None:
    """Progress keeps an upload alive."""
    session.execute(
        update(Upload)
        .where(Upload.id == upload_id, Upload.state == UploadState.RECEIVING)
        .values(expires_at=until, heard_at=utc_now())
    )


def terminate_upload(session: Session, actor: Actor, upload_id: UUID) -> None:
    """Cancel an unfinished upload; the caller deletes its bytes after the commit.

    Raises ``Conflict`` when it has become a clip: what was received is not lost by a late tap;
    the student withdraws the submission instead.
    """
    upload = upload_for(session, actor, upload_id)
    if not cancel_upload(session, upload):
        raise Conflict(
            "The clip has arrived already. To take it back, withdraw the submission.",
            code="already_received",
        )
    record(session, "upload.cancelled", "upload", upload.id, actor=actor)
