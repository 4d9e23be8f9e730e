"""The store on a local disk."""

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

from api.domain.ids import new_id
from api.storage.keys import checked_key

_COPY_CHUNK = 1024 * 1024


def sync_file(path: Path) -> None:
    """Force a file's content to the disk."""
    _sync(path, os.O_RDONLY)


def sync_directory(path: Path) -> None:
    """Force a directory's entries to the disk: without it a rename may not outlive a power cut."""
    _sync(path, os.O_RDONLY | os.O_DIRECTORY)


def _sync(path: Path, flags: int) -> None:
    descriptor = os.open(path, flags)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


class LocalStorage:
    """``Storage`` in a directory. Writes go to a temporary name, are synced, then renamed."""

    def __init__(self, root: Path) -> None:
        self._root = root

    def put_file(self, key: str, path: Path) -> None:
        with path.open("rb") as source, self._arriving(key) as target:
            shutil.copyfileobj(source, target, _COPY_CHUNK)

    def put_bytes(self, key: str, data: bytes) -> None:
        with self._arriving(key) as target:
            target.write(data)

    def adopt_file(self, key: str, path: Path) -> None:
        final = self._path(key)
        self._make_directory(final.parent)
        sync_file(path)
        try:
            path.replace(final)
        except OSError:
            self._adopt_by_copy(key, path)
            return
        sync_directory(final.parent)

    def open(self, key: str) -> BinaryIO:
        return self._path(key).open("rb")

    @contextmanager
    def local_path(self, key: str) -> Iterator[Path]:
        path = self._path(key)
        if not path.is_file():
            raise FileNotFoundError(key)
        yield path

    def size(self, key: str) -> int:
        return self._path(key).stat().st_size

    def exists(self, key: str) -> bool:
        return self._path(key).is_file()

    def delete_prefix(self, prefix: str) -> None:
        path = self._path(prefix)
        if path.is_dir():
            shutil.rmtree(path)
        else:
            path.unlink(missing_ok=True)

    def _adopt_by_copy(self, key: str, path: Path) -> None:
        """The slow way, for a file on another file system."""
        self.put_file(key, path)
        path.unlink()

    def _path(self, key: str) -> Path:
        return self._root / checked_key(key)

    def _make_directory(self, directory: Path) -> None:
        missing = []
        parent = directory
        while not parent.is_dir():
            missing.append(parent)
            parent = parent.parent
        directory.mkdir(parents=True, exist_ok=True)
        for made in reversed(missing):
            sync_directory(made.parent)

    @contextmanager
    def _arriving(self, key: str) -> Iterator[BinaryIO]:
        """A file that takes its name only when it is whole and on the disk."""
        final = self._path(key)
        self._make_directory(final.parent)
        # Dot first: no key can name an unfinished file.
        temporary = final.with_name(f".{new_id()}.arriving")
        try:
            with temporary.open("xb") as target:
                yield target
                target.flush()
                os.fsync(target.fileno())
            temporary.replace(final)
        except BaseException:
            with suppress(FileNotFoundError):
                temporary.unlink()
            raise
        sync_directory(final.parent)
