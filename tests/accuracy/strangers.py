"""Ten clips of an independent renderer, and what their truth files mean in our terms.

They share no code, no body and no motion with the studio, so they are shown under their own heading
and never pooled with its clips. Definitions: ``lead_arm_shaft_angle`` is ``arm_shaft_wrist`` at lead
arm parallel; ``butt_end_inside`` is the distance on the ground over that renderer's grip of 0.265 m
(ideal), and the uncorrected estimate from the picture (actual).
"""

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from api.domain.events_timing import tempo_ratio
from api.domain.mirror import lead_side
from api.domain.names import CheckpointId, Hand, KeyframeId, View
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

ROOT = Path(__file__).resolve().parents[2]
USUAL_PLACE = ROOT.parent / "shared" / "clips"
"""Beside the repository; the clips are not part of it."""

GRIP_OF_TRUTH_M = 0.265
TEMPO_RATIO = "tempo_ratio"

_CLUB_POINTS = {"butt": "butt", "hosel": "clubhead"}

Truth = Mapping[str, Any]


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
        _clip(video, json.loads(video.with_suffix(".json").read_text(encoding="utf-8")))
        for video in sorted(folder.glob("*.mp4"))
        if video.with_suffix(".json").is_file()
    ]


def _clip(video: Path, truth: Truth) -> TrueClip:
    hand = Hand(truth["handed"])
    return TrueClip(
        name=video.stem,
        video=video,
        view=View(truth["view"]),
        handed=hand,
        club_length_m=float(truth["club_length_m"]),
        frame_times_s=tuple(float(frame["t"]) for frame in truth["frames"]),
        swings=tuple(_swing(times, truth) for times in truth["swings"]),
        factors=Factors(
            frame_rate=float(truth["fps"]),
            exposure_s=float(truth["exposure_s"]),
            azimuth_deg=float(truth["camera"]["azimuth_deg"]),
            build="not told",
            dials={"fault": str(truth["fault"] or "none"), "handed": hand.value},
        ),
        points=tuple(_points(frame, truth["ball"], hand) for frame in truth["frames"]),
    )


def _swing(times: Mapping[str, float], truth: Truth) -> TrueSwing:
    instants = {key: at_once(float(times[key.value])) for key in KeyframeId if key.value in times}
    return TrueSwing(instants, {**_reading(truth), TEMPO_RATIO: _tempo(instants)})


def _reading(truth: Truth) -> dict[str, TrueValue | Absent]:
    measures = truth["measures"]
    if truth["view"] == View.FACE_ON.value:
        at = measures["lead_arm_parallel"]
        value = TrueValue(at["ideal"]["arm_shaft_wrist"], at["actual"]["arm_shaft_wrist"])
        return {CheckpointId.LEAD_ARM_SHAFT_ANGLE.value: value}
    at = measures["butt_end_inside"]
    return {
        CheckpointId.BUTT_END_INSIDE.value: TrueValue(
            at["ground_m"] / GRIP_OF_TRUTH_M, float(at["actual"])
        )
    }


def _tempo(instants: Mapping[KeyframeId, TrueInstant]) -> TrueValue:
    beats = (KeyframeId.TAKEAWAY, KeyframeId.TOP, KeyframeId.IMPACT)
    ratio = tempo_ratio(*(instants[key].time_s for key in beats))
    return TrueValue(ratio, ratio)


def _points(frame: Truth, ball: list[float], hand: Hand) -> dict[str, Point]:
    lead = lead_side(hand)
    points: dict[str, Point] = {"ball": (ball[0], ball[1])}
    for name, at in frame["joints"].items():
        side, _, part = name.partition("_")
        words = f"{'lead' if side == lead else 'trail'}_{part}" if part else name
        points[words] = (at[0], at[1])
    for theirs, ours in _CLUB_POINTS.items():
        at = frame["club"][theirs]
        points[ours] = (at[0], at[1])
    return points
