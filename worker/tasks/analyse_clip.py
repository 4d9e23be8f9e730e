"""Measure one clip: fetch it, let the child work, keep what it made."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from uuid import UUID

from sqlalchemy.orm import Session, sessionmaker

from api.db import analyses
from api.db.analyses import ClipToMeasure
from api.db.session import transaction
from api.domain.errors import ClipRefused
from api.domain.measurement import Measurement
from api.domain.measurement_json import from_json
from api.settings import Settings
from api.storage.base import Storage
from api.storage.keys import original_key, product_key
from worker import faults
from worker.child_messages import MEASUREMENT, Order, read_json
from worker.holding import Holding
from worker.measuring import measure_in_child
from worker.runner import Store
from worker.scratch import clear_stale, scratch_folder

REAL_MEASURER = "worker.pipeline:measure_clip"
STALE_AFTER_LIMITS = 6

STORING = "storing"
"""The stage after measuring; ``committing`` follows it for the fault tests alone."""


@dataclass(frozen=True, slots=True)
class AnalyseClip:
    """``worker.runner.Task`` for ``TaskName.ANALYSE_CLIP``; the subject is a clip.

    ``measurer`` names the function that measures; tests give a small one.
    """

    settings: Settings
    factory: sessionmaker[Session]
    storage: Storage
    measurer: str = REAL_MEASURER

    def work(self, subject_id: UUID, holding: Holding) -> Store:
        with transaction(self.factory) as session:
            clip = analyses.clip_to_measure(session, subject_id)
        if clip is None:
            return _store_nothing
        root = self.settings.data_dir.resolve() / "scratch"
        clear_stale(root, older_than=STALE_AFTER_LIMITS * self.settings.child_wall_limit)
        with scratch_folder(root) as folder:
            files = self._measure(clip, folder, holding)
            measurement = from_json(read_json(folder / MEASUREMENT))
            self._announce_stage(holding, STORING)
            self._keep(clip.clip_id, measurement, files, holding)
        return lambda session: self._store(session, clip.clip_id, measurement)

    def refuse(self, session: Session, subject_id: UUID, refused: ClipRefused) -> None:
        analyses.store_refused(session, subject_id, refused.code, refused.message)

    def give_up(self, session: Session, subject_id: UUID, error: str) -> None:
        analyses.store_failed(session, subject_id, error)

    def _measure(self, clip: ClipToMeasure, folder: Path, holding: Holding) -> list[Path]:
        with self.storage.local_path(original_key(clip.clip_id)) as path:
            return measure_in_child(
                self._order(clip, path, folder),
                wall=self.settings.child_wall_limit,
                on_progress=holding.show,
                check=holding.check,
                extra_environment=(faults.VARIABLE,) if self.settings.development else (),
            )

    def _order(self, clip: ClipToMeasure, path: Path, folder: Path) -> Order:
        return Order(
            path=str(path.resolve()),
            out_dir=str(folder),
            view=clip.view.value,
            handed=clip.handed.value,
            club_length_m=clip.club_length_m,
            stature_m=clip.stature_m,
            swings_slowly=clip.swings_slowly,
            cpu_s=int(self.settings.child_cpu_limit.total_seconds()),
            memory_bytes=self.settings.child_memory_bytes,
            measurer=self.measurer,
        )

    def _keep(
        self, clip_id: UUID, measurement: Measurement, files: Sequence[Path], holding: Holding
    ) -> None:
        """Put what the child made into the store. Repeating it writes the same keys again."""
        for file in files:
            holding.check()
            self.storage.put_file(product_key(clip_id, measurement.pipeline, file.name), file)

    def _store(self, session: Session, clip_id: UUID, measurement: Measurement) -> None:
        analyses.store_measured(session, clip_id, measurement)
        self._pause("committing")

    def _announce_stage(self, holding: Holding, stage: str) -> None:
        holding.show(stage, 1.0)
        self._pause(stage)

    def _pause(self, stage: str) -> None:
        if self.settings.development:
            faults.pause_at(stage)


def _store_nothing(_session: Session) -> None:
    """The clip is measured already, replaced or withdrawn."""
