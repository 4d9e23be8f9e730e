"""Unfinished uploads on disk: one file each, whose size is how much has arrived."""

import fcntl
import hashlib
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from uuid import UUID

from api.storage.base import Storage
from api.storage.keys import clip_prefix, original_key
from api.storage.local import sync_directory

_PART = ".part"
_CHUNK = ".chunk"
_BUFFER = 1024 * 1024


class UploadBusy(Exception):
    """Another request is writing to this upload now."""


@dataclass(frozen=True, slots=True)
class Arrived:
    """A whole upload, now in the store."""

    bytes: int
    sha256: str


@dataclass(slots=True)
class PartFile:
    """An upload open for appending, locked against every other writer on this machine.

    ``synced`` is how much is known to be on the disk. The lock is the kernel's: it ends with the
    process, so a killed server leaves nothing locked.
    """

    descriptor: int
    synced: int

    @property
    def size(self) -> int:
        """Bytes in the file now."""
        return os.fstat(self.descriptor).st_size

    def append(self, data: bytes) -> None:
        """Write ``data`` at the end. On a full disk ``OSError``; what fitted stays."""
        view = memoryview(data)
        while view:
            view = view[os.write(self.descriptor, view) :]

    def sync(self) -> int:
        """Force what arrived to the disk and return the new size.

        When the disk refuses (full, or broken), the file is cut back to what was safe before,
        because nobody can say what became of the rest, and ``OSError`` goes on.
        """
        try:
            os.fsync(self.descriptor)
        except OSError:
            self.cut_back()
            raise
        self.synced = self.size
        return self.synced

    def cut_back(self) -> None:
        """Drop everything since the last sync."""
        os.ftruncate(self.descriptor, self.synced)


class UploadShelf:
    """Where uploads grow until they are whole, and how they get from there into the store."""

    def __init__(self, root: Path, storage: Storage) -> None:
        self._root = root
        self._storage = storage

    def create(self, upload_id: UUID) -> None:
        """Start an empty upload, on the disk before this returns."""
        self._root.mkdir(parents=True, exist_ok=True)
        with self._part(upload_id).open("xb") as file:
            os.fsync(file.fileno())
        sync_directory(self._root)

    def free_bytes(self) -> int:
        """Room left on the disk."""
        self._root.mkdir(parents=True, exist_ok=True)
        return shutil.disk_usage(self._root).free

    def offset(self, upload_id: UUID) -> int:
        """How much has arrived. Raises ``FileNotFoundError`` when the upload is gone."""
        try:
            return self._part(upload_id).stat().st_size
        except FileNotFoundError:
            # Moved already, and the transaction that says so did not happen yet.
            return self._storage.size(original_key(upload_id))

    @contextmanager
    def writing(self, upload_id: UUID, *, wait: bool = False) -> Iterator[PartFile]:
        """The upload, locked for appending.

        Raises ``UploadBusy`` at once when somebody else writes (unless ``wait``), and
        ``FileNotFoundError`` when it is gone.
        """
        path = self._part(upload_id)
        descriptor = os.open(path, os.O_RDWR | os.O_APPEND)
        try:
            _lock(descriptor, wait=wait)
            if not path.exists():  # handed over or removed while we waited for the lock
                raise FileNotFoundError(path)
            yield PartFile(descriptor, os.fstat(descriptor).st_size)
        finally:
            os.close(descriptor)

    @contextmanager
    def holding_back(self, upload_id: UUID) -> Iterator[PartFile]:
        """A place for a chunk that may only join the upload once its checksum was right."""
        path = self._chunk(upload_id)
        descriptor = os.open(path, os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND, 0o600)
        try:
            yield PartFile(descriptor, 0)
        finally:
            os.close(descriptor)
            path.unlink(missing_ok=True)

    def hand_over(self, upload_id: UUID) -> Arrived:
        """Move a whole upload into the store, synced and hashed. Doing it again is harmless."""
        key = original_key(upload_id)
        with suppress(FileNotFoundError), self.writing(upload_id, wait=True) as part:
            part.sync()
            self._storage.adopt_file(key, self._part(upload_id))
            self._chunk(upload_id).unlink(missing_ok=True)  # left by a killed server
        digest = hashlib.sha256()
        with self._storage.open(key) as file:
            while data := file.read(_BUFFER):
                digest.update(data)
        return Arrived(self._storage.size(key), digest.hexdigest())

    def remove(self, upload_id: UUID) -> None:
        """Forget an upload that will not become a clip, wherever its bytes are."""
        self._part(upload_id).unlink(missing_ok=True)
        self._chunk(upload_id).unlink(missing_ok=True)
        self._storage.delete_prefix(clip_prefix(upload_id))

    def ids(self) -> set[UUID]:
        """Every upload that has a file here, whole or not."""
        if not self._root.is_dir():
            return set()
        paths = [*self._root.glob(f"*{_PART}"), *self._root.glob(f"*{_CHUNK}")]
        return {UUID(path.stem) for path in paths}

    def _chunk(self, upload_id: UUID) -> Path:
        return self._root / f"{upload_id}{_CHUNK}"

    def _part(self, upload_id: UUID) -> Path:
        return self._root / f"{upload_id}{_PART}"


def append_chunk(part: PartFile, chunk: PartFile) -> None:
    """Put a checked chunk at the end of the upload."""
    os.lseek(chunk.descriptor, 0, os.SEEK_SET)
    while data := os.read(chunk.descriptor, _BUFFER):
        part.append(data)


def _lock(descriptor: int, *, wait: bool) -> None:
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
    except BlockingIOError as error:
        raise UploadBusy from error
