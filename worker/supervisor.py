"""Keeps a set of programs running under one parent: start, watch, restart, stop.

For a laptop, the demo and small academies. Production runs each program in its own container.
The supervisor starts no threads, so what happens between ``fork`` and ``exec`` is safe.
"""

import ctypes
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path

_LOOK_EVERY_S = 0.1
_PR_SET_PDEATHSIG = 1  # linux/prctl.h


@dataclass(frozen=True, slots=True)
class Program:
    """One thing to keep running. ``name`` is shown to people and names the log file."""

    name: str
    argv: Sequence[str]


@dataclass(frozen=True, slots=True)
class Patience:
    """How the supervisor waits.

    A restart waits ``first_delay`` doubled for every death in a row, at most ``longest_delay``;
    a program that ran for ``counts_as_well`` starts again with a clean sheet. Stopping waits
    ``grace`` between asking (SIGTERM) and ending (SIGKILL).
    """

    first_delay: timedelta = timedelta(seconds=0.5)
    longest_delay: timedelta = timedelta(seconds=30)
    counts_as_well: timedelta = timedelta(seconds=60)
    grace: timedelta = timedelta(seconds=10)

    def delay_after(self, deaths_in_a_row: int) -> timedelta:
        """How long to wait before the next start; one death waits ``first_delay``."""
        doubled = self.first_delay * (1 << min(deaths_in_a_row - 1, 16))
        return min(doubled, self.longest_delay)


@dataclass(slots=True)
class _Run:
    """The state of one program. Times are of the monotonic clock, in seconds."""

    program: Program
    log: Path
    process: subprocess.Popen[bytes] | None = None
    started_at: float = 0.0
    start_again_at: float = 0.0
    deaths_in_a_row: int = 0


@dataclass(slots=True)
class Supervisor:
    """Runs ``programs`` until :meth:`ask_to_stop` or a signal; ``say`` shows lines to a person."""

    programs: Iterable[Program]
    logs: Path
    say: Callable[[str], None]
    environment: Mapping[str, str] = field(default_factory=lambda: dict(os.environ))
    patience: Patience = field(default_factory=Patience)
    _runs: list[_Run] = field(default_factory=list)
    _stopping: bool = False

    def start(self) -> None:
        """Start every program once. Output goes to ``logs/<name>.log``; the last one is kept."""
        self.logs.mkdir(parents=True, exist_ok=True)
        for program in self.programs:
            run = _Run(program, self.logs / f"{program.name}.log")
            if run.log.exists():
                run.log.replace(run.log.with_suffix(".log.last"))
            self._runs.append(run)
            self._launch(run)

    def stop_on_signals(self) -> None:
        """Let Ctrl-C, SIGTERM and a closed terminal end :meth:`watch`, rather than this process."""
        for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
            signal.signal(number, lambda _number, _frame: self.ask_to_stop())

    def ask_to_stop(self) -> None:
        """End :meth:`watch` soon. Safe in a signal handler; asking twice changes nothing."""
        self._stopping = True

    @property
    def stopping(self) -> bool:
        """Whether somebody asked for the end."""
        return self._stopping

    def watch(self, until: Callable[[], bool] = lambda: False) -> None:
        """Restart what dies, until asked to stop or until ``until()`` holds."""
        while not self._stopping and not until():
            for run in self._runs:
                self._tend(run)
            time.sleep(_LOOK_EVERY_S)

    def stop(self) -> None:
        """Stop everything: ask, wait, and end what does not listen. Leaves no child behind."""
        running = [run for run in self._runs if run.process is not None]
        for run in running:
            _signal_group(run.process, signal.SIGTERM)
        deadline = time.monotonic() + self.patience.grace.total_seconds()
        for run in running:
            self._await_end(run, deadline)

    def pids(self) -> dict[str, int]:
        """Process ids of what runs now, by program name."""
        return {run.program.name: run.process.pid for run in self._runs if run.process is not None}

    def _launch(self, run: _Run) -> None:
        with run.log.open("ab") as log:
            run.process = subprocess.Popen(
                run.program.argv,
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=subprocess.STDOUT,
                env=dict(self.environment),
                # Ctrl-C must reach the supervisor alone, which then stops things in order.
                start_new_session=True,
                preexec_fn=_die_with_parent if sys.platform == "linux" else None,  # noqa: PLW1509 - no threads here
            )
        run.started_at = time.monotonic()

    def _tend(self, run: _Run) -> None:
        if run.process is None:
            if time.monotonic() >= run.start_again_at:
                self._launch(run)
            return
        status = run.process.poll()
        if status is not None:
            self._note_death(run, status)

    def _note_death(self, run: _Run, status: int) -> None:
        _signal_group(run.process, signal.SIGKILL)  # what it had started and left behind
        lived = time.monotonic() - run.started_at
        fresh = lived >= self.patience.counts_as_well.total_seconds()
        run.deaths_in_a_row = 1 if fresh else run.deaths_in_a_row + 1
        delay = self.patience.delay_after(run.deaths_in_a_row).total_seconds()
        run.process = None
        run.start_again_at = time.monotonic() + delay
        self.say(
            f"{run.program.name} {_how_it_ended(status)}; starting it again in {delay:g} s. "
            f"Its log: {run.log}"
        )

    def _await_end(self, run: _Run, deadline: float) -> None:
        if run.process is None:
            return
        try:
            run.process.wait(timeout=max(0.0, deadline - time.monotonic()))
        except subprocess.TimeoutExpired:
            self.say(f"{run.program.name} did not stop when asked; ending it.")
        # Also after a polite end: what it left running in its group must not outlive it.
        _signal_group(run.process, signal.SIGKILL)
        run.process.wait()
        run.process = None


def _how_it_ended(status: int) -> str:
    if status < 0:
        return f"was ended by {signal.Signals(-status).name}"
    return f"stopped by itself with status {status}"


def _signal_group(process: subprocess.Popen[bytes] | None, number: signal.Signals) -> None:
    """Signal a program and all it started. Its process group has its own process id."""
    if process is None:
        return
    try:
        os.killpg(process.pid, number)
    except (ProcessLookupError, PermissionError):  # macOS says "not permitted" of a dead group
        return


def _die_with_parent() -> None:
    """Have the kernel stop this process when its parent is killed, so that none is orphaned."""
    ctypes.CDLL(None, use_errno=True).prctl(_PR_SET_PDEATHSIG, signal.SIGTERM, 0, 0, 0)
