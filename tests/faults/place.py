"""Start real workers, kill them at a chosen point, and count what is left."""

import signal
import subprocess
import sys
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from uuid import UUID

from sqlalchemy import func, select
from sqlalchemy.orm import Session, sessionmaker

from api.db.models import Analysis, AuditEvent, Clip, Job, Reading, Review, Submission
from api.db.session import transaction
from api.settings import Settings
from tests.worker.sending import Sender

PATIENCE_S = 40.0
Process = subprocess.Popen[bytes]


@dataclass(frozen=True)
class Tally:
    """How many rows of each kind one clip has left, and the states of its things."""

    job: tuple[str, int]
    analyses: int
    readings: int
    reviews: int
    measured_events: int
    clip: str
    submission: str


@dataclass
class Place:
    """A database, a store and the processes that work on them."""

    kind: str
    environment: Mapping[str, str]
    settings: Settings
    factory: sessionmaker[Session]
    sender: Sender
    folder: Path
    processes: list[Process] = field(default_factory=list)

    def start_worker(self, *, pause_at: str = "", measurer: str = "") -> Process:
        changed = {}
        if pause_at:
            changed["FAIRLEAD_FAULT_PAUSE_AT"] = f"{pause_at}:{self.marker}"
        if measurer:
            changed["FAIRLEAD_MEASURER"] = measurer
        if self.kind == "polling":
            return self.start("worker.poll", **changed)
        celery = ("celery", "-A", "worker.celery_app", "worker", "--pool", "solo")
        return self.start(*celery, "--without-gossip", "--without-mingle", **changed)

    def start_sweeper(self) -> Process:
        return self.start("worker.sweeper")

    def start(self, *module: str, **changed: str) -> Process:
        log = (self.folder / f"{module[0]}-{len(self.processes)}.log").open("wb")
        with log:
            process = subprocess.Popen(
                [sys.executable, "-m", *module],
                env={**self.environment, **changed},
                stdout=log,
                stderr=subprocess.STDOUT,
            )
        self.processes.append(process)
        return process

    def stop(self) -> None:
        """Kill what still runs. Children of workers die with them."""
        for process in self.processes:
            process.kill()
            process.wait()

    @property
    def marker(self) -> Path:
        return self.folder / "paused"

    def paused_process(self) -> int:
        """The process id of whoever paused (the worker itself, or its child)."""
        await_true(lambda: self.marker.exists() and bool(self.marker.read_text()), self.logs)
        return int(self.marker.read_text())

    def logs(self) -> str:
        return "\n".join(
            f"--- {log.name}\n{log.read_text(errors='replace')}"
            for log in sorted(self.folder.glob("*.log"))
        )

    def job_state(self, clip_id: UUID) -> str:
        with transaction(self.factory) as session:
            return session.scalars(select(Job.state).where(Job.subject_id == clip_id)).one()

    def await_end(self, clip_id: UUID) -> None:
        await_true(lambda: self.job_state(clip_id) in {"done", "refused", "failed"}, self.logs)

    def tally(self, clip_id: UUID) -> Tally:
        with transaction(self.factory) as session:
            clip = session.get_one(Clip, clip_id)
            job = session.scalars(select(Job).where(Job.subject_id == clip_id)).one()
            submission = session.get_one(Submission, clip.submission_id)
            of_clip = select(func.count()).select_from
            return Tally(
                job=(job.state, job.attempts),
                analyses=session.scalar(of_clip(Analysis).where(Analysis.clip_id == clip_id)) or 0,
                readings=session.scalar(of_clip(Reading).where(Reading.clip_id == clip_id)) or 0,
                reviews=session.scalar(of_clip(Review).where(Review.submission_id == submission.id))
                or 0,
                measured_events=session.scalar(
                    of_clip(AuditEvent).where(
                        AuditEvent.subject_id == clip_id, AuditEvent.act == "clip.measured"
                    )
                )
                or 0,
                clip=clip.state,
                submission=submission.state,
            )


def measured_once(attempts: int) -> Tally:
    """What the small measuring function leaves when everything went right, exactly once."""
    return Tally(("done", attempts), 1, 2, 1, 1, "measured", "waiting")


def kill(process: Process) -> None:
    process.send_signal(signal.SIGKILL)
    process.wait()


def await_true(holds: Callable[[], bool], otherwise: Callable[[], str] = str) -> None:
    deadline = time.monotonic() + PATIENCE_S
    while not holds():
        assert time.monotonic() < deadline, otherwise()
        time.sleep(0.05)


def is_running(pid: int) -> bool:
    """Whether a process lives (a zombie does not)."""
    try:
        state = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0]
    except (FileNotFoundError, ProcessLookupError):
        return False
    return state != "Z"
