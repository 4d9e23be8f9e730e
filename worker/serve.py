"""Everything on one machine: ``fairlead up`` and ``fairlead demo``.

Makes the data folder, brings the database up to date, then keeps the API, the polling workers and
the sweeper running. Production runs the same programs from ``docker-compose.yml`` instead.
"""

import fcntl
import http.client
import os
import secrets
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from http import HTTPStatus
from pathlib import Path

from api.db import migrate
from api.settings import Settings
from worker.supervisor import Program, Supervisor

Say = Callable[[str], None]
_READY_WITHIN_S = 60.0
_LOG_LINES_SHOWN = 20
_NO_MAIL = (
    "No mail leaves it: set FAIRLEAD_SMTP_URL to a mail relay, or, where nobody else gets in, "
    "FAIRLEAD_DEMO_OUTBOX=true to read every mail at /outbox/."
)
DEMO_CLIPS = Path(__file__).resolve().parents[1] / "tests" / "clips"
"""Where ``api.demo`` finds the clips that its students send: in the source, not in an installed package."""
_NO_DEMO = (
    "The demo sends the clips of the source's tests/clips, which an installed package leaves out: run it from a copy of the "
    "source. An academy of your own needs none: fairlead found, then fairlead up."
)


@dataclass(frozen=True, slots=True)
class Wishes:
    """What the person asked for. ``workers`` of 0 means half the processors, at least one."""

    host: str = "127.0.0.1"
    port: int = 8000
    workers: int = 0
    demo: bool = False


class AlreadyRunning(Exception):
    """Another ``fairlead up`` or ``demo`` works on the same data folder."""


def serve(wishes: Wishes, say: Say) -> int:
    """Run until Ctrl-C or SIGTERM. Returns the exit status: 0, or 1 when it could not start."""
    if wishes.demo and not DEMO_CLIPS.is_dir():
        say(_NO_DEMO)
        return 1
    data = _data_folder(wishes)
    port = usable_port(wishes.host, wishes.port)
    if port != wishes.port:
        say(f"Port {wishes.port} is taken; using {port}.")
    environment = child_environment(wishes, data, port)
    try:
        with only_one_on(data, environment["FAIRLEAD_BASE_URL"]):
            return _run(wishes, data, port, environment, say)
    except AlreadyRunning as other:
        say(str(other))
        return 1


def found_academy(arguments: list[str]) -> int:
    """Run ``api.found`` on the data folder of ``fairlead up``; returns its exit status."""
    data = _data_folder(Wishes())
    environment = child_environment(Wishes(), data, Wishes().port)
    address = data / "running"  # links must lead to where it runs now, if it does
    if "FAIRLEAD_BASE_URL" not in os.environ and address.exists():
        environment["FAIRLEAD_BASE_URL"] = address.read_text()
    migrate.upgrade(Settings(data_dir=data).effective_database_url)
    command = [sys.executable, "-m", "api.found", *arguments]
    return subprocess.run(command, env=environment, check=False).returncode


def _run(wishes: Wishes, data: Path, port: int, environment: dict[str, str], say: Say) -> int:
    migrate.upgrade(Settings(data_dir=data).effective_database_url)
    supervisor = Supervisor(programs(wishes, port), data / "logs", say, environment)
    supervisor.stop_on_signals()
    try:
        supervisor.start()
        if not _came_up(supervisor, wishes.host, port, say):
            return 0 if supervisor.stopping else 1
        if wishes.demo and not _seeded(supervisor, environment, say):
            return 0 if supervisor.stopping else 1
        say(f"Fairlead runs at {environment['FAIRLEAD_BASE_URL']}/  (logs: {supervisor.logs}/)")
        if not environment.keys() & {"FAIRLEAD_SMTP_URL", "FAIRLEAD_DEMO_OUTBOX"}:
            say(_NO_MAIL)
        say("Ctrl-C stops it.")
        supervisor.watch()
        say("Stopping ...")
    finally:
        supervisor.stop()
    return 0


