"""A worker dies without warning in every stage: each clip is still measured, once."""

import os
import signal
import sys
import time
from pathlib import Path

import pytest

from tests.faults.place import Place, await_true, is_running, kill, measured_once
from tests.worker.measurers import STAGES

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="looks into /proc")

CHILD_STAGES = (*STAGES, "proxy", "stills")
WORKER_STAGES = ("storing", "committing")
CLIPS = Path(__file__).resolve().parents[1] / "clips"


@pytest.mark.parametrize("stage", [*CHILD_STAGES, *WORKER_STAGES])
def test_killed_in_each_stage(place: Place, stage: str) -> None:
    _, (clip_id,) = place.sender.send()
    place.start_sweeper()
    worker = place.start_worker(pause_at=stage)
    paused = place.paused_process()
    assert (paused == worker.pid) == (stage in WORKER_STAGES)
    kill(worker)
    await_true(lambda: not is_running(paused))  # the child dies with its worker
    place.start_worker(pause_at=stage)  # the marker is there: this one goes on
    place.await_end(clip_id)
    assert place.tally(clip_id) == measured_once(attempts=2)


@pytest.mark.slow
@pytest.mark.parametrize("stage", ["track", "committing"])
def test_killed_while_really_measuring(place: Place, stage: str) -> None:
    place.sender.clip = CLIPS / "face_on_neutral.mp4"
    real = "worker.pipeline:measure_clip"
    _, (clip_id,) = place.sender.send()
    place.start_sweeper()
    worker = place.start_worker(pause_at=stage, measurer=real)
    place.paused_process()
    kill(worker)
    place.start_worker(measurer=real)
    place.await_end(clip_id)
    tally = place.tally(clip_id)
    assert (tally.job, tally.analyses, tally.reviews) == (("done", 2), 1, 1)
    assert (tally.clip, tally.submission, tally.measured_events) == ("measured", "waiting", 1)
    assert tally.readings >= 1


def test_killed_on_every_attempt_ends_in_sight_of_a_person(place: Place) -> None:
    _, (clip_id,) = place.sender.send()
    place.start_sweeper()
    for _ in range(place_attempts(place)):
        worker = place.start_worker(pause_at="scan")
        place.paused_process()
        kill(worker)
        place.marker.unlink()
    place.await_end(clip_id)
    tally = place.tally(clip_id)
    assert (tally.job[0], tally.analyses, tally.reviews) == ("failed", 0, 1)
    assert (tally.clip, tally.submission) == ("failed", "waiting")


def test_a_zombie_that_wakes_up_late_changes_nothing(place: Place) -> None:
    slow = "tests.worker.measurers:slow"
    _, (clip_id,) = place.sender.send()
    place.start_sweeper()
    zombie = place.start_worker(measurer=slow)
    await_true(lambda: place.job_state(clip_id) == "running", place.logs)
    os.kill(zombie.pid, signal.SIGSTOP)
    place.start_worker(measurer=slow)
    place.await_end(clip_id)
    before = place.tally(clip_id)
    os.kill(zombie.pid, signal.SIGCONT)
    await_true(lambda: "lease_lost" in place.logs(), place.logs)
    assert place.tally(clip_id) == before == measured_once(attempts=2)
    assert zombie.poll() is None  # it goes on with other work


def test_asked_to_end_a_worker_gives_its_job_back_at_once(place: Place) -> None:
    _, (clip_id,) = place.sender.send()
    if place.kind == "celery":
        place.start_sweeper()
    worker = place.start_worker(pause_at="scan")
    child = place.paused_process()
    began = time.monotonic()
    worker.send_signal(signal.SIGTERM)
    worker.wait(timeout=10)
    assert time.monotonic() - began < 5.0
    assert not is_running(child)
    tally = place.tally(clip_id)
    assert tally.job == ("queued", 0)
    place.start_worker()
    place.await_end(clip_id)
    assert place.tally(clip_id) == measured_once(attempts=1)


def place_attempts(place: Place) -> int:
    return int(place.environment["FAIRLEAD_JOB_MAX_ATTEMPTS"])
