"""The store on disk: whole or nothing, and never outside its folder."""

import errno
import os
from pathlib import Path

import pytest

from api.storage.keys import checked_key, content_type
from api.storage.local import LocalStorage

KEY = "clips/a/v1/proxy.mp4"


@pytest.fixture
def storage(tmp_path: Path) -> LocalStorage:
    return LocalStorage(tmp_path / "store")


def read(storage: LocalStorage, key: str = KEY) -> bytes:
    with storage.open(key) as file:
        return file.read()


def test_what_is_put_can_be_read(storage: LocalStorage, tmp_path: Path) -> None:
    file = tmp_path / "made.mp4"
    file.write_bytes(b"a film")
    storage.put_file(KEY, file)
    assert read(storage) == b"a film"
    assert file.exists(), "a copy: it stays where it is"
    assert storage.size(KEY) == 6
    assert storage.exists(KEY)
    with storage.local_path(KEY) as path:
        assert path.read_bytes() == b"a film"


def test_putting_again_replaces(storage: LocalStorage) -> None:
    storage.put_bytes(KEY, b"old and longer")
    storage.put_bytes(KEY, b"new")
    assert read(storage) == b"new"


def test_adopting_takes_the_file_away(storage: LocalStorage, tmp_path: Path) -> None:
    file = tmp_path / "upload"
    file.write_bytes(b"clip")
    storage.adopt_file(KEY, file)
    assert read(storage) == b"clip"
    assert not file.exists()


def test_adopting_from_another_file_system_copies(
    storage: LocalStorage, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "upload"
    file.write_bytes(b"clip")
    whole = Path.replace

    def refuse(self: Path, target: Path) -> Path:
        if self == file:
            raise OSError(errno.EXDEV, os.strerror(errno.EXDEV))
        return whole(self, target)

    monkeypatch.setattr(Path, "replace", refuse)
    storage.adopt_file(KEY, file)
    assert read(storage) == b"clip"
    assert not file.exists()


def test_a_full_disk_leaves_the_old_content_and_no_rubbish(
    storage: LocalStorage, monkeypatch: pytest.MonkeyPatch
) -> None:
    storage.put_bytes(KEY, b"old")

    def no_room(_descriptor: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with monkeypatch.context() as full:
        full.setattr(os, "fsync", no_room)
        with pytest.raises(OSError, match="No space"):
            storage.put_bytes(KEY, b"new")
    assert read(storage) == b"old"
    folder = storage._root / "clips" / "a" / "v1"
    assert [path.name for path in folder.iterdir()] == ["proxy.mp4"]


def test_everything_is_synced_before_it_has_its_name(
    storage: LocalStorage, monkeypatch: pytest.MonkeyPatch
) -> None:
    steps: list[str] = []
    sync, rename = os.fsync, Path.replace

    def note_sync(descriptor: int) -> None:
        folder = Path(f"/proc/self/fd/{descriptor}").readlink().is_dir()
        steps.append("sync folder" if folder else "sync file")
        sync(descriptor)

    def note_rename(self: Path, target: Path) -> Path:
        steps.append("rename")
        return rename(self, target)

    storage.put_bytes("clips/a/v1/other", b"the folders are there now")
    monkeypatch.setattr(os, "fsync", note_sync)
    monkeypatch.setattr(Path, "replace", note_rename)
    storage.put_bytes(KEY, b"new")
    assert steps == ["sync file", "rename", "sync folder"]


def test_delete_prefix_takes_whole_segments(storage: LocalStorage) -> None:
    for key in ("clips/a/original", "clips/a/v1/x", "clips/ab/original"):
        storage.put_bytes(key, b"x")
    storage.delete_prefix("clips/a")
    assert [storage.exists(key) for key in ("clips/a/original", "clips/a/v1/x")] == [False] * 2
    assert storage.exists("clips/ab/original")
    storage.delete_prefix("clips/a")  # again is no error


@pytest.mark.parametrize(
    "key",
    [
        "",
        ".",
        "..",
        "../x",
        "clips/../x",
        "/clips/x",
        "clips//x",
        "clips/x/",
        "clips/.hidden",
        "clips\\x",
        "clips/a\0b",
        "clips/a\nb",
        "clips/a b",
        "clips/%2e%2e/x",
        "clips/ü",
        "a" * 600,
    ],
)
def test_keys_that_are_none(storage: LocalStorage, key: str) -> None:
    with pytest.raises(ValueError, match="Not a storage key"):
        storage.put_bytes(key, b"x")
    with pytest.raises(ValueError, match="Not a storage key"):
        storage.open(key)
    with pytest.raises(ValueError, match="Not a storage key"):
        storage.delete_prefix(key)


def test_a_key_that_is_not_there(storage: LocalStorage) -> None:
    assert not storage.exists(KEY)
    with pytest.raises(FileNotFoundError):
        storage.open(KEY)
    with pytest.raises(FileNotFoundError):
        storage.size(KEY)
    with pytest.raises(FileNotFoundError), storage.local_path(KEY):
        pass


def test_plain_keys_pass() -> None:
    for key in ("clips/019abf5e-7d3e/original", "clips/x/2026.11.25-1/still_84.jpg"):
        assert checked_key(key) == key
    assert content_type("a/b.jpg") == "image/jpeg"
    assert content_type("a/original") == "application/octet-stream"
