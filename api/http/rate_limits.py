"""How often one address may knock. Counted in Redis when there is one, else in this process."""

import hashlib
import time

import structlog
from fastapi import Request
from limits import RateLimitItem, RateLimitItemPerMinute
from limits.errors import StorageError
from limits.storage import MemoryStorage, RedisStorage, Storage
from limits.strategies import MovingWindowRateLimiter
from redis.exceptions import RedisError

from api.domain.errors import TooManyRequests

LINKS_PER_EMAIL = RateLimitItemPerMinute(5, 15)
LINKS_PER_CALLER = RateLimitItemPerMinute(30, 15)
"""A driving range shares one address among its students."""

UPLOADS_PER_SENDER = RateLimitItemPerMinute(60, 60)
"""Uploads opened by one student: far more than anybody films in an hour, far less than fills a disk."""

TRIES_PER_CALLER = RateLimitItemPerMinute(60, 1)
"""Links hold 256 random bits; this is for the log's sake, not against guessing."""

_log = structlog.get_logger("fairlead.rate_limits")


class RateLimits:
    """Moving windows. When Redis fails the process counts by itself rather than let all in."""

    def __init__(self, broker_url: str = "") -> None:
        own = MemoryStorage()
        shared: Storage = _redis(broker_url) if broker_url else own
        self._own = MovingWindowRateLimiter(own)
        self._shared = MovingWindowRateLimiter(shared)

    def spend(self, item: RateLimitItem, purpose: str, who: str) -> None:
        """Count one request of ``who``. Raises ``TooManyRequests`` when the window is full."""
        # Only a digest is stored: the counters are nobody's list of mail addresses.
        key = hashlib.sha256(who.encode()).hexdigest()
        try:
            self._spend(self._shared, item, purpose, key)
        except (StorageError, RedisError) as error:
            _log.warning("rate_limit_storage_unreachable", kind=type(error).__name__)
            self._spend(self._own, item, purpose, key)

    def _spend(
        self, limiter: MovingWindowRateLimiter, item: RateLimitItem, purpose: str, key: str
    ) -> None:
        if limiter.hit(item, purpose, key):
            return
        resets_at = limiter.get_window_stats(item, purpose, key).reset_time
        wait_s = max(1, round(resets_at - time.time()))
        raise TooManyRequests(
            f"That was too often. Try again in {_words(wait_s)}.",
            details={"retry_after_s": wait_s},
        )


def _redis(url: str) -> Storage:
    timeout_s = 0.5
    return RedisStorage(
        url, wrap_exceptions=True, socket_timeout=timeout_s, socket_connect_timeout=timeout_s
    )


def _words(seconds: int) -> str:
    return f"{seconds} seconds" if seconds < 90 else f"{-(-seconds // 60)} minutes"  # noqa: PLR2004 - where minutes read better


def caller_address(request: Request) -> str:
    """The caller's network address, as the server (behind a proxy: uvicorn's) made it out."""
    return request.client.host if request.client else "unknown"
