"""``Measurement`` to and from plain JSON values, schema ``fairlead.measurement/1``.

Writing refuses NaN and infinity (JSON has neither) with ``ValueError``: a number that is not one
is our bug. Reading refuses anything that does not fit with ``Invalid``, naming the place.
"""

import math

from api.domain.checkpoint_ids import CheckpointId
from api.domain.errors import Invalid
from api.domain.json_node import JsonNode
from api.domain.measurement import (
    SCHEMA,
    ClipFacts,
    Estimate,
    Finding,
    Keyframe,
    Measurement,
    Missing,
    Point,
    Problem,
    Reading,
    Seen,
    Swing,
)
from api.domain.names import Band, KeyframeId, PointName, Unit, View

Json = dict[str, object]


def to_json(measurement: Measurement) -> Json:
    """The measurement as dicts, lists, strings, finite numbers, booleans and ``None``."""
    return {
        "schema": SCHEMA,
        "clip": _clip_out(measurement.clip),
        "view": _seen_out(measurement.view),
        "swings": [_swing_out(swing) for swing in measurement.swings],
        "timing": {name: _finite(value, name) for name, value in measurement.timing.items()},
        "made_by": {"pipeline": measurement.pipeline, "models": dict(measurement.models)},
    }


def reading_to_json(reading: Reading | Missing) -> Json:
    """One checkpoint's value, or ``{"missing": reason}``."""
    if isinstance(reading, Missing):
        return {"missing": reading.reason}
    return {
        "value": _finite(reading.value, "value"),
        "sigma": _finite(reading.sigma, "sigma"),
        "low": _finite(reading.low, "low"),
        "high": _finite(reading.high, "high"),
        "unit": reading.unit.value,
        "band": reading.band.value,
        "frame": reading.frame,
        "points": {
            name.value: [_finite(part, name.value) for part in point]
            for name, point in reading.points.items()
        },
        "inputs": {name: _finite(value, name) for name, value in reading.inputs.items()},
    }


def from_json(data: object) -> Measurement:
    """Read what ``to_json`` wrote. Raises ``Invalid`` naming the first place that does not fit."""
    root = JsonNode(data, "measurement")
    schema = root.text("schema")
    if schema != SCHEMA:
        message = f"measurement.schema is {schema!r}; this version reads {SCHEMA!r}."
        raise Invalid(message)
    made_by = root.child("made_by")
    return Measurement(
        clip=_clip_in(root.child("clip")),
        view=_seen_in(root.child("view")),
        swings=tuple(_swing_in(node) for node in root.items("swings")),
        timing=root.child("timing").numbers(),
        pipeline=made_by.text("pipeline"),
        models={name: node.as_text() for name, node in made_by.child("models").members()},
    )


def reading_from_json(data: object) -> Reading | Missing:
    """Read what ``reading_to_json`` wrote. Raises ``Invalid``."""
    return _reading_in(JsonNode(data, "reading"))


def _finite(value: float, name: str) -> float:
    if not math.isfinite(value):
        message = f"{name} is {value}, which no measurement may hold"
        raise ValueError(message)
    return float(value)


def _clip_out(clip: ClipFacts) -> Json:
    return {
        "width": clip.width,
        "height": clip.height,
        "frames": clip.frames,
        "duration_s": _finite(clip.duration_s, "duration_s"),
        "frame_rate": _finite(clip.frame_rate, "frame_rate"),
        "variable_rate": clip.variable_rate,
        "rotation_deg": clip.rotation_deg,
        "has_audio": clip.has_audio,
    }


def _estimate_out(estimate: Estimate | None) -> Json | None:
    if estimate is None:
        return None
    return {
        "value": _finite(estimate.value, "value"),
        "sigma": _finite(estimate.sigma, "sigma"),
    }


