"""Identifiers: UUID version 7 (RFC 9562 section 5.7), so that ids sort by time of making."""

import secrets
import time
from datetime import UTC, datetime
from uuid import UUID

_RANDOM_A_BITS = 12
_RANDOM_B_BITS = 62


def new_id(*, now_ms: int | None = None) -> UUID:
    """Make a UUIDv7: 48 bits of Unix milliseconds, then 74 random bits.

    ``now_ms`` is for tests; by default the system clock is read.
    """
    milliseconds = time.time_ns() // 1_000_000 if now_ms is None else now_ms
    value = (milliseconds & ((1 << 48) - 1)) << 80
    value |= 0x7 << 76
    value |= secrets.randbits(_RANDOM_A_BITS) << 64
    value |= 0b10 << 62
    value |= secrets.randbits(_RANDOM_B_BITS)
    return UUID(int=value)


def made_at(identifier: UUID) -> datetime:
    """When a UUIDv7 was made, to the millisecond, in UTC."""
    return datetime.fromtimestamp((identifier.int >> 80) / 1000, UTC)
