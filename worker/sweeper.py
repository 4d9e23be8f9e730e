"""Mends what was interrupted, every few seconds: ``python -m worker.sweeper``.

One is enough, more do no harm: every step is a conditional UPDATE or harmless to repeat.
"""

import sys
import threading
from dataclasses import asdict, dataclass

import structlog
from sqlalchemy.exc import SQLAlchemyError

from api.db import exports, idempotency, jobs
from api.db.analyses import settle_stuck
from api.db.base import utc_now
from api.db.profiles import come_of_age
from api.db.reviews import lapse_leases
from api.db.session import transaction
from api.db.uploads import sweep_uploads
from api.settings import Settings
from api.storage.keys import export_prefix
from api.storage.uploads import UploadShelf
from worker.runner import give_up_hopeless
from worker.setting_up import Setup, log_as_json, set_up, stop_on_signals

_log = structlog.get_logger(__name__)


@dataclass(frozen=True, slots=True)
class Swept:
    """What one sweep mended."""

    requeued: int
    given_up: int
    announced: int
    settled: int
    lapsed: int
    uploads_finished: int
    uploads_expired: int
    answers_forgotten: int
    came_of_age: int
    copies_deleted: int


def sweep(setup: Setup, shelf: UploadShelf) -> Swept:
    """One round over jobs, submissions and uploads."""
    uploads = sweep_uploads(setup.factory, shelf, now=utc_now())
    with transaction(setup.factory) as session:
        requeued = jobs.requeue_expired(session, max_attempts=setup.settings.job_max_attempts)
    given_up = give_up_hopeless(setup.settings, setup.factory, setup.runner.tasks)
    with transaction(setup.factory) as session:
        settled = settle_stuck(session)
        lapsed = lapse_leases(session, utc_now())
    with transaction(setup.factory) as session:
        again_after = setup.settings.job_announce_again_after
        announced = jobs.announce_overdue(session, again_after=again_after)
        forgotten = idempotency.forget_older_than(session, utc_now() - setup.settings.repeats_known)
    with transaction(setup.factory) as session:
        grown = come_of_age(session, utc_now())
    copies = _delete_old_copies(setup)
    return Swept(
        requeued,
        given_up,
        announced,
        settled,
        lapsed,
        uploads.finished,
        uploads.expired,
        forgotten,
        grown,
        copies,
    )


def _delete_old_copies(setup: Setup) -> int:
    """Files of copies whose time is over: the file first, so that a crash repeats it."""
    with transaction(setup.factory) as session:
        over = exports.exports_over(session, utc_now())
    for export_id in over:
        setup.storage.delete_prefix(export_prefix(export_id))
        with transaction(setup.factory) as session:
            exports.gone(session, export_id)
    return len(over)


def main() -> int:
    """Sweep until SIGTERM or Ctrl-C."""
    log_as_json()
    stop = threading.Event()
    stop_on_signals(stop)
    settings = Settings()
    setup = set_up(settings, stop)
    shelf = UploadShelf(settings.uploads_dir, setup.storage)
    while not stop.is_set():
        sweep_and_tell(setup, shelf)
        stop.wait(settings.sweep_interval.total_seconds())
    return 0


def sweep_and_tell(setup: Setup, shelf: UploadShelf) -> None:
    """One round, logged when it mended something or could not be done."""
    try:
        swept = asdict(sweep(setup, shelf))
    except (SQLAlchemyError, OSError) as error:
        _log.warning("sweep_failed", error=str(error))
        return
    if any(swept.values()):
        _log.info("swept", **swept)


if __name__ == "__main__":
    sys.exit(main())
