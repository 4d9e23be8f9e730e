"""Folders for what a clip is being made into. A killed worker leaves its own behind; others clear it."""

import shutil
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import timedelta
from pathlib import Path

from api.domain.ids import new_id


@contextmanager
def scratch_folder(root: Path) -> Iterator[Path]:
    """An empty folder below ``root`` for the length of the block."""
    folder = root / str(new_id())
    folder.mkdir(parents=True)
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def clear_stale(root: Path, *, older_than: timedelta) -> int:
    """Delete folders that nothing was written to for so long. Returns how many."""
    limit = time.time() - older_than.total_seconds()
    stale = [folder for folder in _folders(root) if _changed_at(folder) < limit]
    for folder in stale:
        shutil.rmtree(folder, ignore_errors=True)
    return len(stale)


def _folders(root: Path) -> list[Path]:
    with suppress(FileNotFoundError):
        return list(root.iterdir())
    return []


def _changed_at(folder: Path) -> float:
    with suppress(FileNotFoundError):  # another worker was quicker
        return folder.stat().st_mtime
    return time.time()
