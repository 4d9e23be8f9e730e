"""The whole service on a folder and a port of its own, for tests and for the screenshots.

Nothing restarts here by itself: a test that kills a program decides when it comes back.
"""

import http.client
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from http import HTTPStatus
from pathlib import Path

from api.db import migrate
from api.settings import Settings
from tests.services import free_port
from worker.serve import Wishes, child_environment, programs

WEB_DIST = Path(__file__).resolve().parents[2] / "web" / "dist"
_READY_WITHIN_S = 60.0
_STOP_WITHIN_S = 20.0
_CELERY = [sys.executable, "-m", "celery", "--app", "worker.celery_app:app", "worker"]
_CELERY += ["--pool", "solo", "--without-gossip", "--without-mingle"]


@dataclass(slots=True)
class House:
    """Running programs by name: ``api``, ``worker-1``, ``sweeper``."""

    folder: Path
    port: int
    environment: Mapping[str, str]
    commands: Mapping[str, list[str]]
    _running: dict[str, subprocess.Popen[bytes]] = field(default_factory=dict)

    @property
    def base_url(self) -> str:
        """Where its pages are, without a slash at the end."""
        return f"http://127.0.0.1:{self.port}"

    def log(self, name: str) -> str:
        """What a program has printed."""
        path = self.folder / f"{name}.log"
        return path.read_text(errors="replace") if path.exists() else ""

    def start(self, name: str) -> None:
        """Start a program; for the API, wait until it answers."""
        with (self.folder / f"{name}.log").open("ab") as log:
            self._running[name] = subprocess.Popen(
                self.commands[name],
                env=dict(self.environment),
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=subprocess.STDOUT,
            )
        if name == "api" and not waits_for(self.ready, _READY_WITHIN_S):
            raise RuntimeError(f"The API did not come up:\n{self.log('api')}")

    def stop(self, name: str, how: signal.Signals = signal.SIGTERM) -> None:
        """Stop a program and wait for its end; ``SIGKILL`` gives it no chance to tidy up."""
        process = self._running.pop(name)
        process.send_signal(how)
        try:
            process.wait(timeout=_STOP_WITHIN_S)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()

    def stop_all(self) -> None:
        """Stop whatever runs."""
        for name in list(self._running):
            self.stop(name)

    def run(self, module: str, *arguments: str) -> str:
        """Run one of the project's programs to its end; returns what it printed."""
        done = subprocess.run(
            [sys.executable, "-m", module, *arguments],
            env=dict(self.environment),
            capture_output=True,
            text=True,
            check=False,
        )
        if done.returncode != 0:
            raise RuntimeError(
                f"{module} ended with {done.returncode}:\n{done.stdout}{done.stderr}"
            )
        return done.stdout

    def ready(self) -> bool:
        """Whether the API says that it can work."""
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=2)
        try:
            connection.request("GET", "/readyz")
            return connection.getresponse().status == HTTPStatus.OK
        except (OSError, http.client.HTTPException):
            return False
        finally:
            connection.close()


@contextmanager
def open_house(folder: Path, *, database_url: str = "", broker_url: str = "") -> Iterator[House]:
    """Run API, one worker and the sweeper on ``folder``; everything is stopped with the block.

    Without ``database_url``: SQLite in the folder. Without ``broker_url``: the worker polls;
    with it, Celery wakes it. Mails can be read at ``/outbox/``.
    """
    folder.mkdir(parents=True, exist_ok=True)
    port = free_port()
    wishes = Wishes(port=port, workers=1, demo=True)
    ours = {"FAIRLEAD_DATABASE_URL": database_url, "FAIRLEAD_BROKER_URL": broker_url}
    environment = {**_without_settings(child_environment(wishes, folder, port)), **ours}
    commands = {program.name: list(program.argv) for program in programs(wishes, port)}
    if broker_url:
        commands["worker-1"] = _CELERY
    migrate.upgrade(Settings(data_dir=folder, database_url=database_url).effective_database_url)
    house = House(folder, port, environment, commands)
    try:
        for name in commands:
            house.start(name)
        yield house
    finally:
        house.stop_all()


def _without_settings(environment: dict[str, str]) -> dict[str, str]:
    """Drop settings of the person who runs the tests; keep those made for this house."""
    theirs = {name for name in os.environ if name.startswith("FAIRLEAD_")}
    kept = {"FAIRLEAD_DATA_DIR"}
    return {name: value for name, value in environment.items() if name not in theirs - kept}


def waits_for(condition: Callable[[], bool], seconds: float) -> bool:
    """Look until ``condition`` holds; False when time is up."""
    deadline = time.monotonic() + seconds
    while time.monotonic() < deadline:
        if condition():
            return True
        time.sleep(0.05)
    return False
