"""Scratch folders go away, also those of workers that were killed."""

import os
import time
from datetime import timedelta
from pathlib import Path

from worker.scratch import clear_stale, scratch_folder

HOUR = timedelta(hours=1)


def test_a_folder_lives_as_long_as_its_block(tmp_path: Path) -> None:
    with scratch_folder(tmp_path / "scratch") as folder:
        (folder / "proxy.mp4").write_bytes(b"x")
        assert clear_stale(tmp_path / "scratch", older_than=HOUR) == 0
    assert not folder.exists()


def test_what_a_killed_worker_left_is_cleared(tmp_path: Path) -> None:
    left = tmp_path / "scratch" / "left"
    left.mkdir(parents=True)
    (left / "proxy.mp4").write_bytes(b"x")
    long_ago = time.time() - 2 * HOUR.total_seconds()
    os.utime(left, (long_ago, long_ago))
    assert clear_stale(tmp_path / "scratch", older_than=HOUR) == 1
    assert not left.exists()


def test_nothing_to_clear(tmp_path: Path) -> None:
    assert clear_stale(tmp_path / "never made", older_than=HOUR) == 0
