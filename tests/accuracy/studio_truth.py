"""From the studio's truth files to the report's terms."""

from collections.abc import Mapping
from pathlib import Path

import numpy as np

from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS
from tests.accuracy import truths
from tests.accuracy.truths import Factors, Point, TrueClip, TrueInstant, TrueSwing, TrueValue
from tests.studio.dials import ClipDials, GolferDials
from tests.studio.truth.names import Moment
from tests.studio.truth.schema import (
    Absent,
    CheckpointTruth,
    ClipTruth,
    Frames,
    InstantTruth,
    SwingTruth,
)

DRAWN = {
    "lead_shoulder": "lead_shoulder",
    "lead_wrist": "lead_wrist",
    "butt": "butt",
    "hosel": "clubhead",
    "ball": "ball",
}
"""Points that pictures of cases show: the studio's name, and the name of the reading's point."""
MOMENTS = {
    CheckpointId.CLUBHEAD_INSIDE_EARLY: Moment.SHAFT_LEVEL_BACK.value,
    CheckpointId.HANDS_OVER_TRAIL_SHOULDER: Moment.SHAFT_45_BACK.value,
}
"""Readings at a moment that no keyframe names."""
SLIM, BROAD = 0.95, 1.05


def true_clip(truth: ClipTruth, video: Path) -> TrueClip:
    """A studio clip in the report's terms."""
    return TrueClip(
        name=truth.name,
        video=video,
        view=truth.view,
        handed=truth.handed,
        club_length_m=truth.club_length_m,
        frame_times_s=tuple(float(time) for time in truth.frames.file_s),
        swings=tuple(_swing(swing) for swing in truth.swings),
        factors=factors_of(truth.dials),
        points=tuple(_points(truth.frames, frame) for frame in range(len(truth.frames.file_s))),
        slowed=truth.dials.film.slow_motion,
    )


def _swing(swing: SwingTruth) -> TrueSwing:
    return TrueSwing(
        instants={key: _instant(at) for key, at in swing.instants.items()},
        checkpoints={key_of(one): _value(one) for one in swing.checkpoints},
        moments={moment.value: _instant(at) for moment, at in swing.moments.items()},
    )


def _instant(at: InstantTruth | Absent) -> TrueInstant | truths.Absent:
    if isinstance(at, Absent):
        return truths.Absent(at.reason)
    return TrueInstant(at.file_s, at.from_file_s, at.to_file_s)


def key_of(one: CheckpointTruth) -> str:
    """The checkpoint's id for the number that a reading of it means; longer for the others.

    A reading is of one quantity and part, at the instant at which the pipeline reads it.
    """
    for checkpoint, definition in CHECKPOINTS.items():
        read_at = MOMENTS.get(checkpoint, definition.keyframe.value)
        same = (one.id.value, one.part) == (definition.measures, definition.part)
        if same and one.at in {"", read_at}:
            return checkpoint.value
    at = f" at {one.at}" if one.at else ""
    return f"{one.id.value}{at}" + (f", {one.part}" if one.part else "")


def _value(one: CheckpointTruth) -> TrueValue | truths.Absent:
    """Its value by definition (the ideal camera's, or space's), and the actual camera's."""
    if isinstance(one.value, Absent):
        return truths.Absent(one.value.reason)
    return TrueValue(one.value, None if isinstance(one.actual, Absent) else one.actual)


def _points(frames: Frames, frame: int) -> Mapping[str, Point]:
    points: dict[str, Point] = {}
    for theirs, ours in DRAWN.items():
        if theirs in frames.points:
            x, y = frames.pixels[frame, frames.index(theirs)]
            if np.isfinite(x) and np.isfinite(y):
                points[ours] = (float(x), float(y))
    return points


def factors_of(dials: ClipDials) -> Factors:
    """What may make the clip hard."""
    return Factors(
        frame_rate=dials.film.fps,
        exposure_s=dials.film.exposure_s,
        azimuth_deg=dials.camera.azimuth_deg,
        build=dials.golfer.body.value,
        dials=_other_dials(dials),
    )


def girth_of(golfer: GolferDials) -> str:
    """Girth in words; bodies differ besides."""
    if golfer.girth < SLIM:
        return "slim"
    return "broad" if golfer.girth > BROAD else "middling"


def _other_dials(dials: ClipDials) -> dict[str, str]:
    """Dials in words, one group each, for the table of groups."""
    film, scene, swing, golfer = dials.film, dials.scene, dials.swing, dials.golfer
    return {
        "girth": girth_of(golfer),
        "handed": golfer.handed.value,
        "background": scene.background.value,
        "sleeves": "long" if golfer.long_sleeves else "short",
        "headwear": golfer.headwear.value,
        "picture": f"{film.short_side} {'portrait' if dials.camera.portrait else 'landscape'}",
        "held": "in the hand" if dials.camera.shake_deg > 0.0 else "on a stand",
        "file": _file_words(dials),
        "bystander": "yes" if scene.bystander else "no",
        "ball": "yes" if swing.ball else "no",
        "club": swing.club.value,
        "swing": _swing_words(dials),
    }


def _file_words(dials: ClipDials) -> str:
    if dials.film.slow_motion > 1.0:
        return "slowed"
    if dials.film.variable_rate:
        return "variable rate"
    return "turned by its tag" if dials.film.rotation_deg else "plain"


def _swing_words(dials: ClipDials) -> str:
    swing = dials.swing
    if swing.swings > 1:
        return "several in a file"
    if swing.stop_at_top:
        return "stops at the top"
    if swing.pause_s > 0.0:
        return "with a pause"
    if swing.slow > 1.0:
        return "slow"
    return "with waggles" if swing.waggles else "plain"
