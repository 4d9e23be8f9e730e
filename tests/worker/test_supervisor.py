"""The supervisor, on small programs of our own: nothing is mocked, real processes die here."""

import os
import signal
import sys
import time
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest

from worker.supervisor import Patience, Program, Supervisor

QUICK = Patience(first_delay=timedelta(seconds=0.05), grace=timedelta(seconds=0.5))
SLEEPS = "import time; time.sleep(60)"
DEAF = (
    "import signal, time; signal.signal(signal.SIGTERM, signal.SIG_IGN);"
    "print('deaf', flush=True); time.sleep(60)"
)


def python(name: str, code: str) -> Program:
    return Program(name, [sys.executable, "-c", code])


def alive(pid: int) -> bool:
    """Whether a process runs; a zombie that nobody has waited for yet does not."""
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    stat = Path(f"/proc/{pid}/stat")
    return not stat.exists() or stat.read_text().rpartition(")")[2].split()[0] != "Z"


def waits_for(condition: Callable[[], bool], seconds: float = 10.0) -> bool:
    deadline = time.monotonic() + seconds
    while time.monotonic() < deadline:
        if condition():
            return True
        time.sleep(0.02)
    return False


@pytest.fixture
def said() -> list[str]:
    return []


def test_a_program_that_dies_is_started_again_and_a_person_is_told(
    tmp_path: Path, said: list[str]
) -> None:
    supervisor = Supervisor([python("worker", SLEEPS)], tmp_path, said.append, patience=QUICK)
    supervisor.start()
    first = supervisor.pids()["worker"]
    os.kill(first, signal.SIGKILL)
    deadline = time.monotonic() + 10
    supervisor.watch(
        lambda: supervisor.pids().get("worker", first) != first or time.monotonic() > deadline
    )
    second = supervisor.pids()["worker"]
    supervisor.stop()
    assert second != first
    assert len(said) == 1
    assert "worker was ended by SIGKILL; starting it again in 0.05 s" in said[0]
    assert str(tmp_path / "worker.log") in said[0]


def test_a_program_that_keeps_dying_is_started_less_and_less_often() -> None:
    patience = Patience(timedelta(seconds=0.5), timedelta(seconds=30))
    delays = [patience.delay_after(deaths).total_seconds() for deaths in range(1, 10)]
    assert delays == [0.5, 1, 2, 4, 8, 16, 30, 30, 30]


def test_stopping_leaves_no_child_and_no_grandchild(tmp_path: Path, said: list[str]) -> None:
    parent = (
        "import subprocess, sys, time;"
        f"child = subprocess.Popen([sys.executable, '-c', {SLEEPS!r}]);"
        "print(child.pid, flush=True); time.sleep(60)"
    )
    supervisor = Supervisor([python("parent", parent)], tmp_path, said.append, patience=QUICK)
    supervisor.start()
    log = tmp_path / "parent.log"
    assert waits_for(lambda: log.read_text().strip().isdigit())
    pids = [supervisor.pids()["parent"], int(log.read_text())]
    assert all(alive(pid) for pid in pids)
    supervisor.stop()
    assert waits_for(lambda: not any(alive(pid) for pid in pids))
    assert said == []


def test_a_program_that_does_not_listen_is_ended(tmp_path: Path, said: list[str]) -> None:
    supervisor = Supervisor([python("deaf", DEAF)], tmp_path, said.append, patience=QUICK)
    supervisor.start()
    assert waits_for(lambda: "deaf" in (tmp_path / "deaf.log").read_text())
    pid = supervisor.pids()["deaf"]
    supervisor.stop()
    assert not alive(pid)
    assert said == ["deaf did not stop when asked; ending it."]


def test_what_a_program_prints_is_in_its_log_and_the_last_run_is_kept(
    tmp_path: Path, said: list[str]
) -> None:
    for text in ("one", "two"):
        supervisor = Supervisor(
            [python("talker", f"print('{text}', flush=True); {SLEEPS}")],
            tmp_path,
            said.append,
            patience=QUICK,
        )
        supervisor.start()
        log = tmp_path / "talker.log"
        assert waits_for(lambda log=log: log.read_text() != "")  # type: ignore[misc]  # mypy cannot type a default in a lambda
        supervisor.stop()
    assert (tmp_path / "talker.log").read_text() == "two\n"
    assert (tmp_path / "talker.log.last").read_text() == "one\n"


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux ends children with their parent")
def test_killing_the_supervisor_orphans_nothing(tmp_path: Path) -> None:
    code = (
        "import sys; from pathlib import Path; from worker.supervisor import Program, Supervisor;"
        f"s = Supervisor([Program('child', [sys.executable, '-c', {SLEEPS!r}])],"
        f" Path({str(tmp_path)!r}), print); s.start();"
        "print(s.pids()['child'], flush=True); s.watch()"
    )
    outer = Supervisor([python("outer", code)], tmp_path, print, patience=QUICK)
    outer.start()
    log = tmp_path / "outer.log"
    assert waits_for(lambda: log.read_text().strip().isdigit())
    child = int(log.read_text())
    assert alive(child)
    os.kill(outer.pids()["outer"], signal.SIGKILL)
    gone = waits_for(lambda: not alive(child))
    outer.stop()
    assert gone
