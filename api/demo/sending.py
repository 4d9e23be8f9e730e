"""Sending the demo's clips, by the same steps as a student's phone takes."""

import asyncio
from collections.abc import AsyncIterator
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from uuid import UUID

from sqlalchemy import select
from sqlalchemy.orm import Session, sessionmaker

from api.db.base import utc_now
from api.db.models import Submission, Upload
from api.db.session import transaction
from api.db.uploads import current_clip, finish_upload
from api.demo.people import actor, club_of
from api.demo.scenes import Ending, Scene
from api.domain.names import Hand, View
from api.domain.states import UploadState
from api.services import submissions, uploads
from api.services.upload_body import Incoming, receive
from api.settings import Settings
from api.storage.uploads import UploadShelf

CLIPS = Path(__file__).resolve().parents[2] / "tests" / "clips"
NOT_A_VIDEO = b"This is a shopping list: balls, tees, a towel.\n" * 40
_PIECE = 256 * 1024


@dataclass(frozen=True, slots=True)
class House:
    """What the demo works with: the real database, the real store, the real settings."""

    factory: sessionmaker[Session]
    shelf: UploadShelf
    settings: Settings


def send_scene(house: House, scene: Scene) -> UUID:
    """Start a scene's submission and send its clips; what is there already stays. Returns its id."""
    with transaction(house.factory) as session:
        submission_id = _found(session, scene) or _started(session, scene)
    for view, filename in scene.clips:
        data = NOT_A_VIDEO if scene.not_a_video else (CLIPS / filename).read_bytes()
        _send(house, scene, submission_id, view, filename, data)
    if scene.ending is Ending.WITHDRAWN:
        with transaction(house.factory) as session:
            student = actor(session, scene.student)
            submissions.withdraw_submission(session, student, submission_id)
    return submission_id


def _found(session: Session, scene: Scene) -> UUID | None:
    return session.scalar(
        select(Submission.id).where(
            Submission.student_id == actor(session, scene.student).membership_id,
            Submission.note == scene.note,
        )
    )


def _started(session: Session, scene: Scene) -> UUID:
    student = actor(session, scene.student)
    club = club_of(session, student)
    new = submissions.NewSubmission(
        club_id=club.id,
        purpose=scene.purpose,
        with_ball=True,
        handed=Hand.LEFT if "left" in club.name else Hand.RIGHT,
        note=scene.note,
    )
    return submissions.create_submission(session, student, new).id


def _send(
    house: House, scene: Scene, submission_id: UUID, view: View, filename: str, data: bytes
) -> None:
    with transaction(house.factory) as session:
        if _begun(session, scene, submission_id, view):
            return
        upload = uploads.create_upload(
            session,
            actor(session, scene.student),
            house.shelf,
            uploads.NewUpload(str(submission_id), view.value, filename, "", len(data)),
            uploads.UploadRules(
                house.settings.upload_max_bytes, house.settings.upload_expires_after
            ),
            now=utc_now(),
        )
    half = scene.ending is Ending.HALF_SENT
    piece = data[: len(data) // 2] if half else data
    asyncio.run(_receive(house, upload, piece))
    finish_upload(house.factory, house.shelf, upload.id, now=utc_now())


def _begun(session: Session, scene: Scene, submission_id: UUID, view: View) -> bool:
    """Whether a clip of the view has arrived, or, for the half-sent one, is on its way."""
    if current_clip(session, submission_id, view.value) is not None:
        return True
    on_its_way = session.scalar(
        select(Upload.id).where(
            Upload.submission_id == submission_id, Upload.state == UploadState.RECEIVING
        )
    )
    return scene.ending is Ending.HALF_SENT and on_its_way is not None


async def _receive(house: House, upload: Upload, data: bytes) -> None:
    incoming = Incoming(
        offset=0,
        announced=len(data),
        body=_pieces(data),
        checksum=None,
        read_timeout=timedelta(seconds=30),
    )
    await receive(house.shelf, upload.id, upload.length, incoming)


async def _pieces(data: bytes) -> AsyncIterator[bytes]:
    for start in range(0, len(data), _PIECE):
        yield data[start : start + _PIECE]
