"""What the service needs of a place for clips: small, so that disk and bucket can both do it."""

from contextlib import AbstractContextManager
from pathlib import Path
from typing import BinaryIO, Protocol


class Storage(Protocol):
    """Clips and what is made of them, by key (see ``api.storage.keys``).

    Every write is all or nothing: after a crash a key holds the old content or the new, whole.
    A key that is not there raises ``FileNotFoundError``; a malformed key ``ValueError``.
    """

    def put_file(self, key: str, path: Path) -> None:
        """Store a copy of the file at ``path``; it stays where it is."""

    def adopt_file(self, key: str, path: Path) -> None:
        """Store the file at ``path`` and take it away from there, without copying if possible."""

    def put_bytes(self, key: str, data: bytes) -> None:
        """Store ``data``."""

    def open(self, key: str) -> BinaryIO:
        """Open for reading, with seek. The caller closes it."""

    def local_path(self, key: str) -> AbstractContextManager[Path]:
        """A path that programs can read while the block lasts. Never write to it."""

    def size(self, key: str) -> int:
        """Bytes stored under ``key``."""

    def exists(self, key: str) -> bool:
        """Whether something is stored under ``key``."""

    def delete_prefix(self, prefix: str) -> None:
        """Delete every key below ``prefix`` (whole path segments). Nothing there is not an error."""
