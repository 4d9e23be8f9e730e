"""`fairlead up`, whole: real programs on a folder and a port of its own."""

import http.client
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.services import free_port

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(sys.platform != "linux", reason="finds child processes through /proc"),
]
FAIRLEAD = [sys.executable, "-c", "from worker.cli import app; app()"]


class Running:
    """One `fairlead up` and what it prints."""

    def __init__(self, data: Path, port: int) -> None:
        self.port = port
        self.output = data.with_suffix(".out")
        environment = {k: v for k, v in os.environ.items() if not k.startswith("FAIRLEAD_")}
        with self.output.open("wb") as output:
            self.process = subprocess.Popen(
                [*FAIRLEAD, "up", "--port", str(port), "--workers", "1"],
                env={**environment, "FAIRLEAD_DATA_DIR": str(data)},
                stdout=output,
                stderr=subprocess.STDOUT,
            )

    def said(self) -> str:
        return self.output.read_text()

    def children(self) -> dict[str, int]:
        """Process ids of the programs by what tells them apart."""
        pid = self.process.pid
        found = {}
        for child in Path(f"/proc/{pid}/task/{pid}/children").read_text().split():
            words = Path(f"/proc/{child}/cmdline").read_text().split("\0")
            found[words[words.index("-m") + 1] if "-m" in words else "?"] = int(child)
        return found

    def ready(self) -> bool:
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=2)
        try:
            connection.request("GET", "/readyz")
            return connection.getresponse().status == http.HTTPStatus.OK
        except OSError:
            return False
        finally:
            connection.close()


def waits_for(condition: Callable[[], bool], seconds: float = 60.0) -> bool:
    deadline = time.monotonic() + seconds
    while time.monotonic() < deadline:
        if condition():
            return True
        time.sleep(0.1)
    return False


def runs(pid: int) -> bool:
    return Path(f"/proc/{pid}/cmdline").exists() and bool(Path(f"/proc/{pid}/cmdline").read_bytes())


@pytest.fixture
def running(tmp_path: Path) -> Iterator[Running]:
    running = Running(tmp_path / "var", free_port())
    try:
        assert waits_for(lambda: "Ctrl-C stops it." in running.said()), running.said()
        yield running
    finally:
        if running.process.poll() is None:
            running.process.terminate()
            running.process.wait(timeout=30)


def test_it_answers_mends_itself_and_leaves_nothing_behind(running: Running) -> None:
    assert f"Fairlead runs at http://127.0.0.1:{running.port}/" in running.said()
    assert running.ready()
    first = running.children()
    assert set(first) == {"uvicorn", "worker.poll", "worker.sweeper"}

    os.kill(first["worker.poll"], signal.SIGKILL)
    assert waits_for(
        lambda: running.children().get("worker.poll", first["worker.poll"]) != first["worker.poll"]
    )
    assert "worker-1 was ended by SIGKILL; starting it again in 0.5 s" in running.said()

    last = running.children()
    running.process.send_signal(signal.SIGINT)
    assert running.process.wait(timeout=30) == 0
    assert not any(runs(pid) for pid in last.values())


def test_a_second_one_on_the_same_folder_is_told_about_the_first(running: Running) -> None:
    data = running.output.with_suffix("")
    second = subprocess.run(
        [*FAIRLEAD, "up", "--port", str(free_port())],
        env={**os.environ, "FAIRLEAD_DATA_DIR": str(data)},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert second.returncode == 1
    assert f"already runs on {data}, at http://127.0.0.1:{running.port}" in second.stdout
    assert running.ready()
