"""Where a browser may have its notices sent, and the keys that come with it (RFC 8030, RFC 8291)."""

import base64
import binascii
import ipaddress
from urllib.parse import urlsplit

from api.domain.errors import Invalid

_PUBLIC_KEY_BYTES = 65
"""An uncompressed point of P-256."""
_UNCOMPRESSED = 4
_SECRET_BYTES = 16
_HTTPS_PORT = 443


def checked_endpoint(endpoint: str, *, this_machine: bool = False) -> str:
    """An address on the internet by https, as browsers' makers have them. Raises ``Invalid`` (``no_push_address``).

    What a name leads to is looked at when something is sent. ``this_machine``: for tests, loopback by http too.
    """
    try:
        url = urlsplit(endpoint)
        host, port = url.hostname or "", url.port
    except ValueError:
        host, port, url = "", None, urlsplit("")
    if this_machine and url.scheme == "http" and host == "127.0.0.1":
        return endpoint
    if (
        url.scheme != "https"
        or port not in {None, _HTTPS_PORT}
        or url.username is not None
        or not endpoint.isascii()
        or not _is_name(host)
    ):
        raise Invalid(
            "This browser names no address on the internet for its notices, so none can be sent to it.",
            code="no_push_address",
        )
    return endpoint


def _is_name(host: str) -> bool:
    try:
        ipaddress.ip_address(host)
    except ValueError:
        return "." in host and not host.endswith((".localhost", ".local", ".internal", "."))
    return False


def checked_keys(p256dh: str, auth: str) -> tuple[str, str]:
    """The two keys, as long as they must be. Raises ``Invalid`` (``no_push_address``)."""
    key, secret = _bytes(p256dh), _bytes(auth)
    if len(key) != _PUBLIC_KEY_BYTES or key[0] != _UNCOMPRESSED or len(secret) != _SECRET_BYTES:
        raise Invalid(
            "The keys of this browser cannot be used to hide what is sent to it.",
            code="no_push_address",
        )
    return p256dh.rstrip("="), auth.rstrip("=")


def _bytes(text: str) -> bytes:
    try:
        return base64.b64decode(
            text.rstrip("=").encode("ascii") + b"=" * (-len(text.rstrip("=")) % 4),
            altchars=b"-_",
            validate=True,
        )
    except (binascii.Error, UnicodeError):
        return b""
