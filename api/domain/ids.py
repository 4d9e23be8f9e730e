"""Identifiers: UUID version 7 (RFC 9562 section 5.7), so that ids sort by time of making."""

import secrets
import threading
import time
from datetime import UTC, datetime
from uuid import UUID

_RANDOM_A_BITS = 12
_RANDOM_B_BITS = 62
_NS_PER_MS = 1_000_000

_lock = threading.Lock()
_last_tick = 0


def new_id(*, now_ms: int | None = None) -> UUID:
    """Make a UUIDv7: 48 bits of Unix milliseconds, 12 of their fraction, 62 random bits.

    Ids of one process rise strictly, in the order they were made (RFC 9562 section 6.2, method 3:
    the leftmost random bits hold the clock's finer part), so that acts of one moment stay in order.
    ``now_ms`` is for tests: that millisecond, then 74 random bits.
    """
    if now_ms is None:
        milliseconds, fraction = divmod(_next_tick(), 1 << _RANDOM_A_BITS)
    else:
        milliseconds, fraction = now_ms, secrets.randbits(_RANDOM_A_BITS)
    value = (milliseconds & ((1 << 48) - 1)) << 80
    value |= 0x7 << 76
    value |= fraction << 64
    value |= 0b10 << 62
    value |= secrets.randbits(_RANDOM_B_BITS)
    return UUID(int=value)


def made_at(identifier: UUID) -> datetime:
    """When a UUIDv7 was made, to the millisecond, in UTC."""
    return datetime.fromtimestamp((identifier.int >> 80) / 1000, UTC)


def _next_tick() -> int:
    """The clock in 1/4096 ms, at least one more than the last time, also when it is set back."""
    global _last_tick  # noqa: PLW0603 - the one thing ids of a process share
    tick = (time.time_ns() << _RANDOM_A_BITS) // _NS_PER_MS
    with _lock:
        _last_tick = max(tick, _last_tick + 1)
        return _last_tick
