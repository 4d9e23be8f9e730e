"""The upload protocol tus 1.0.0 as seen in headers. Section names are those of its text."""

import base64
import binascii
import hashlib
import hmac
from dataclasses import dataclass
from datetime import datetime
from email.utils import format_datetime
from typing import Any

from fastapi import Request
from fastapi.routing import APIRoute
from starlette.datastructures import MutableHeaders
from starlette.routing import Match
from starlette.types import Message, Receive, Scope, Send

from api.domain.errors import TooLarge
from api.domain.upload_errors import (
    BadTusRequest,
    OffsetMismatch,
    UnsupportedTusVersion,
    WrongUploadType,
)
from api.services.upload_body import Checksum

VERSION = "1.0.0"
EXTENSIONS = "creation,creation-with-upload,termination,checksum,expiration"
CHECKSUM_ALGORITHMS = ("sha1", "sha256")
BODY_TYPE = "application/offset+octet-stream"
_OVERRIDE = b"x-http-method-override"
_MAX_DIGITS = 15
_STATUS_HEADERS = {
    408: {"Connection": "close"},  # PATCH: a time-out closes the connection
    412: {"Tus-Version": VERSION},  # Tus-Resumable: say what would do
}


class TusRoute(APIRoute):
    """A route that speaks tus: version header on every answer, method by override."""

    def matches(self, scope: Scope) -> tuple[Match, Scope]:
        """Core Protocol, X-HTTP-Method-Override: when it is there, the real method is ignored."""
        override = _override(scope)
        if override is None:
            return super().matches(scope)
        match, child = super().matches({**scope, "method": override})
        return match, {**child, "method": override} if match is not Match.NONE else child

    async def handle(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Core Protocol, Tus-Resumable: in every response, refusals too."""

        async def send_with_version(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                headers["Tus-Resumable"] = VERSION
                headers.update(_STATUS_HEADERS.get(message["status"], {}))
            await send(message)

        await super().handle(scope, receive, send_with_version)


def _override(scope: Scope) -> str | None:
    headers: list[tuple[bytes, bytes]] = scope.get("headers", [])
    for name, value in headers:
        if name.lower() == _OVERRIDE:
            return value.decode("latin-1").strip().upper()
    return None


def check_version(request: Request) -> None:
    """Core Protocol, Tus-Resumable: any other version is 412 and nothing is processed."""
    given = request.headers.get("tus-resumable")
    if given != VERSION:
        said = "no Tus-Resumable header" if given is None else f"Tus-Resumable: {given}"
        raise UnsupportedTusVersion(f"The request came with {said}; this server speaks {VERSION}.")


def check_body_type(request: Request) -> None:
    """Core Protocol, PATCH: 415 for any other content type."""
    given = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if given != BODY_TYPE:
        raise WrongUploadType(f"Send the bytes with Content-Type: {BODY_TYPE}.")


def natural(request: Request, header: str) -> int | None:
    """A header that must be a non-negative integer; None when it is not there."""
    given = request.headers.get(header)
    if given is None:
        return None
    if not (given.isascii() and given.isdigit()) or len(given) > _MAX_DIGITS:
        raise BadTusRequest(f"{header} must be a whole number of bytes, not {given[:40]!r}.")
    return int(given)


def required(request: Request, header: str) -> int:
    """The same, but it must be there."""
    value = natural(request, header)
    if value is None:
        raise BadTusRequest(f"The {header} header is missing.")
    return value


def check_nothing_more(request: Request, offset: int, length: int) -> None:
    """A piece for an upload that is whole: only the empty one at the end is right."""
    if offset != length:
        raise OffsetMismatch(
            f"All {length} bytes have arrived; there is nothing to send from {offset}.",
            details={"offset": length},
        )
    if natural(request, "Content-Length"):
        raise TooLarge(f"More was sent than the {length} bytes this upload was opened for.")


def parse_metadata(header: str) -> dict[str, str]:
    """Creation, Upload-Metadata: ``key base64,key base64``; a key may stand alone.

    Raises ``BadTusRequest`` saying which pair cannot be read.
    """
    found: dict[str, str] = {}
    for pair in filter(None, (part.strip() for part in header.split(","))):
        key, _, encoded = pair.partition(" ")
        if not key.isascii() or not key.isprintable():
            raise BadTusRequest("Upload-Metadata: a key is not plain ASCII.")
        if key in found:
            raise BadTusRequest(f"Upload-Metadata: {key} is there twice.")
        found[key] = _decoded(key, encoded.strip())
    return found


def _decoded(key: str, encoded: str) -> str:
    try:
        value = base64.b64decode(encoded, validate=True).decode("utf-8")
    except (binascii.Error, UnicodeDecodeError, ValueError):
        raise BadTusRequest(f"Upload-Metadata: the value of {key} is not Base64 text.") from None
    if not value.isprintable():
        raise BadTusRequest(f"Upload-Metadata: {key} holds characters that cannot be shown.")
    return value


@dataclass(frozen=True, slots=True)
class TusChecksum:
    """Checksum, Upload-Checksum: an algorithm and the digest that the body must have."""

    algorithm: str
    digest: bytes

    def start(self) -> Any:  # noqa: ANN401 - hashlib's own type has no public name
        """A running hash of that algorithm."""
        # SHA-1 finds damage here, it does not keep secrets: the protocol demands it.
        return hashlib.new(self.algorithm, usedforsecurity=False)

    def matches(self, running: Any) -> bool:  # noqa: ANN401 - see start
        """Whether the running hash came to the digest."""
        return hmac.compare_digest(running.digest(), self.digest)


def parse_checksum(header: str | None) -> Checksum | None:
    """Read ``Upload-Checksum``; an algorithm not announced, or an unreadable digest, is 400."""
    if header is None:
        return None
    algorithm, _, encoded = header.strip().partition(" ")
    if algorithm not in CHECKSUM_ALGORITHMS:
        raise BadTusRequest(
            f"Checksums by {', '.join(CHECKSUM_ALGORITHMS)} are checked here, not {algorithm!r}."
        )
    try:
        digest = base64.b64decode(encoded.strip(), validate=True)
    except (binascii.Error, ValueError):
        raise BadTusRequest("Upload-Checksum: the digest is not Base64.") from None
    if len(digest) != hashlib.new(algorithm, usedforsecurity=False).digest_size:
        raise BadTusRequest(f"Upload-Checksum: the digest is not as long as {algorithm}'s.")
    return TusChecksum(algorithm, digest)


def http_date(moment: datetime) -> str:
    """Expiration, Upload-Expires: the date format of RFC 7231, section 7.1.1.1."""
    return format_datetime(moment.replace(microsecond=0), usegmt=True)