def programs(wishes: Wishes, port: int) -> list[Program]:
    """Return what runs side by side: the API, the workers that poll the job table, the sweeper."""
    python = [sys.executable, "-m"]
    workers = wishes.workers or max(1, (os.cpu_count() or 2) // 2)
    api = [*python, "uvicorn", "api.http.app:create_app", "--factory", "--host", wishes.host]
    api += ["--port", str(port), "--no-access-log", "--no-server-header"]
    # Progress streams stay open for minutes; a stop must not wait for them.
    api += ["--timeout-graceful-shutdown", "3"]
    return [
        Program("api", api),
        *(Program(f"worker-{n}", [*python, "worker.poll"]) for n in range(1, workers + 1)),
        Program("sweeper", [*python, "worker.sweeper"]),
    ]


def child_environment(wishes: Wishes, data: Path, port: int) -> dict[str, str]:
    """Settings for the programs: what the person set wins, the rest suits one machine."""
    ours = {
        "FAIRLEAD_BASE_URL": f"http://{_reachable(wishes.host)}:{port}",
        "FAIRLEAD_SECRET": _kept_secret(data / "secret"),
        "PYTHONUNBUFFERED": "1",
    }
    if wishes.demo:
        ours["FAIRLEAD_DEMO_OUTBOX"] = "true"
    # The programs run elsewhere than this shell may think: a relative folder would move.
    return {**ours, **os.environ, "FAIRLEAD_DATA_DIR": str(data)}


def _reachable(host: str) -> str:
    """Turn "every address of this machine" into one that can be called."""
    return "127.0.0.1" if host == "0.0.0.0" else host  # noqa: S104 - compared, not bound


def usable_port(host: str, wanted: int) -> int:
    """Return ``wanted`` when nothing listens there, else a free port."""
    for port in (wanted, 0):
        with socket.socket() as listener:
            # As uvicorn will: a port in the rest after a recent stop counts as free.
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                listener.bind((host, port))
            except OSError:
                if port == 0:
                    raise
                continue
            return int(listener.getsockname()[1])
    raise AssertionError("the loop returns or raises")


@contextmanager
def only_one_on(data: Path, address: str) -> Iterator[None]:
    """Hold the data folder. Raises ``AlreadyRunning`` when another process does."""
    with (data / "running").open("a+") as held:
        try:
            fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            held.seek(0)
            raise AlreadyRunning(
                f"Fairlead already runs on {data}, at {held.read().strip()}. Stop it first, or "
                "choose another folder with FAIRLEAD_DATA_DIR."
            ) from None
        held.truncate(0)
        held.write(address)
        held.flush()
        yield


def _data_folder(wishes: Wishes) -> Path:
    """Find and make the folder; the demo keeps to its own unless one was chosen."""
    folder = Settings().data_dir
    if wishes.demo and "FAIRLEAD_DATA_DIR" not in os.environ:
        folder = folder / "demo"
    folder = folder.resolve()
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    return folder


def _kept_secret(path: Path) -> str:
    """Read the secret that signs links and sessions; made once, readable by its owner alone."""
    if not path.exists():
        passing = path.with_name(f".secret.{os.getpid()}")
        passing.touch(mode=0o600)
        passing.write_text(secrets.token_urlsafe(48))
        passing.replace(path)
    return path.read_text()


def _came_up(supervisor: Supervisor, host: str, port: int, say: Say) -> bool:
    deadline = time.monotonic() + _READY_WITHIN_S
    ready = False

    def settled() -> bool:
        nonlocal ready
        ready = _answers(host, port)
        return ready or time.monotonic() > deadline

    supervisor.watch(settled)
    if not ready and not supervisor.stopping:
        log = supervisor.logs / "api.log"
        lines = log.read_text(errors="replace").splitlines()[-_LOG_LINES_SHOWN:]
        say("\n".join([f"The API did not come up. The end of {log}:", *lines]))
    return ready


def _answers(host: str, port: int) -> bool:
    """Whether the API says it can work. Not through urllib: it would ask a proxy."""
    connection = http.client.HTTPConnection(_reachable(host), port, timeout=1.0)
    try:
        connection.request("GET", "/readyz")
        return connection.getresponse().status == HTTPStatus.OK
    except (OSError, http.client.HTTPException):
        return False
    finally:
        connection.close()


def _seeded(supervisor: Supervisor, environment: dict[str, str], say: Say) -> bool:
    """Fill the invented academy. Its own program, since a worker knows no use cases."""
    seeding = subprocess.Popen(
        [sys.executable, "-m", "api.demo"], env=environment, start_new_session=True
    )
    supervisor.watch(lambda: seeding.poll() is not None)
    if seeding.poll() is None:  # Ctrl-C came first
        seeding.terminate()
        seeding.wait()
        return False
    if seeding.returncode != 0:
        say(f"Filling the invented academy failed (status {seeding.returncode}).")
    return seeding.returncode == 0
