"""Measure clips in a few processes, remember what was measured, and drop nothing that goes wrong."""

import json
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from multiprocessing import get_context
from pathlib import Path
from typing import Any

import cv2

from api.domain.errors import ClipRefused
from api.domain.measurement import Measurement
from api.domain.measurement_json import from_json, to_json
from tests.accuracy.digests import measurement_digest
from tests.accuracy.truths import TrueClip
from worker.pipeline import MeasureRequest, measure_clip

PROCESSES = 2
MEASURED, REFUSED, CRASHED = "measured", "refused", "crashed"
PROCESS_DIED = "The measuring process died (killed, or out of memory)."


@dataclass(frozen=True, slots=True)
class Measured:
    """What became of one clip. ``outcome``: measured, refused (``reason`` is its code and words) or
    crashed (``reason`` names the exception); ``cpu_s`` and ``wall_s`` as they were when measured."""

    outcome: str
    reason: str
    measurement: Measurement | None
    cpu_s: float
    wall_s: float


@dataclass(frozen=True, slots=True)
class Job:
    """What a measuring process is told."""

    video: Path
    request: MeasureRequest


OnDone = Callable[[TrueClip, Measured], None]


def measure_all(
    clips: Sequence[TrueClip], kept: Path, *, on_done: OnDone, processes: int = PROCESSES
) -> dict[str, Measured]:
    """Measure every clip that ``kept`` does not hold yet; results by clip name, all of them.

    ``kept``: a folder, made if absent; a run that was cut off goes on where it stopped. A crash
    is not kept, so that it is tried again. ``on_done`` is called as each clip's result is there.
    """
    kept.mkdir(parents=True, exist_ok=True)
    results: dict[str, Measured] = {}
    waiting: list[TrueClip] = []
    for clip in clips:
        known = _read(kept / f"{measurement_digest(clip)}.json")
        if known is None:
            waiting.append(clip)
        else:
            results[clip.name] = known
            on_done(clip, known)
    for clip, measured in _measure(waiting, processes):
        if measured.outcome != CRASHED:
            _write(kept / f"{measurement_digest(clip)}.json", measured)
        results[clip.name] = measured
        on_done(clip, measured)
    return results


def _measure(clips: Sequence[TrueClip], processes: int) -> Iterator[tuple[TrueClip, Measured]]:
    """Together first; what a dying process took with it, alone, so that its own clip is known."""
    lost: list[TrueClip] = []
    for clip, measured in _together(clips, processes):
        if measured is None:
            lost.append(clip)
        else:
            yield clip, measured
    for clip in lost:
        for _, measured in _together([clip], 1):
            yield clip, measured or Measured(CRASHED, PROCESS_DIED, None, 0.0, 0.0)


def _together(
    clips: Sequence[TrueClip], processes: int
) -> Iterator[tuple[TrueClip, Measured | None]]:
    """Each clip with its result, or with ``None`` when its process died."""
    if not clips:
        return
    with ProcessPoolExecutor(processes, get_context("spawn"), cv2.setNumThreads, (1,)) as pool:
        asked: dict[Future[Measured], TrueClip] = {}
        for clip in clips:
            request = MeasureRequest(clip.view, clip.handed, clip.club_length_m)
            asked[pool.submit(measure_one, Job(clip.video, request))] = clip
        try:
            for future in as_completed(asked):
                yield asked[future], _result(future)
        finally:
            pool.shutdown(wait=True, cancel_futures=True)


def _result(future: Future[Measured]) -> Measured | None:
    try:
        return future.result()
    except BrokenProcessPool:
        return None


def measure_one(job: Job) -> Measured:
    """Measure one clip; whatever goes wrong becomes the result. Runs in a measuring process."""
    cpu, wall = time.process_time(), time.perf_counter()
    outcome, reason, measurement = MEASURED, "", None
    try:
        measurement = measure_clip(job.video, job.request).measurement
    except ClipRefused as refusal:
        outcome, reason = REFUSED, f"{refusal.code}: {refusal.message}"
    except Exception as error:  # noqa: BLE001 - a crash is a row of the report, whatever it is
        outcome, reason = CRASHED, f"{type(error).__name__}: {error}"
    return Measured(
        outcome, reason, measurement, time.process_time() - cpu, time.perf_counter() - wall
    )


def _write(path: Path, measured: Measured) -> None:
    content = {
        "outcome": measured.outcome,
        "reason": measured.reason,
        "measurement": None if measured.measurement is None else to_json(measured.measurement),
        "cpu_s": round(measured.cpu_s, 3),
        "wall_s": round(measured.wall_s, 3),
    }
    part = path.with_suffix(".part")
    part.write_text(json.dumps(content, allow_nan=False), encoding="utf-8")
    part.replace(path)


def _read(path: Path) -> Measured | None:
    """A kept result; ``None`` where there is none."""
    if not path.is_file():
        return None
    content: Mapping[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    measurement = content["measurement"]
    return Measured(
        content["outcome"],
        content["reason"],
        None if measurement is None else from_json(measurement),
        content["cpu_s"],
        content["wall_s"],
    )