def _seen_out(seen: Seen) -> Json:
    return {
        "declared": seen.declared.value,
        "seen": None if seen.seen is None else seen.seen.value,
        "azimuth_deg": _estimate_out(seen.azimuth_deg),
        "roll_deg": _estimate_out(seen.roll_deg),
        "problems": [
            {"code": problem.code, "severity": problem.severity, "message": problem.message}
            for problem in seen.problems
        ],
    }


def _keyframe_out(keyframe: Keyframe | Missing) -> Json:
    if isinstance(keyframe, Missing):
        return {"missing": keyframe.reason}
    return {
        "time_s": _finite(keyframe.time_s, "time_s"),
        "sigma_s": _finite(keyframe.sigma_s, "sigma_s"),
        "frame": keyframe.frame,
    }


def _swing_out(swing: Swing) -> Json:
    return {
        "keyframes": {name.value: _keyframe_out(item) for name, item in swing.keyframes.items()},
        "checkpoints": {
            name.value: reading_to_json(item) for name, item in swing.checkpoints.items()
        },
        "findings": [
            {
                "code": finding.code,
                "sure": finding.sure,
                "because": [checkpoint.value for checkpoint in finding.because],
            }
            for finding in swing.findings
        ],
    }


def _clip_in(node: JsonNode) -> ClipFacts:
    return ClipFacts(
        width=node.count("width"),
        height=node.count("height"),
        frames=node.count("frames"),
        duration_s=node.number("duration_s"),
        frame_rate=node.number("frame_rate"),
        variable_rate=node.child("variable_rate").as_flag(),
        rotation_deg=node.count("rotation_deg"),
        has_audio=node.child("has_audio").as_flag(),
    )


def _estimate_in(node: JsonNode) -> Estimate | None:
    if node.value is None:
        return None
    return Estimate(node.number("value"), node.number("sigma"))


def _seen_in(node: JsonNode) -> Seen:
    seen = node.child("seen")
    return Seen(
        declared=node.child("declared").as_member(View),
        seen=None if seen.value is None else seen.as_member(View),
        azimuth_deg=_estimate_in(node.child("azimuth_deg")),
        roll_deg=_estimate_in(node.child("roll_deg")),
        problems=tuple(
            Problem(item.text("code"), item.text("severity"), item.text("message"))
            for item in node.items("problems")
        ),
    )


def _keyframe_in(node: JsonNode) -> Keyframe | Missing:
    if node.has("missing"):
        return Missing(node.text("missing"))
    return Keyframe(node.number("time_s"), node.number("sigma_s"), node.count("frame"))


def _point_in(node: JsonNode) -> Point:
    parts = [item.as_number() for item in node.as_items()]
    if len(parts) != 2:  # noqa: PLR2004 - a point on a picture has an x and a y
        raise node.refuse("[x, y]")
    return parts[0], parts[1]


def _reading_in(node: JsonNode) -> Reading | Missing:
    if node.has("missing"):
        return Missing(node.text("missing"))
    points = node.child("points")
    return Reading(
        value=node.number("value"),
        sigma=node.number("sigma"),
        low=node.number("low"),
        high=node.number("high"),
        unit=node.child("unit").as_member(Unit),
        band=node.child("band").as_member(Band),
        frame=node.count("frame"),
        points={points.key(PointName, name): _point_in(item) for name, item in points.members()},
        inputs=node.child("inputs").numbers(),
    )


def _finding_in(node: JsonNode) -> Finding:
    return Finding(
        code=node.text("code"),
        sure=node.child("sure").as_flag(),
        because=tuple(item.as_member(CheckpointId) for item in node.items("because")),
    )


def _swing_in(node: JsonNode) -> Swing:
    keyframes = node.child("keyframes")
    checkpoints = node.child("checkpoints")
    return Swing(
        keyframes={
            keyframes.key(KeyframeId, name): _keyframe_in(item)
            for name, item in keyframes.members()
        },
        checkpoints={
            checkpoints.key(CheckpointId, name): _reading_in(item)
            for name, item in checkpoints.members()
        },
        findings=tuple(_finding_in(item) for item in node.items("findings")),
    )
