"""Uploads: visibility, the step from the last byte to a clip, and the end of abandoned ones.

``finish_upload`` and ``sweep_uploads`` are complete in themselves, so that the API, the sweeper
and a request that comes back after a crash all take the same path.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Protocol
from uuid import UUID

from sqlalchemy import Select, select, update
from sqlalchemy.orm import Session, sessionmaker

from api.db.audit import record
from api.db.jobs import enqueue
from api.db.models import Clip, Submission, Upload
from api.db.people import acts_as
from api.db.session import transaction
from api.db.submissions import due_after, lock_submission, move_submission, settle_submission
from api.domain.actors import Actor
from api.domain.ids import made_at
from api.domain.states import ClipState, SubmissionState, UploadState
from api.domain.tasks import TaskName

_MEASURED_AGAIN = frozenset(
    {SubmissionState.RECEIVING, SubmissionState.REFILM_ASKED, SubmissionState.UNREADABLE}
)
_CLOSED = frozenset(
    {SubmissionState.WITH_COACH, SubmissionState.ANSWERED, SubmissionState.WITHDRAWN}
)
_OVER = frozenset({UploadState.EXPIRED, UploadState.CANCELLED})
_ROW_MUST_BE_THERE_AFTER = timedelta(hours=1)
_LOOKED_FOR_STRAYS = timedelta(days=3)
"""Longer than an upload lives (a day) and a sweeper is away."""


class ArrivedFile(Protocol):
    """A whole upload, in the store."""

    @property
    def bytes(self) -> int:
        """Its size."""

    @property
    def sha256(self) -> str:
        """Its digest, hexadecimal."""


class Shelf(Protocol):
    """Where the bytes are (``api.storage.uploads.UploadShelf``)."""

    def offset(self, upload_id: UUID) -> int:
        """How much has arrived; ``FileNotFoundError`` when the upload is gone."""

    def hand_over(self, upload_id: UUID) -> ArrivedFile:
        """Move the whole upload into the store; harmless to repeat."""

    def remove(self, upload_id: UUID) -> None:
        """Delete the bytes of an upload that will not become a clip."""

    def ids(self) -> set[UUID]:
        """Every upload that has a file."""


@dataclass(frozen=True, slots=True)
class Swept:
    """What one sweep did."""

    finished: int
    expired: int
    strays: int


def uploads_of(actor: Actor) -> Select[Upload]:
    """Where every read of uploads starts: the student whose clip it is, and a child's guardian.

    It is the student's, whoever sends it: what a guardian sent does not go with the guardian.
    """
    return select(Upload).where(Upload.owner_id.in_(acts_as(actor)))


def finish_upload(
    factory: sessionmaker[Session], shelf: Shelf, upload_id: UUID, *, now: datetime
) -> UUID | None:
    """Turn a whole upload into a clip with its job, once. Returns the clip's id.

    None when there is nothing to finish: bytes are missing, or the upload was cancelled. The bytes
    go into the store first and one transaction says so afterwards; a crash in between leaves the
    upload whole, and the next request or sweep comes through here again. The clip takes the id of
    its upload, so a repetition stores to the same place.
    """
    with transaction(factory) as session:
        upload = session.get(Upload, upload_id)
        if upload is None or upload.state != UploadState.RECEIVING:
            return upload_id if upload is not None and _is_complete(upload) else None
    try:
        if shelf.offset(upload_id) != upload.length:
            return None
        arrived = shelf.hand_over(upload_id)
    except FileNotFoundError:
        return None
    with transaction(factory) as session:
        clip = _record_arrival(session, upload_id, arrived, now)
    if clip is None:
        shelf.remove(upload_id)
    return clip


def _is_complete(upload: Upload) -> bool:
    return upload.state == UploadState.COMPLETE


def _record_arrival(
    session: Session, upload_id: UUID, arrived: ArrivedFile, now: datetime
) -> UUID | None:
    """One transaction: the upload complete, its clip, its job, the submission moved."""
    upload = session.get_one(Upload, upload_id)
    submission = lock_submission(session, upload.submission_id)
    wanted = submission.state not in _CLOSED
    if not _end(session, upload_id, UploadState.COMPLETE if wanted else UploadState.CANCELLED):
        session.refresh(upload)
        return upload_id if _is_complete(upload) else None
    if not wanted:
        return None
    _retire_clip_of_view(session, upload, now)
    clip = Clip(
        id=upload_id,
        submission_id=upload.submission_id,
        upload_id=upload_id,
        view=upload.view,
        bytes=arrived.bytes,
        sha256=arrived.sha256,
        filename=upload.filename,
        received_at=now,
    )
    session.add(clip)
    session.flush()
    enqueue(session, TaskName.ANALYSE_CLIP, clip.id)
    _start_measuring(submission, now)
    _record_clip(session, submission, clip)
    return upload_id


def _end(session: Session, upload_id: UUID, state: UploadState) -> bool:
    """Take an upload out of ``receiving``; False when somebody did so before."""
    ended = session.execute(
        update(Upload)
        .where(Upload.id == upload_id, Upload.state == UploadState.RECEIVING)
        .values(state=state.value)
        .returning(Upload.id)
    )
    return ended.one_or_none() is not None


def _retire_clip_of_view(session: Session, upload: Upload, now: datetime) -> None:
    session.execute(
        update(Clip)
        .where(
            Clip.submission_id == upload.submission_id,
            Clip.view == upload.view,
            Clip.replaced_at.is_(None),
        )
        .values(replaced_at=now)
    )


def _start_measuring(submission: Submission, now: datetime) -> None:
    """The promise runs from the first clip; after filming again it starts anew."""
    if SubmissionState(submission.state) not in _MEASURED_AGAIN:
        return
    move_submission(submission, SubmissionState.ANALYSING)
    submission.received_at = submission.received_at or now
    submission.due_at = due_after(now, submission.student.academy.promise_hours)


def _record_clip(session: Session, submission: Submission, clip: Clip) -> None:
    record(
        session,
        "clip.received",
        "clip",
        clip.id,
        after={"view": clip.view, "bytes": clip.bytes, "sha256": clip.sha256},
        academy_id=submission.academy_id,
    )


def cancel_upload(session: Session, upload: Upload) -> bool:
    """End an upload by the student's wish; False when it is over already."""
    cancelled = _end(session, upload.id, UploadState.CANCELLED)
    if cancelled:
        session.refresh(upload)
        settle_submission(session, upload.submission_id)
    return cancelled


