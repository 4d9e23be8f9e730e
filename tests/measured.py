"""Measured submissions for tests: exact points, so that every expected number is known.

The swing is T1 of the trade's test vectors, drawn at 60 pictures a second: at frame 60 the lead arm
is level and the shaft upright (90 degrees); each frame later the shaft leans 2 degrees wider.
"""

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta

from sqlalchemy.orm import Session

from api.db.analyses import store_measured
from api.db.models import Clip, Membership, Submission
from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS, Value, evaluate, sigma_input, to_reading
from api.domain.findings import find
from api.domain.measurement import (
    ClipFacts,
    Keyframe,
    Measurement,
    Missing,
    Point,
    Reading,
    Seen,
    Swing,
)
from api.domain.names import Hand, KeyframeId, PointName, View
from api.storage.base import Storage
from api.storage.keys import annotated_name, original_key, product_key, still_name
from tests import factories

WIDTH, HEIGHT, FRAMES, RATE = 720, 1280, 120, 60.0
LEVEL = 60
DEG_PER_FRAME = 2.0
PIPELINE = "test-1"
SHAFT_PX = 280.0
SIGMA_PX = 2.0
INPUTS = {"sigma_instant": 0.5, "sigma_view": 3.0, "sigma_residual": 1.0}
ANGLE = CheckpointId.LEAD_ARM_SHAFT_ANGLE
ELBOW_POINTS = {PointName.LEAD_SHOULDER, PointName.LEAD_WRIST}
NO_MORE: Mapping[CheckpointId, Reading | Missing] = {}
STANDING_BY = {KeyframeId.ADDRESS: 20, KeyframeId.LEAD_ARM_PARALLEL: LEVEL, KeyframeId.TOP: 75}


def points_at(frame: int) -> dict[PointName, Point]:
    """Where everything is: the angle is 90 + 2 (frame - 60) degrees."""
    lean = math.radians(DEG_PER_FRAME * (frame - LEVEL))
    return {
        PointName.LEAD_SHOULDER: (500.0, 300.0),
        PointName.LEAD_WRIST: (300.0, 300.0),
        PointName.BUTT: (300.0, 300.0),
        PointName.CLUBHEAD: (
            300.0 - SHAFT_PX * math.sin(lean),
            300.0 - SHAFT_PX * math.cos(lean),
        ),
    }


def machine_reading() -> Reading:
    """What the machine reads at frame 60."""
    inputs = INPUTS | {sigma_input(name): SIGMA_PX for name in points_at(LEVEL)}
    value = evaluate(ANGLE, points_at(LEVEL), inputs, handed=Hand.RIGHT, width_px=WIDTH)
    assert isinstance(value, Value)
    return to_reading(value, frame=LEVEL, points=points_at(LEVEL), inputs=inputs)


Readings = Mapping[CheckpointId, Reading | Missing]


def elbow_reading() -> Reading:
    """A lead elbow a little bent at frame 60, on the same arm as the angle."""
    points = {name: at for name, at in points_at(LEVEL).items() if name in ELBOW_POINTS}
    points[PointName.LEAD_ELBOW] = (400.0, 310.0)
    return reading_of(CheckpointId.LEAD_ELBOW_BEND, LEVEL, points, {})


def tempo_reading() -> Reading:
    """A swing of 3 to 1, shown at the top."""
    times = {"takeaway_s": 0.5, "top_s": 1.25, "impact_s": 1.5}
    sigmas = {f"sigma_{name}": 0.004 for name in times}
    return reading_of(CheckpointId.TEMPO_RATIO, 75, {}, times | sigmas)


def reading_of(
    checkpoint: CheckpointId,
    frame: int,
    points: Mapping[PointName, Point],
    more: Mapping[str, float],
) -> Reading:
    """A machine's reading of any number, every point known to ``SIGMA_PX``."""
    small = {"sigma_instant": 0.02, "sigma_view": 0.02, "sigma_residual": 0.02}
    inputs = {**small, **{sigma_input(name): SIGMA_PX for name in points}, **more}
    value = evaluate(checkpoint, points, inputs, handed=Hand.RIGHT, width_px=WIDTH)
    assert isinstance(value, Value), value
    return to_reading(value, frame=frame, points=points, inputs=inputs)


