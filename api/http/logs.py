"""Log lines as JSON. What goes in: ids, kinds, durations; never names, addresses or secrets."""

import logging
import sys
from contextlib import suppress
from typing import TextIO, cast

import structlog


class UnfailingOutput:
    """Standard output as it is now. A line that cannot be written (full disk) is lost, no more.

    Otherwise the answer to a request would fail because its log line does.
    """

    def write(self, text: str) -> int:
        with suppress(OSError):
            return sys.stdout.write(text)
        return 0

    def flush(self) -> None:
        with suppress(OSError):
            sys.stdout.flush()


def configure_logs(level: int = logging.INFO) -> None:
    """One JSON object a line on standard output."""
    structlog.configure(
        processors=[
            structlog.contextvars.merge_contextvars,
            structlog.processors.add_log_level,
            structlog.processors.TimeStamper(fmt="iso", utc=True),
            structlog.processors.JSONRenderer(),
        ],
        wrapper_class=structlog.make_filtering_bound_logger(level),
        logger_factory=structlog.WriteLoggerFactory(file=cast("TextIO", UnfailingOutput())),
        cache_logger_on_first_use=False,
    )