def sweep_uploads(factory: sessionmaker[Session], shelf: Shelf, *, now: datetime) -> Swept:
    """Finish what is whole, expire what was abandoned, delete files that belong to nothing."""
    finished = sum(
        finish_upload(factory, shelf, upload_id, now=now) is not None
        for upload_id in _whole(factory, shelf)
    )
    expired = _expire_abandoned(factory, shelf, now)
    return Swept(finished, expired, _remove_strays(factory, shelf, now))


def _whole(factory: sessionmaker[Session], shelf: Shelf) -> list[UUID]:
    with transaction(factory) as session:
        receiving = session.execute(
            select(Upload.id, Upload.length).where(Upload.state == UploadState.RECEIVING)
        ).all()
    return [upload_id for upload_id, length in receiving if _offset(shelf, upload_id) == length]


def _offset(shelf: Shelf, upload_id: UUID) -> int | None:
    try:
        return shelf.offset(upload_id)
    except FileNotFoundError:
        return None


def _expire_abandoned(factory: sessionmaker[Session], shelf: Shelf, now: datetime) -> int:
    with transaction(factory) as session:
        ended = session.execute(
            update(Upload)
            .where(Upload.state == UploadState.RECEIVING, Upload.expires_at <= now)
            .values(state=UploadState.EXPIRED.value)
            .returning(Upload.id, Upload.submission_id)
        ).all()
        for submission_id in {row.submission_id for row in ended}:
            settle_submission(session, submission_id)
    for row in ended:
        shelf.remove(row.id)
    return len(ended)


def _remove_strays(factory: sessionmaker[Session], shelf: Shelf, now: datetime) -> int:
    """Files left behind by a crash: of uploads that ended, or whose row was never committed.

    A film that reached the store before its upload was cancelled is a person's film too.
    """
    present = shelf.ids() | _stored_but_over(factory, shelf, now)
    if not present:
        return 0
    with transaction(factory) as session:
        rows = session.execute(select(Upload.id, Upload.state).where(Upload.id.in_(present)))
        states = {row.id: UploadState(row.state) for row in rows}
    strays = [
        upload_id
        for upload_id in present
        if states.get(upload_id) in _OVER
        or (upload_id not in states and now - made_at(upload_id) > _ROW_MUST_BE_THERE_AFTER)
    ]
    for upload_id in strays:
        shelf.remove(upload_id)
    return len(strays)


def _stored_but_over(factory: sessionmaker[Session], shelf: Shelf, now: datetime) -> set[UUID]:
    with transaction(factory) as session:
        over = session.scalars(
            select(Upload.id).where(
                Upload.state.in_(_OVER), Upload.heard_at > now - _LOOKED_FOR_STRAYS
            )
        ).all()
    return {upload_id for upload_id in over if _offset(shelf, upload_id) is not None}


def current_clip(session: Session, submission_id: UUID, view: str) -> Clip | None:
    """The clip that counts for a view, if one has arrived."""
    return session.scalars(
        select(Clip).where(
            Clip.submission_id == submission_id, Clip.view == view, Clip.replaced_at.is_(None)
        )
    ).one_or_none()


def may_send_view(session: Session, submission: Submission, view: str) -> bool:
    """Whether a clip of ``view`` is still wanted: none yet, refused, or to be filmed again.

    A new film is asked of the whole submission, so each view that came before may be sent again,
    also after the first has arrived.
    """
    if SubmissionState(submission.state) in _MEASURED_AGAIN:
        return True
    clip = current_clip(session, submission.id, view)
    if clip is None or clip.state == ClipState.REFUSED:
        return True
    return submission.refilm_asked_at is not None and clip.received_at < submission.refilm_asked_at
