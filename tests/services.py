"""Throwaway Redis and PostgreSQL: real servers on free loopback ports, in folders of their own.

PostgreSQL refuses to run as root, so as root it runs as another user. Nothing is kept or synced to
disk. Each server is stopped by its own process id, and on Linux also when the tests are killed.
"""

import os
import pwd
import shutil
import signal
import socket
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import psycopg
import psycopg.sql
import redis

_START_WITHIN_S = 30.0
_LOOK_EVERY_S = 0.05
_USERS = ("postgres", "nobody")


class ServiceMissing(Exception):
    """The server's program is not installed on this machine."""


def free_port() -> int:
    """Return a loopback port that was free a moment ago."""
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        return int(listener.getsockname()[1])


@contextmanager
def throwaway_redis() -> Iterator[str]:
    """Run Redis; yields its URL. Raises ``ServiceMissing`` without ``redis-server``."""
    program = shutil.which("redis-server")
    if program is None:
        raise ServiceMissing("redis-server is not installed")
    port = free_port()
    with _folder(owner=None) as folder:
        argv = [program, "--bind", "127.0.0.1", "--port", str(port), "--dir", str(folder)]
        argv += ["--save", "", "--appendonly", "no"]
        with _running(argv, folder, owner=None, stop_with=signal.SIGTERM) as process:
            _await(process, folder, lambda: _redis_answers(port))
            yield f"redis://127.0.0.1:{port}/0"


@contextmanager
def throwaway_postgres() -> Iterator[str]:
    """Run PostgreSQL; yields the URL of an empty database, as its superuser.

    Raises ``ServiceMissing`` when ``initdb`` and ``postgres`` are nowhere to be found.
    """
    binaries = _postgres_binaries()
    owner = _unprivileged_user() if os.geteuid() == 0 else None
    port = free_port()
    with _folder(owner) as folder:
        data = folder / "data"
        initdb = [str(binaries / "initdb"), "--pgdata", str(data), "--username", "fairlead"]
        initdb += ["--auth", "trust", "--encoding", "UTF8", "--locale", "C.UTF-8"]
        _run_once([*initdb, "--no-sync", "--no-instructions"], owner)
        argv = [str(binaries / "postgres"), "-D", str(data), "-h", "127.0.0.1", "-p", str(port)]
        argv += ["-k", str(folder), "-c", "fsync=off", "-c", "full_page_writes=off"]
        argv += ["-c", "synchronous_commit=off", "-c", "max_connections=200"]
        url = f"postgresql://fairlead@127.0.0.1:{port}/postgres"
        # SIGQUIT is PostgreSQL's immediate end: it waits for no client.
        with _running(argv, folder, owner, stop_with=signal.SIGQUIT) as process:
            _await(process, folder, lambda: _postgres_answers(url))
            yield url


def new_postgres_database(server_url: str, name: str) -> str:
    """Create an empty database on a throwaway server and return its URL."""
    with psycopg.connect(server_url, autocommit=True) as connection:
        connection.execute(
            psycopg.sql.SQL("CREATE DATABASE {}").format(psycopg.sql.Identifier(name))
        )
    return f"{server_url.rpartition('/')[0]}/{name}"


def _postgres_binaries() -> Path:
    on_path = shutil.which("initdb")
    found = [Path(on_path).resolve().parent] if on_path else []
    # Debian keeps the server programs of each version off the path.
    debian = Path("/usr/lib/postgresql")
    found += sorted(debian.glob("*/bin"), key=lambda path: float(path.parent.name), reverse=True)
    for folder in found:
        if (folder / "initdb").exists() and (folder / "postgres").exists():
            return folder
    raise ServiceMissing("PostgreSQL's initdb and postgres are not installed")


def _unprivileged_user() -> str:
    known = {entry.pw_name for entry in pwd.getpwall()}
    for name in _USERS:
        if name in known:
            return name
    raise ServiceMissing("PostgreSQL cannot run as root, and there is no other user to run it as")


@contextmanager
def _folder(owner: str | None) -> Iterator[Path]:
    """A short path, because the path of a Unix socket may have 107 characters at most."""
    folder = Path(tempfile.mkdtemp(prefix="fl-"))
    try:
        if owner is not None:
            shutil.chown(folder, owner)
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@contextmanager
def _running(
    argv: Sequence[str], folder: Path, owner: str | None, *, stop_with: signal.Signals
) -> Iterator[subprocess.Popen[bytes]]:
    with (folder / "log").open("wb") as log:
        process = subprocess.Popen(
            [*_as_user(owner, stop_with), *argv],
            stdin=subprocess.DEVNULL,
            stdout=log,
            stderr=subprocess.STDOUT,
            cwd=folder,
        )
    try:
        yield process
    finally:
        process.send_signal(stop_with)
        try:
            process.wait(timeout=10)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()


def _as_user(owner: str | None, end_with: signal.Signals) -> list[str]:
    """Words to put before a command: another user, and an end when its parent is killed."""
    setpriv = shutil.which("setpriv")
    if setpriv is None:
        return [] if owner is None else ["su", "-s", "/bin/sh", owner, "-c", 'exec "$0" "$@"', "--"]
    words = [setpriv, "--pdeathsig", end_with.name.removeprefix("SIG")]
    if owner is not None:
        words += ["--reuid", owner, "--regid", str(pwd.getpwnam(owner).pw_gid), "--clear-groups"]
    return words


def _run_once(argv: Sequence[str], owner: str | None) -> None:
    done = subprocess.run(
        [*_as_user(owner, signal.SIGTERM), *argv],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
        cwd=tempfile.gettempdir(),
    )
    if done.returncode != 0:
        raise RuntimeError(f"{argv[0]} failed: {done.stdout}{done.stderr}")


def _await(process: subprocess.Popen[bytes], folder: Path, answers: Callable[[], bool]) -> None:
    deadline = time.monotonic() + _START_WITHIN_S
    while not answers():
        if process.poll() is not None or time.monotonic() > deadline:
            log = (folder / "log").read_text(errors="replace")
            raise RuntimeError(f"{process.args!r} did not start:\n{log}")
        time.sleep(_LOOK_EVERY_S)


def _redis_answers(port: int) -> bool:
    try:
        with redis.Redis(host="127.0.0.1", port=port) as client:
            return bool(client.ping())
    except redis.ConnectionError:
        return False


def _postgres_answers(url: str) -> bool:
    try:
        psycopg.connect(url).close()
    except psycopg.OperationalError:
        return False
    return True
