"""Ten clips of an independent renderer, in the report's terms.

They share no code and no motion with the studio (but its three free bodies), so they are shown under
their own heading and never pooled with its clips. What their numbers mean beside ours:
``tests.accuracy.conventions``.
"""

from collections.abc import Mapping
from pathlib import Path

import numpy as np

from api.domain.checkpoint_ids import CheckpointId
from api.domain.events_timing import tempo_ratio
from api.domain.names import KeyframeId, View
from tests.accuracy.truths import (
    Absent,
    Factors,
    Point,
    TrueClip,
    TrueInstant,
    TrueSwing,
    TrueValue,
    at_once,
)
from tests.studio.truth.strangers import StrangerTruth, load_stranger

ROOT = Path(__file__).resolve().parents[2]
USUAL_PLACE = ROOT.parent / "shared" / "clips"
"""Beside the repository; the clips are not part of it."""

TEMPO_RATIO = "tempo_ratio"
DRAWN = {
    "lead_shoulder": "lead_shoulder",
    "lead_wrist": "lead_wrist",
    "butt": "butt",
    "hosel": "clubhead",
}


OTHERS_MEANING = frozenset({KeyframeId.FINISH})
"""Instants by which they mean something else: their finish is a key pose, at which their golfers still
sway faster than our threshold of rest (see ``CONVENTIONS``). It is not scored."""


def find_strangers(asked: Path | None) -> Path | Absent:
    """The folder of the strangers' clips, or why there is none. Asked for, it must hold clips."""
    folder = asked or USUAL_PLACE
    if not folder.is_dir():
        return Absent(f"There is no folder {folder.name} at the place looked at (see --strangers).")
    if not any(video.with_suffix(".json").is_file() for video in folder.glob("*.mp4")):
        return Absent(f"The folder {folder.name} holds no clip with its truth beside it.")
    return folder


def load_strangers(folder: Path) -> list[TrueClip]:
    """Every ``NAME.mp4`` that has a ``NAME.json``, by name."""
    return [
        _clip(video, load_stranger(video.with_suffix(".json")))
        for video in sorted(folder.glob("*.mp4"))
        if video.with_suffix(".json").is_file()
    ]


def _clip(video: Path, truth: StrangerTruth) -> TrueClip:
    return TrueClip(
        name=truth.name,
        video=video,
        view=truth.view,
        handed=truth.handed,
        club_length_m=truth.club_length_m,
        frame_times_s=tuple(float(time) for time in truth.file_s),
        swings=tuple(_swing(times, truth) for times in truth.swings),
        factors=Factors(
            frame_rate=truth.fps,
            exposure_s=truth.exposure_s,
            azimuth_deg=truth.camera.azimuth_deg,
            build="not told",
            dials={"fault": truth.fault or "none", "handed": truth.handed.value},
        ),
        points=tuple(_points(truth, frame) for frame in range(len(truth.file_s))),
    )


def _swing(times: Mapping[KeyframeId, float], truth: StrangerTruth) -> TrueSwing:
    instants = {key: at_once(time_s) for key, time_s in times.items() if key not in OTHERS_MEANING}
    if truth.hold_s > 0.0:  # the arm stops level: any time of the stop is as right
        at = times[KeyframeId.LEAD_ARM_PARALLEL]
        instants[KeyframeId.LEAD_ARM_PARALLEL] = TrueInstant(at, at, at + truth.hold_s)
    return TrueSwing(instants, {**_reading(truth), TEMPO_RATIO: _tempo(times)})


def _reading(truth: StrangerTruth) -> dict[str, TrueValue | Absent]:
    """Angle: of both cameras. Butt end: on the ground, and the picture's uncorrected estimate."""
    if truth.view is View.FACE_ON:
        at = truth.measures[KeyframeId.LEAD_ARM_PARALLEL]
        value = TrueValue(at.ideal.arm_shaft_wrist, at.actual.arm_shaft_wrist)
        return {CheckpointId.LEAD_ARM_SHAFT_ANGLE.value: value}
    if truth.butt is None:
        return {}
    return {CheckpointId.BUTT_END_INSIDE.value: TrueValue(truth.butt.grips, truth.butt.actual)}


def _tempo(times: Mapping[KeyframeId, float]) -> TrueValue:
    ratio = tempo_ratio(times[KeyframeId.TAKEAWAY], times[KeyframeId.TOP], times[KeyframeId.IMPACT])
    return TrueValue(ratio, ratio)


def _points(truth: StrangerTruth, frame: int) -> dict[str, Point]:
    points: dict[str, Point] = {"ball": truth.ball}
    for theirs, ours in DRAWN.items():
        x, y = np.asarray(truth.tracks[theirs][frame], dtype=float)
        points[ours] = (float(x), float(y))
    return points
