"""Taking in the bytes of an upload: streamed to disk, kept when the sender breaks off."""

import asyncio
import errno
from collections.abc import AsyncIterator, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import timedelta
from typing import Any, Protocol
from uuid import UUID

from anyio import to_thread

from api.domain.errors import TooLarge
from api.domain.upload_errors import (
    BodyTooSlow,
    ChecksumMismatch,
    OffsetMismatch,
    StorageFull,
    UploadLocked,
)
from api.storage.uploads import PartFile, UploadBusy, UploadShelf, append_chunk

_FREE_SPACE_KEPT = 128 * 1024 * 1024
"""Uploads leave this much: the database and everybody else's work must go on."""
_NO_ROOM = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EFBIG})


class Checksum(Protocol):
    """What the sender says the body's digest is."""

    def start(self) -> Any:  # noqa: ANN401 - hashlib's own type has no public name
        """A running hash."""

    def matches(self, running: Any) -> bool:  # noqa: ANN401 - see start
        """Whether the running hash came to the right digest."""


@dataclass(frozen=True, slots=True)
class Incoming:
    """One request's piece of an upload.

    ``offset`` is where the sender thinks it belongs; ``announced`` its length, when told.
    """

    offset: int
    announced: int | None
    body: AsyncIterator[bytes]
    checksum: Checksum | None
    read_timeout: timedelta


async def receive(shelf: UploadShelf, upload_id: UUID, length: int, incoming: Incoming) -> int:
    """Append a piece and return the new offset, once it is safe on the disk.

    Raises ``UploadLocked`` at once when another request writes, ``OffsetMismatch`` and
    ``TooLarge`` before anything is written, ``TooLarge`` again when more comes than announced,
    ``BodyTooSlow``, ``ChecksumMismatch`` and ``StorageFull``. Whatever happens, the file holds
    a beginning of what was sent and nothing else.
    """
    with _locked(shelf, upload_id) as part:
        if incoming.offset != part.size:
            raise OffsetMismatch(
                f"{part.size} bytes have arrived, so go on from there, not from {incoming.offset}.",
                details={"offset": part.size},
            )
        room = length - part.size
        if incoming.announced is not None and incoming.announced > room:
            raise _too_much(length)
        with _saying_when_full():
            if incoming.checksum is None:
                await _append_all(shelf, part, incoming, room, length)
            else:
                await _append_checked(shelf, upload_id, part, incoming, room, length)
        return part.synced


@contextmanager
def _locked(shelf: UploadShelf, upload_id: UUID) -> Iterator[PartFile]:
    try:
        with shelf.writing(upload_id) as part:
            yield part
    except (UploadBusy, FileNotFoundError):
        # Not there: handed over or cancelled this very moment; the next request will say which.
        raise UploadLocked(
            "This clip is being sent by another connection. Wait a moment and go on."
        ) from None


@contextmanager
def _saying_when_full() -> Iterator[None]:
    try:
        yield
    except OSError as error:
        if error.errno not in _NO_ROOM:
            raise
        raise StorageFull(
            "We have run out of room for clips. What you sent so far is kept; try again later."
        ) from error


def _too_much(length: int) -> TooLarge:
    return TooLarge(f"More was sent than the {length} bytes this upload was opened for.")


def _append(shelf: UploadShelf, target: PartFile, data: bytes) -> None:
    if shelf.free_bytes() < len(data) + _FREE_SPACE_KEPT:
        raise OSError(errno.ENOSPC, "the space kept for everything else is reached")
    target.append(data)


async def _append_all(
    shelf: UploadShelf, part: PartFile, incoming: Incoming, room: int, length: int
) -> None:
    """Keep every byte that comes, also when the rest does not."""
    try:
        async for data in _in_time(incoming.body, incoming.read_timeout):
            room -= len(data)
            if room < 0:
                part.cut_back()
                raise _too_much(length)
            await to_thread.run_sync(_append, shelf, part, data)
    except BaseException:
        part.sync()  # not in a thread: this task may be on its way out
        raise
    await to_thread.run_sync(part.sync)


async def _append_checked(
    shelf: UploadShelf,
    upload_id: UUID,
    part: PartFile,
    incoming: Incoming,
    room: int,
    length: int,
) -> None:
    """Hold the piece back until its digest was right, so that a crash leaves nothing unchecked."""
    if incoming.checksum is None:
        return
    running = incoming.checksum.start()
    with shelf.holding_back(upload_id) as chunk:
        async for data in _in_time(incoming.body, incoming.read_timeout):
            room -= len(data)
            if room < 0:
                raise _too_much(length)
            running.update(data)
            await to_thread.run_sync(_append, shelf, chunk, data)
        if not incoming.checksum.matches(running):
            raise ChecksumMismatch("This piece was damaged on the way and was not kept. Resend it.")
        await to_thread.run_sync(_join, part, chunk)


def _join(part: PartFile, chunk: PartFile) -> None:
    try:
        append_chunk(part, chunk)
    except OSError:
        part.cut_back()
        raise
    part.sync()


async def _in_time(body: AsyncIterator[bytes], limit: timedelta) -> AsyncIterator[bytes]:
    """The pieces of a body; ``BodyTooSlow`` when the next one does not come within ``limit``."""
    while True:
        try:
            async with asyncio.timeout(limit.total_seconds()):
                data = await anext(body, None)
        except TimeoutError:
            raise BodyTooSlow(
                f"Nothing came for {limit.total_seconds():.0f} seconds. What arrived is kept."
            ) from None
        if data is None:
            return
        if data:
            yield data
