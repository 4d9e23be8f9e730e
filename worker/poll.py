"""A worker that looks into the job table by itself: ``python -m worker.poll``. No broker needed."""

import sys
import threading

import structlog
from sqlalchemy.exc import SQLAlchemyError

from api.settings import Settings
from worker.runner import Runner
from worker.setting_up import log_as_json, set_up, stop_on_signals

_WAIT_AFTER_TROUBLE_S = 2.0

_log = structlog.get_logger(__name__)


def main() -> int:
    """Work until SIGTERM or Ctrl-C; a job in hand is then given back at once."""
    log_as_json()
    stop = threading.Event()
    stop_on_signals(stop)
    runner = set_up(Settings(), stop).runner
    _log.info("polling", worker=runner.worker)
    poll(runner)
    return 0


def poll(runner: Runner) -> None:
    """Run due jobs one after another until asked to stop; rest only when nothing is due."""
    rest_s = runner.settings.poll_interval.total_seconds()
    while not runner.stop.is_set():
        try:
            worked = runner.run_next()
        except SQLAlchemyError as error:
            # The database is away. The job in hand, if any, comes back when its lease ends.
            _log.warning("database_unreachable", error=str(error))
            runner.stop.wait(_WAIT_AFTER_TROUBLE_S)
            continue
        if not worked:
            runner.stop.wait(rest_s)


if __name__ == "__main__":
    sys.exit(main())
