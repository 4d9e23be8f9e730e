"""Start the measuring child, listen to it, and end it when it must end."""

import json
import os
import selectors
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path
from signal import SIGXCPU, Signals
from typing import IO, Any

from api.domain.errors import ClipRefused, PipelineFault
from api.domain.refusals import RefusalCode, refuse
from worker.child_messages import DONE, FAULT, PROGRESS, REFUSED, Order

_LOOK_EVERY_S = 0.1
_PASSED_ON = ("PATH", "PYTHONPATH", "LANG", "LC_ALL", "HOME", "TMPDIR", "SYSTEMROOT", "VIRTUAL_ENV")
"""The child gets no secret: of the environment only these, and the test hook in development."""

OnProgress = Callable[[str, float], None]
Check = Callable[[], None]
"""Raises when the work must stop: shutdown, or the lease is lost."""


def measure_in_child(
    order: Order,
    *,
    wall: timedelta,
    on_progress: OnProgress,
    check: Check,
    extra_environment: tuple[str, ...] = (),
) -> list[Path]:
    """Run one order in a child process. Returns the files it left in ``order.out_dir``.

    Raises ``ClipRefused`` for the clip's faults, also when the child ran into a limit;
    ``PipelineFault`` when the child broke; whatever ``check`` raises. In every case the child is
    gone afterwards. Call from the thread that outlives the child: it dies with that thread.
    """
    with _child(order, extra_environment) as process:
        outcome = _listen(process, time.monotonic() + wall.total_seconds(), on_progress, check)
        if outcome is None:
            raise _silent_end(process)
    if REFUSED in outcome:
        raise ClipRefused(**outcome[REFUSED])
    if FAULT in outcome:
        raise PipelineFault(str(outcome[FAULT]))
    return [Path(order.out_dir) / str(name) for name in outcome[DONE]]


@contextmanager
def _child(order: Order, extra: tuple[str, ...]) -> Iterator[subprocess.Popen[bytes]]:
    passed = {*_PASSED_ON, *extra}
    environment = {name: value for name, value in os.environ.items() if name in passed}
    process = subprocess.Popen(
        [sys.executable, "-m", "worker.child", str(os.getpid())],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        env=environment,
        cwd=Path(__file__).resolve().parent.parent,
    )
    try:
        _tell(process, order)
        yield process
    finally:
        process.kill()
        process.wait()
        for pipe in (process.stdin, process.stdout):
            if pipe is not None:
                pipe.close()


def _tell(process: subprocess.Popen[bytes], order: Order) -> None:
    assert process.stdin is not None  # noqa: S101 - a pipe was asked for
    try:
        process.stdin.write(order.to_line())
        process.stdin.flush()
    except BrokenPipeError as error:
        raise PipelineFault("The measuring process did not start.") from error


def _listen(
    process: subprocess.Popen[bytes], deadline: float, on_progress: OnProgress, check: Check
) -> dict[str, Any] | None:
    """Pass progress on until an outcome is said; ``None`` when the child ends without one."""
    assert process.stdout is not None  # noqa: S101 - a pipe was asked for
    for line in _lines(process.stdout, deadline, check):
        message = json.loads(line)
        if PROGRESS not in message:
            return dict(message)
        stage, share = message[PROGRESS]
        on_progress(str(stage), float(share))
    return None


def _lines(pipe: IO[bytes], deadline: float, check: Check) -> Iterator[bytes]:
    """Whole lines from ``pipe`` until its end, looking at the clock and at ``check`` meanwhile."""
    descriptor = pipe.fileno()
    waiting = b""
    with selectors.DefaultSelector() as selector:
        selector.register(descriptor, selectors.EVENT_READ)
        while True:
            check()
            if time.monotonic() > deadline:
                # A slow machine is ours to mend: tried again, and in the end a person sees it.
                # What one clip may cost is the limit on CPU time, which the child keeps.
                raise PipelineFault("The measuring process took longer than its time limit.")
            if not selector.select(_LOOK_EVERY_S):
                continue
            data = os.read(descriptor, 65536)
            if not data:
                return
            *lines, waiting = (waiting + data).split(b"\n")
            yield from lines


def _silent_end(process: subprocess.Popen[bytes]) -> Exception:
    """Why a child ended without a word: its CPU time was used up, or it crashed."""
    status = process.wait()
    if status == -SIGXCPU:
        return refuse(RefusalCode.TOO_HARD)
    if status < 0:
        return PipelineFault(f"The measuring process was ended by {Signals(-status).name}.")
    return PipelineFault(f"The measuring process ended with status {status} and no result.")
