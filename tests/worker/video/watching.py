"""See whether a file is opened or an address is called, by whatever means, in this process."""

import ctypes
import os
import socket
import struct
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

_IN_OPEN = 0x20  # linux/inotify.h
_IN_NONBLOCK = 0x800


class Opened:
    """How often a watched file was opened since the watch began."""

    def __init__(self, descriptor: int) -> None:
        self._descriptor = descriptor

    def count(self) -> int:
        try:
            events = os.read(self._descriptor, 65536)
        except BlockingIOError:
            return 0
        return len(events) // struct.calcsize("iIII")


@contextmanager
def watched(path: Path) -> Iterator[Opened]:
    libc = ctypes.CDLL(None, use_errno=True)
    descriptor = libc.inotify_init1(_IN_NONBLOCK)
    assert descriptor >= 0
    try:
        assert libc.inotify_add_watch(descriptor, os.fsencode(path), _IN_OPEN) >= 0
        yield Opened(descriptor)
    finally:
        os.close(descriptor)


@contextmanager
def listening() -> Iterator[tuple[int, socket.socket]]:
    """A port of this machine, and its socket: ``accept`` raises as long as nobody has called."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        server.setblocking(False)  # noqa: FBT003 - the library's signature
        yield server.getsockname()[1], server
