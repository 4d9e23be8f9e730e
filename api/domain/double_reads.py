"""Blind double reads: which answers are read again, and where such a read stands in the queue."""

import hmac
from datetime import UTC, datetime
from hashlib import sha256
from uuid import UUID

_PURPOSE = b"fairlead double read 1"
_LOTS = 2**64

NO_PROMISE = datetime(9999, 1, 1, tzinfo=UTC)
"""When a blind read is due: never. The end of the calendar puts it behind everybody who waits, along the same
index, and among themselves the reads go by their age."""


def is_picked(review_id: UUID, share: float, secret: bytes) -> bool:
    """Whether the answer of a review is among the ``share`` (0 to 1) that is read again.

    The review's lot is HMAC-SHA256 of its id under a key derived from the installation's secret, its first
    64 bits as a number from 0 to 1. So the same review is always picked or never, whoever sends it and however often;
    a larger share adds reviews and drops none; every review has the same chance whatever is in it; and no coach
    can work out beforehand which of their answers will be looked at.
    """
    key = hmac.digest(secret, _PURPOSE, sha256)
    lot = int.from_bytes(hmac.digest(key, review_id.bytes, sha256)[:8])
    return lot < share * _LOTS
