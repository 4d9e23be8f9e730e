"""Signed, expiring links to stored things. Whoever holds one can fetch that key until it ends."""

import hmac
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from urllib.parse import urlencode

from api.domain.errors import LinkSpent, NotFound
from api.storage.keys import checked_key

MEDIA_PATH = "/api/v1/media"
_PURPOSE = b"fairlead media link 1"


@dataclass(frozen=True, slots=True)
class LinkSigner:
    """HMAC-SHA256 over key and expiry, with a secret derived for this purpose alone."""

    secret: bytes
    lasts: timedelta

    def link(self, key: str, *, now: datetime | None = None) -> str:
        """Path and query of a link to ``key``.

        It lasts between one and one and a half times ``lasts``: within half that time the same
        key gives the same link, so that a page which asks again need not load the video again.
        """
        expires = self._expiry(now or datetime.now(UTC))
        query = urlencode({"expires": expires, "signature": self._signature(key, expires)})
        return f"{MEDIA_PATH}/{checked_key(key)}?{query}"

    def check(self, key: str, expires: str, signature: str, *, now: datetime | None = None) -> None:
        """Accept a link or raise.

        Raises ``NotFound`` for a signature that is not ours (wrong key, altered expiry, other
        secret) and ``LinkSpent`` for one that was ours and has ended.
        """
        if not expires.isascii() or not expires.isdigit() or len(expires) > 12:  # noqa: PLR2004 - year 33658
            raise NotFound("There is nothing here.")
        wanted = self._signature(key, int(expires))
        if not hmac.compare_digest(wanted.encode(), signature.encode()):
            raise NotFound("There is nothing here.")
        if (now or datetime.now(UTC)).timestamp() >= int(expires):
            raise LinkSpent("This link has ended. Load the page again for a fresh one.")

    def _expiry(self, now: datetime) -> int:
        step = max(1, int(self.lasts.total_seconds()) // 2)
        earliest = int(now.timestamp() + self.lasts.total_seconds())
        return -(-earliest // step) * step

    def _signature(self, key: str, expires: int) -> str:
        # The key cannot hold a newline (see ``checked_key``), so the two fields cannot run together.
        derived = hmac.digest(self.secret, _PURPOSE, sha256)
        return hmac.new(derived, f"{key}\n{expires}".encode(), sha256).hexdigest()
