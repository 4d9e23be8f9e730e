"""Many clips in a few processes, with a bar."""

import multiprocessing
import os
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from contextlib import contextmanager
from multiprocessing.sharedctypes import Synchronized
from typing import TypeAlias

from rich.console import Console
from rich.progress import (
    BarColumn,
    MofNCompleteColumn,
    Progress,
    TaskID,
    TextColumn,
    TimeRemainingColumn,
)

from tests.studio.clip import MadeClip, made_already, make_clip
from tests.studio.dials import ClipDials
from tests.studio.guard import Set, open_as_parent, opened
from tests.studio.sets import cost_of, frames_of

# One process a core: more threads in each would only get in one another's way.
_ONE_THREAD = {"LP_NUM_THREADS": "1", "OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}
_LOOK_EVERY_S = 0.5

Counter: TypeAlias = "Synchronized[int]"
Jobs = Mapping[Future[MadeClip], ClipDials]


class ClipsNotMade(RuntimeError):
    """Some clips could not be made; the others were. ``problems``: by the clip's name."""

    def __init__(self, problems: Mapping[str, BaseException]) -> None:
        self.problems = dict(problems)
        told = "; ".join(f"{name}: {problem!r}" for name, problem in problems.items())
        super().__init__(f"{len(problems)} clips could not be made: {told}")


def make_clips(
    clips: Sequence[ClipDials], *, processes: int = 2, console: Console | None = None
) -> list[MadeClip]:
    """The clips' files, in order; those missing in the cache are made, the dearest first.

    Shows a bar of frames on ``console`` while it works. Raises ``SetIsClosed`` for a clip of a set
    that is not open, and, when all that could be made is made, ``ClipsNotMade``.
    """
    made = {dials: done for dials in clips if (done := made_already(dials)) is not None}
    missing = [dials for dials in clips if dials not in made]
    if missing:
        made |= _make(sorted(missing, key=cost_of, reverse=True), processes, console)
    return [made[dials] for dials in clips]


def _make(
    missing: Sequence[ClipDials], processes: int, console: Console | None
) -> dict[ClipDials, MadeClip]:
    context = multiprocessing.get_context("spawn")  # a forked OpenGL or PyAV is a broken one
    filmed: Counter = context.Value("q", 0)
    with (
        _single_threaded_children(),
        ProcessPoolExecutor(
            min(processes, len(missing)),
            mp_context=context,
            initializer=_start,
            initargs=(filmed, opened()),
        ) as pool,
        _bar(console) as bar,
    ):
        task = bar.add_task("filming", total=sum(frames_of(dials) for dials in missing))
        jobs = {pool.submit(_one, dials): dials for dials in missing}
        problems = _watched(jobs, filmed, bar, task)
    if problems:
        raise ClipsNotMade(problems)
    return {dials: job.result() for job, dials in jobs.items()}


def _watched(jobs: Jobs, filmed: Counter, bar: Progress, task: TaskID) -> dict[str, BaseException]:
    """Wait for all jobs, moving the bar; what went wrong, by clip."""
    problems: dict[str, BaseException] = {}
    waiting = set(jobs)
    while waiting:
        done, waiting = wait(waiting, timeout=_LOOK_EVERY_S, return_when=FIRST_COMPLETED)
        bar.update(task, completed=filmed.value)
        for job in done:
            problem = job.exception()
            if problem is not None:
                problems[jobs[job].name] = problem
    return problems


def _bar(console: Console | None) -> Progress:
    return Progress(
        TextColumn("{task.description}"),
        BarColumn(),
        MofNCompleteColumn(),
        TextColumn("frames"),
        TimeRemainingColumn(),
        console=console,
    )


@contextmanager
def _single_threaded_children() -> Iterator[None]:
    """Processes started inside have one thread each for drawing and for numbers."""
    before = {name: os.environ.get(name) for name in _ONE_THREAD}
    os.environ.update(_ONE_THREAD)
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                del os.environ[name]
            else:
                os.environ[name] = value


class _Child:
    """What a helper process was started with."""

    filmed: Counter


def _start(filmed: Counter, handed_on: Set | None) -> None:
    _Child.filmed = filmed
    open_as_parent(handed_on)


def _one(dials: ClipDials) -> MadeClip:
    return make_clip(dials, filmed=_count)


def _count(_frames: int) -> None:
    with _Child.filmed.get_lock():
        _Child.filmed.value += 1
