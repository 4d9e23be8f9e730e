"""Submissions as a student sends them, without the upload."""

from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import UUID

from sqlalchemy.orm import Session, sessionmaker

from api.db import jobs
from api.db.models import Clip, Submission
from api.db.session import transaction
from api.domain.tasks import TaskName
from api.storage.base import Storage
from api.storage.keys import original_key
from tests import factories


class Sender:
    """Sends submissions as a student does, without the upload."""

    def __init__(self, factory: sessionmaker[Session], storage: Storage, clip: Path) -> None:
        self.factory, self.storage, self.clip = factory, storage, clip

    def send(self, *files: Path, purpose: str = "full") -> tuple[UUID, list[UUID]]:
        """A submission with one clip a file (face-on, then down-the-line), each with its job."""
        views = ["face-on", "down-the-line"]
        with transaction(self.factory) as session:
            student = factories.make_member(session)
            now = datetime.now(UTC)
            submission = factories.make_submission(
                session,
                student,
                state="analysing",
                purpose=purpose,
                received_at=now,
                due_at=now + timedelta(hours=48),
            )
            clips = []
            for view, file in zip(views, files or [self.clip], strict=False):
                clip = factories.make_clip(session, submission, view=view)
                self.storage.put_file(original_key(clip.id), file)
                jobs.enqueue(session, TaskName.ANALYSE_CLIP, clip.id)
                clips.append(clip.id)
            return submission.id, clips

    def submission(self, submission_id: UUID) -> Submission:
        with transaction(self.factory) as session:
            return session.get_one(Submission, submission_id)

    def clip_row(self, clip_id: UUID) -> Clip:
        with transaction(self.factory) as session:
            return session.get_one(Clip, clip_id)
