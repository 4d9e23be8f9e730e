"""Media over signed links, with byte ranges (RFC 9110, section 14) so that video can seek."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, BinaryIO

from fastapi import APIRouter, Header, Query, Request, Response
from fastapi.responses import StreamingResponse

from api.domain.errors import NotFound
from api.http.problems import problem_response, problems
from api.storage.base import Storage
from api.storage.keys import content_type
from api.storage.links import LinkSigner

router = APIRouter(tags=["media"])

_CHUNK = 256 * 1024
_RANGE = re.compile(r"bytes=(\d{0,18})-(\d{0,18})")
"""Longer numbers are no place in a file, and Python refuses to read numbers of thousands of digits."""
_KEPT_S = 600
_HEADERS = {
    "Accept-Ranges": "bytes",
    # Only the browser of who was given the link may keep it, and not for long.
    "Cache-Control": f"private, max-age={_KEPT_S}",
}


class RangeNotThere(Exception):
    """A well-formed range that lies beyond the end."""


@dataclass(frozen=True, slots=True)
class Span:
    """Bytes ``start`` to ``end``, both included."""

    start: int
    end: int

    @property
    def length(self) -> int:
        """How many bytes."""
        return self.end - self.start + 1


def parse_range(header: str | None, size: int) -> Span | None:
    """The bytes asked for; None for all of them.

    A header that is malformed, of another unit, or for several ranges is ignored, as RFC 9110
    section 14.2 allows. Raises ``RangeNotThere`` when nothing of it exists.
    """
    match = _RANGE.fullmatch((header or "").strip().replace(" ", ""))
    if match is None or match[0] == "bytes=-":
        return None
    first, last = match[1], match[2]
    if not first:
        start, end = max(0, size - int(last)), size - 1
        if int(last) == 0 or size == 0:
            raise RangeNotThere
        return Span(start, end)
    start, end = int(first), min(int(last), size - 1) if last else size - 1
    if last and int(last) < start:
        return None
    if start >= size:
        raise RangeNotThere
    return Span(start, end)


@router.head("/media/{key:path}", include_in_schema=False)
@router.get(
    "/media/{key:path}",
    response_class=StreamingResponse,
    responses={206: {"description": "The bytes asked for."}, **problems(404, 410, 416)},
)
def fetch_media(
    key: str,
    request: Request,
    expires: Annotated[str, Query(max_length=20)] = "",
    signature: Annotated[str, Query(max_length=100)] = "",
    range_header: Annotated[str | None, Header(alias="Range")] = None,
    if_range: Annotated[str | None, Header(alias="If-Range")] = None,
) -> Response:
    """A stored thing. Links come from the other answers; they cannot be made or changed."""
    signer: LinkSigner = request.app.state.link_signer
    storage: Storage = request.app.state.storage
    signer.check(key, expires, signature)
    if not storage.exists(key):
        raise NotFound("This is no longer kept.")
    size = storage.size(key)
    try:
        # No validators are handed out, so none can match: If-Range means "then send it all".
        span = None if if_range else parse_range(range_header, size)
    except RangeNotThere:
        return problem_response(
            request,
            416,
            "range_not_there",
            f"There are only {size} bytes.",
            headers={"Content-Range": f"bytes */{size}", **_HEADERS},
        )
    return _answer(request, storage, key, size, span)


def _answer(request: Request, storage: Storage, key: str, size: int, span: Span | None) -> Response:
    whole = span or Span(0, size - 1)
    headers = {**_HEADERS, "Content-Length": str(whole.length)}
    if span is not None:
        headers["Content-Range"] = f"bytes {span.start}-{span.end}/{size}"
    if content_type(key) in {"application/octet-stream", "application/zip"}:
        # Whatever a student sent, and copies of data: to be saved, never shown as a page.
        headers["Content-Disposition"] = "attachment"
    status = 200 if span is None else 206
    if request.method == "HEAD":
        return Response(status_code=status, headers=headers, media_type=content_type(key))
    return StreamingResponse(
        _read(storage.open(key), whole), status, headers, media_type=content_type(key)
    )


def _read(file: BinaryIO, span: Span) -> Iterator[bytes]:
    with file:
        file.seek(span.start)
        left = span.length
        while left > 0 and (data := file.read(min(_CHUNK, left))):
            left -= len(data)
            yield data
