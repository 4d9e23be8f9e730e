"""Erase everything about one place: files first, then all rows in one transaction with the end of the job.

Killed anywhere, it is begun again and ends the same: ``api.db.erasures``.
"""

from dataclasses import dataclass
from uuid import UUID

from sqlalchemy.orm import Session, sessionmaker

from api.db.base import utc_now
from api.db.erasures import erase_rows, erasure_due
from api.db.rows_of import rows_of_place
from api.db.session import transaction
from api.domain.errors import ClipRefused
from api.settings import Settings
from api.storage.base import Storage
from api.storage.keys import export_prefix
from api.storage.uploads import UploadShelf
from worker import faults
from worker.holding import Holding
from worker.runner import Store
from worker.scratch import clear_stale
from worker.tasks.analyse_clip import STALE_AFTER_LIMITS

FILES_GONE = "files_gone"
"""A place to be killed at, for the fault tests."""


@dataclass(frozen=True, slots=True)
class ErasePerson:
    """``worker.runner.Task`` for ``TaskName.ERASE_PERSON``; the subject is a row of ``erasures``."""

    settings: Settings
    factory: sessionmaker[Session]
    storage: Storage

    def work(self, subject_id: UUID, holding: Holding) -> Store:
        with transaction(self.factory) as session:
            erasure = erasure_due(session, subject_id)
            if erasure is None:
                return _store_nothing
            rows = rows_of_place(session, erasure.about_id)
        scratch = (
            self.settings.data_dir.resolve() / "scratch"
        )  # of a worker that was killed over a film
        clear_stale(scratch, older_than=STALE_AFTER_LIMITS * self.settings.child_wall_limit)
        shelf = UploadShelf(self.settings.uploads_dir, self.storage)
        for upload_id in sorted(rows["uploads"] | rows["clips"]):
            holding.check()
            shelf.remove(upload_id)
        for export_id in sorted(rows["data_exports"]):
            self.storage.delete_prefix(export_prefix(export_id))
        if self.settings.development:
            faults.pause_at(FILES_GONE)
        return lambda session: erase_rows(session, subject_id, utc_now())

    def refuse(self, session: Session, subject_id: UUID, refused: ClipRefused) -> None:
        """An erasure is never refused."""

    def give_up(self, session: Session, subject_id: UUID, error: str) -> None:
        """The failed job itself is what a person sees: the place stays stopped and hidden until it is done."""


def _store_nothing(_session: Session) -> None:
    """Called back, or done before."""
