"""Truths, measurements and rows made up for the report's own tests: numbers that can be worked by hand."""

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS
from api.domain.measurement import ClipFacts, Keyframe, Measurement, Missing, Reading, Seen, Swing
from api.domain.names import Band, Hand, KeyframeId, View
from api.domain.uncertainty import interval95
from tests.accuracy.measuring import MEASURED, Measured
from tests.accuracy.rows import ClipRow, Kind, Row, Status
from tests.accuracy.truths import (
    Absent,
    Factors,
    TrueClip,
    TrueInstant,
    TrueSwing,
    TrueValue,
    at_once,
)

NOT_YET = Missing("This is not looked for yet; a coach can mark it.")
OTHER_VIEW = Missing("This is read from a down-the-line clip.")
ANGLE, BUTT = CheckpointId.LEAD_ARM_SHAFT_ANGLE, CheckpointId.BUTT_END_INSIDE

TIMES_S: Mapping[KeyframeId, float] = {
    KeyframeId.ADDRESS: 1.0,
    KeyframeId.TAKEAWAY: 1.0,
    KeyframeId.HANDS_PAST_TRAIL_LEG: 1.2,
    KeyframeId.LEAD_ARM_PARALLEL: 1.5,
    KeyframeId.TOP: 1.8,
    KeyframeId.LEAD_ARM_PARALLEL_DOWN: 1.95,
    KeyframeId.DELIVERY: 2.0,
    KeyframeId.IMPACT: 2.1,
    KeyframeId.FINISH: 2.8,
}


def true_clip(
    video: Path,
    *,
    view: View = View.FACE_ON,
    swings: tuple[TrueSwing, ...] | None = None,
    frame_rate: float = 60.0,
) -> TrueClip:
    """A clip of four seconds; the video's bytes need not be one."""
    return TrueClip(
        name=video.stem,
        video=video,
        view=view,
        handed=Hand.RIGHT,
        club_length_m=0.94,
        frame_times_s=tuple(i / frame_rate for i in range(int(4 * frame_rate))),
        swings=swings or (true_swing(),),
        factors=Factors(frame_rate, 0.002, 0.0, "man"),
    )


def true_swing(
    shift_s: float = 0.0, *, absent: tuple[KeyframeId, ...] = (), angle: float = 90.0
) -> TrueSwing:
    """A swing at ``TIMES_S``, later by ``shift_s``."""
    instants: dict[KeyframeId, TrueInstant | Absent] = {
        key: Absent("stops before") if key in absent else at_once(at + shift_s)
        for key, at in TIMES_S.items()
    }
    readings = {ANGLE.value: TrueValue(angle, angle + 2.0), "shaft_pitch": TrueValue(60.0, 60.0)}
    return TrueSwing(instants, readings)


def found_swing(
    shift_s: float = 0.0,
    *,
    missing: Mapping[KeyframeId, Missing] | None = None,
    reading: Reading | Missing | None = None,
    frame_rate: float = 60.0,
) -> Swing:
    """A swing found ``shift_s`` late everywhere, each instant with a sigma of 10 ms."""
    keyframes: dict[KeyframeId, Keyframe | Missing] = {}
    for key, at in TIMES_S.items():
        time_s = at + shift_s
        keyframes[key] = Keyframe(time_s, 0.010, round(time_s * frame_rate))
    keyframes |= {KeyframeId.DELIVERY: NOT_YET, KeyframeId.FINISH: NOT_YET, **(missing or {})}
    return Swing(keyframes, {ANGLE: reading or angle_reading(92.0), BUTT: OTHER_VIEW})


def angle_reading(value: float, sigma: float = 3.0) -> Reading:
    """A reading of the lead arm to shaft angle."""
    low, high = interval95(value, sigma)
    return Reading(value, sigma, low, high, CHECKPOINTS[ANGLE].unit, Band.TOO_CLOSE, 90, {})


def measured(*swings: Swing) -> Measured:
    """A clip that was measured."""
    facts = ClipFacts(720, 1280, 240, 4.0, 60.0, False, 0, False)  # noqa: FBT003 - a table of facts
    seen = Seen(View.FACE_ON, View.FACE_ON, None, None)
    return Measured(MEASURED, "", Measurement(facts, seen, swings, {}, "test", {}), 1.0, 1.0)


def reading_row(
    clip: str, error: float | None, sigma: float = 2.0, *, status: Status = Status.GIVEN
) -> Row:
    """A row of the angle, true 90; ``error`` ``None`` for one that was not given."""
    if error is None:
        status = Status.WITHHELD if status is Status.GIVEN else status
        return Row(clip, 0, Kind.CHECKPOINT, ANGLE.value, "deg", status, "why", 90.0, 91.0)
    low, high = interval95(90.0 + error, sigma)
    return Row(
        clip,
        0,
        Kind.CHECKPOINT,
        ANGLE.value,
        "deg",
        status,
        ideal=90.0,
        actual=91.0,
        value=90.0 + error,
        sigma=sigma,
        low=low,
        high=high,
        frame=90,
    )


def instant_row(
    clip: str,
    error_ms: float | None,
    *,
    key: KeyframeId = KeyframeId.TOP,
    frame_rate: float = 60.0,
    allowed: int | None = 2,
    status: Status = Status.GIVEN,
) -> Row:
    """A row of an instant, true at 1.8 s."""
    true = 1800.0
    basic = Row(
        clip,
        0,
        Kind.INSTANT,
        key.value,
        "ms",
        status if error_ms is not None or status is not Status.GIVEN else Status.WITHHELD,
        ideal=true,
        actual=true,
        true_frame=round(true / 1000.0 * frame_rate),
        frames_allowed=allowed,
    )
    if error_ms is None:
        return basic
    value = true + error_ms
    low, high = interval95(value, 10.0)
    return replace(
        basic,
        value=value,
        sigma=10.0,
        low=low,
        high=high,
        frame=round(value / 1000.0 * frame_rate),
    )


def clip_row(
    clip: str,
    digest: str = "d",
    *,
    outcome: str = MEASURED,
    reason: str = "",
    frame_rate: float = 60.0,
    exposure_s: float = 0.002,
    azimuth_deg: float = 0.0,
    build: str = "man",
) -> ClipRow:
    """A clip with one swing, which was found."""
    return ClipRow(
        clip=clip,
        digest=digest,
        view=View.FACE_ON.value,
        outcome=outcome,
        reason=reason,
        swings_true=1,
        swings_found=1,
        missed=0,
        invented=0,
        frames=240,
        cpu_s=6.0,
        wall_s=7.0,
        frame_rate=frame_rate,
        exposure_s=exposure_s,
        azimuth_deg=azimuth_deg,
        build=build,
    )
