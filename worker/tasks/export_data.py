"""Make a copy of everything about one place: one ZIP of JSON, films and pictures, with words on what is where."""

import json
import zipfile
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from uuid import UUID

from sqlalchemy.orm import Session, sessionmaker

from api.db import exports
from api.db.base import utc_now
from api.db.models import DataExport
from api.db.session import transaction
from api.domain.errors import ClipRefused
from api.domain.states import ExportState
from api.settings import Settings
from api.storage.base import Storage
from api.storage.keys import export_key
from worker.copied_files import files_of
from worker.holding import Holding
from worker.runner import Store
from worker.scratch import scratch_folder

_CHUNK = 1024 * 1024
README = """\
What is in here
===============

This is everything that {academy} keeps about one person, as it was on {day}.

data.json     all of it as data: who the person is, what they told, clubs, what was sent when, the numbers
              with their 95 % intervals, the answers word for word, drills, consents with their texts, and
              what was done with it (acts). Times are in UTC (ISO 8601), lengths in metres, angles in degrees.
clips/        for each film a folder: the film as it was sent, and for each version of the program that
              measured it the pictures and the points it found (tracks.json: pixels of the film, upright).
answers/      the pictures that went with each answer.

What is not in here: drafts that a coach has not sent, links that let somebody in, and other people's data.
Numbers are readings of pictures, no medical advice.
"""


@dataclass(frozen=True, slots=True)
class ExportData:
    """``worker.runner.Task`` for ``TaskName.EXPORT_DATA``; the subject is a row of ``data_exports``."""

    settings: Settings
    factory: sessionmaker[Session]
    storage: Storage

    def work(self, subject_id: UUID, holding: Holding) -> Store:
        with transaction(self.factory) as session:
            wish = session.get(DataExport, subject_id)
            if wish is None or wish.state != ExportState.ASKED:
                return _store_nothing
            data = exports.data_of(session, wish.about_id)
            files = files_of(session, self.storage, wish.about_id)
        now = utc_now()
        with scratch_folder(self.settings.data_dir.resolve() / "scratch") as folder:
            path = folder / "copy.zip"
            self._write(path, data, files, holding, now)
            size = path.stat().st_size
            holding.check()
            self.storage.adopt_file(export_key(subject_id), path)
        until = now + self.settings.export_lasts
        return lambda session: exports.ready(session, subject_id, size=size, now=now, until=until)

    def refuse(self, session: Session, subject_id: UUID, refused: ClipRefused) -> None:
        """A copy is never refused."""

    def give_up(self, session: Session, subject_id: UUID, error: str) -> None:  # noqa: ARG002 - the job keeps it
        exports.failed(session, subject_id)

    def _write(
        self,
        path: Path,
        data: exports.Plain,
        files: list[tuple[str, str]],
        holding: Holding,
        now: datetime,
    ) -> None:
        with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as copy:
            copy.writestr(
                "README.txt", README.format(academy=data["academy"], day=f"{now:%d %B %Y}")
            )
            copy.writestr("data.json", json.dumps(data, ensure_ascii=False, indent=1))
            for name, key in files:
                self._add(copy, name, key, holding)

    def _add(self, copy: zipfile.ZipFile, name: str, key: str, holding: Holding) -> None:
        """Films and pictures are packed already: they are stored as they are, a piece at a time."""
        how = zipfile.ZIP_DEFLATED if name.endswith(".json") else zipfile.ZIP_STORED
        entry = zipfile.ZipInfo(name, date_time=utc_now().timetuple()[:6])
        entry.compress_type = how
        with self.storage.open(key) as source, copy.open(entry, "w", force_zip64=True) as target:
            while piece := source.read(_CHUNK):
                holding.check()
                target.write(piece)


def _store_nothing(_session: Session) -> None:
    """The wish is gone, or the copy was made before."""
