"""Log lines as JSON. What goes in: ids, kinds, durations; never names, addresses or secrets."""

import logging

import structlog


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
        logger_factory=structlog.WriteLoggerFactory(),  # standard output as it is now
        cache_logger_on_first_use=False,
    )
