"""Small measuring functions for the child: one that works, and some that misbehave."""

import os
import socket
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from api.domain.checkpoint_ids import CheckpointId
from api.domain.measurement import Estimate, Keyframe, Measurement, Missing, Reading, Seen, Swing
from api.domain.names import Band, KeyframeId, PointName, Unit
from worker.pipeline import MeasureRequest, MeasureResult
from worker.video.probe import probe_clip

OnProgress = Callable[[str, float], None] | None

VERSION = "small-1"
STAGES = ("probe", "scan", "track", "measure")


def small(path: Path, request: MeasureRequest, *, on_progress: OnProgress = None) -> MeasureResult:
    """Really opens the clip; the swing in it is made up: always the same."""
    if on_progress is not None:
        for number, stage in enumerate(STAGES):
            on_progress(stage, number / len(STAGES))
    probe = probe_clip(path)
    points = {
        PointName.LEAD_SHOULDER: (200.0, 160.0),
        PointName.LEAD_WRIST: (90.0, 165.0),
        PointName.BUTT: (85.0, 170.0),
        PointName.CLUBHEAD: (95.0, 30.0),
    }
    reading = Reading(
        86.0, 3.0, 80.1, 91.9, Unit.DEGREES, Band.GOOD, 5, points, {"sigma_view": 2.0}
    )
    swing = Swing(
        keyframes={
            KeyframeId.LEAD_ARM_PARALLEL: Keyframe(0.17, 0.01, 5),
            KeyframeId.TOP: Missing("The top is not in the clip."),
        },
        checkpoints={
            CheckpointId.LEAD_ARM_SHAFT_ANGLE: reading,
            CheckpointId.BUTT_END_INSIDE: Missing("Needs the other view."),
        },
    )
    measurement = Measurement(
        clip=probe.facts,
        view=Seen(request.view, request.view, Estimate(1.0, 3.0), None),
        swings=(swing,),
        timing={"total_s": 0.1},
        pipeline=VERSION,
        models={},
    )
    tracks = {5: {name: (x, y, 4.0) for name, (x, y) in points.items()}}
    return MeasureResult(measurement, tracks, probe)


def slow(path: Path, request: MeasureRequest, *, on_progress: OnProgress = None) -> MeasureResult:
    """Takes longer than the lease of the fault tests."""
    result = small(path, request, on_progress=on_progress)
    time.sleep(3.0)
    return result


def repeating(
    path: Path, request: MeasureRequest, *, on_progress: OnProgress = None
) -> MeasureResult:
    """Repeats, among its models, what it was told of the swing."""
    result = small(path, request, on_progress=on_progress)
    told = {"swings_slowly": str(request.swings_slowly)}
    return replace(result, measurement=replace(result.measurement, models=told))


def chatty(path: Path, request: MeasureRequest, *, on_progress: OnProgress = None) -> MeasureResult:
    print("a library that talks")  # noqa: T201 - that is the point
    os.write(1, b"and one that talks from C\n")
    return small(path, request, on_progress=on_progress)


def burning(
    path: Path, request: MeasureRequest, *, on_progress: OnProgress = None
) -> MeasureResult:
    while True:
        pass


def greedy(path: Path, request: MeasureRequest, *, on_progress: OnProgress = None) -> MeasureResult:
    hoard = [bytearray(64 * 1024**2) for _ in range(1000)]
    raise AssertionError(len(hoard))


def sleeping(
    path: Path, request: MeasureRequest, *, on_progress: OnProgress = None
) -> MeasureResult:
    if on_progress is not None:
        on_progress("probe", 0.0)
    time.sleep(600)
    raise AssertionError


def aborting(
    path: Path, request: MeasureRequest, *, on_progress: OnProgress = None
) -> MeasureResult:
    os.abort()


def leaving(
    path: Path, request: MeasureRequest, *, on_progress: OnProgress = None
) -> MeasureResult:
    os._exit(3)


def raising(
    path: Path, request: MeasureRequest, *, on_progress: OnProgress = None
) -> MeasureResult:
    raise ZeroDivisionError("by nought")


def calling(
    path: Path, request: MeasureRequest, *, on_progress: OnProgress = None
) -> MeasureResult:
    socket.create_connection(("127.0.0.1", 9), timeout=1)
    raise AssertionError


def telling(
    path: Path, request: MeasureRequest, *, on_progress: OnProgress = None
) -> MeasureResult:
    """Says what it sees of the environment."""
    raise RuntimeError(" ".join(sorted(os.environ)))