def measurement(*, missing: str | None = None, more: Readings = NO_MORE) -> Measurement:
    """One swing; with ``missing`` the machine found neither the instant nor the reading.

    ``more``: readings beside the lead arm to shaft angle.
    """
    keyframes: dict[KeyframeId, Keyframe | Missing] = {
        keyframe: Keyframe(frame / RATE, 0.004, frame) for keyframe, frame in STANDING_BY.items()
    }
    checkpoint: Reading | Missing = machine_reading()
    if missing is not None:
        keyframes[KeyframeId.LEAD_ARM_PARALLEL] = Missing(missing)
        checkpoint = Missing(missing)
    return Measurement(
        clip=ClipFacts(WIDTH, HEIGHT, FRAMES, FRAMES / RATE, RATE, False, 0, False),  # noqa: FBT003 - the dataclass's order
        view=Seen(View.FACE_ON, View.FACE_ON, None, None),
        swings=(Swing(keyframes, {ANGLE: checkpoint, **more}),),
        timing={"total_s": 1.0},
        pipeline=PIPELINE,
        models={},
    )


def store_products(storage: Storage, clip: Clip, *, tracks: bool = True) -> None:
    """The files a worker would have made; the pictures hold no pictures."""
    frames = {
        str(frame): {name.value: [*at, SIGMA_PX] for name, at in points_at(frame).items()}
        for frame in range(40, 90)
    }
    files = {
        "proxy.mp4": b"0123456789" * 100,
        "frame_times.json": json.dumps({"times_s": [at / RATE for at in range(FRAMES)]}).encode(),
        "tracks.json": json.dumps(
            {"schema": "fairlead.tracks/1", "frames": frames if tracks else {}}
        ).encode(),
        annotated_name("lead_arm_parallel"): b"annotated",
    } | {still_name(frame): b"still" for frame in (*STANDING_BY.values(), LEVEL + 5)}
    for name, data in files.items():
        storage.put_bytes(product_key(clip.id, PIPELINE, name), data)
    storage.put_bytes(original_key(clip.id), b"the original")


def make_measured(
    session: Session,
    storage: Storage,
    student: Membership,
    *,
    missing: str | None = None,
    tracks: bool = True,
    more: Readings = NO_MORE,
    due_in: timedelta = timedelta(hours=48),
    **values: object,
) -> Submission:
    """A submission that waits for a coach, with its clip measured."""
    now = datetime.now(UTC)
    given = {"state": "analysing", "received_at": now, "due_at": now + due_in} | values
    submission = factories.make_submission(session, student, **given)
    clip = factories.make_clip(session, submission)
    store_products(storage, clip, tracks=tracks)
    store_measured(session, clip.id, measurement(missing=missing, more=more))
    session.flush()
    session.refresh(submission)
    assert [one.id for one in submission.clips] == [clip.id]
    session.commit()
    return submission


def swing_of(view: View, readings: Readings) -> Swing:
    """A swing with these readings, and why the rest are not there, as a worker hands it over."""
    there = {
        checkpoint: readings.get(checkpoint)
        or Missing(
            "It was not seen."
            if view in definition.views
            else f"This is read from a {definition.views[0].value} clip."
        )
        for checkpoint, definition in CHECKPOINTS.items()
    }
    keyframes: dict[KeyframeId, Keyframe | Missing] = {
        keyframe: Keyframe(frame / RATE, 0.004, frame) for keyframe, frame in STANDING_BY.items()
    }
    return Swing(keyframes, there, find(there))


def make_seen(
    session: Session,
    storage: Storage,
    student: Membership,
    views: Mapping[View, Sequence[Readings]],
    *,
    arrived: datetime | None = None,
    **values: object,
) -> Submission:
    """A submission that waits for a coach, of a clip for each view with the readings of its swings."""
    now = arrived or datetime.now(UTC)
    given = {"state": "analysing", "received_at": now, "due_at": now + timedelta(hours=48)} | values
    submission = factories.make_submission(session, student, **given)
    clips = {
        view: factories.make_clip(session, submission, view=view.value, received_at=now)
        for view in views
    }
    for view, clip in clips.items():
        store_products(storage, clip)
        swings = tuple(swing_of(view, readings) for readings in views[view])
        seen = Seen(view, view, None, None)
        store_measured(session, clip.id, replace(measurement(), view=seen, swings=swings))
    session.flush()
    session.refresh(submission)
    session.commit()
    return submission
