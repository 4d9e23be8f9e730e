"""One-time links, sessions and tokens: made here, kept only as SHA-256."""

import hashlib
import secrets

API_TOKEN_PREFIX = "flt_"  # noqa: S105 - a marker that lets a leaked token be recognised
_BYTES = 32


def new_secret(prefix: str = "") -> str:
    """256 random bits as URL-safe text. Too many to guess, so a plain digest of it is enough."""
    return prefix + secrets.token_urlsafe(_BYTES)


def digest(secret: str) -> str:
    """What is stored in place of a secret: SHA-256 as 64 hexadecimal digits."""
    return hashlib.sha256(secret.encode()).hexdigest()
