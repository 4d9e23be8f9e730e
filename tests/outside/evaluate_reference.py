"""A second way to every number of ``checkpoints.evaluate``, with numpy; it also writes the vectors.

Different mathematics on purpose: complex numbers instead of directions, homogeneous lines instead
of slopes, a left-hander by turning the sign of the answer instead of mirroring the points, and the
error of points by numerical differences instead of worked gradients.

``python -m tests.outside.evaluate_reference`` rewrites ``tests/vectors/evaluate.json``.
"""

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

VECTORS = Path(__file__).parents[1] / "vectors" / "evaluate.json"
Z95 = 1.959963984540054
STEP_PX = 1e-4

ANGLE = "lead_arm_shaft_angle"
BUTT_END = "butt_end_inside"
ORDER = {
    ANGLE: ["lead_shoulder", "lead_wrist", "butt", "clubhead"],
    BUTT_END: ["butt", "clubhead", "ball"],
}
LIMITS = {ANGLE: [70.0, 80.0, 100.0, 112.0], BUTT_END: [-0.5, 0.0, 1.0, 1.75]}

Array = NDArray[np.float64]
Case = Mapping[str, Any]


def angle_value(xy: Array) -> float:
    """Arm-shaft angle, degrees, from rows shoulder, wrist, butt, clubhead."""
    shoulder, wrist, butt, head = xy[:, 0] - 1j * xy[:, 1]
    return float(abs(np.degrees(np.angle((head - butt) * np.conj(shoulder - wrist)))))


def butt_value(xy: Array, case: Case) -> float:
    """Grip lengths inside, from rows butt, clubhead, ball, by crossing homogeneous lines."""
    inputs = case["inputs"]
    butt, head, ball = (np.array([x, y, 1.0]) for x, y in xy)
    row = ball[1] + inputs["ground_row_shift_px"]
    ground = np.array([0.0, 1.0, -row])
    hit = np.cross(np.cross(butt, head), ground)
    along = ball + np.array([inputs["baseline_slope"], 1.0, 0.0])
    line = np.cross(np.cross(ball, along), ground)
    sign = 1.0 if case["handed"] == "right" else -1.0
    grip_px = inputs["px_per_grip"] * inputs["scale_ratio"]
    return float(sign * (line[0] / line[2] - hit[0] / hit[2]) / grip_px)


def value_at(xy: Array, case: Case) -> float:
    """The checkpoint's value for points ``xy``."""
    if case["checkpoint"] == ANGLE:
        return float(np.clip(angle_value(xy) + case["inputs"].get("to_instant", 0.0), 0.0, 180.0))
    return butt_value(xy, case)


def points_sigma(xy: Array, case: Case) -> float:
    """Error of points by central differences over every coordinate."""
    total = 0.0
    for index, name in enumerate(ORDER[case["checkpoint"]]):
        for axis in range(2):
            step = np.zeros_like(xy)
            step[index, axis] = STEP_PX
            slope = (value_at(xy + step, case) - value_at(xy - step, case)) / (2 * STEP_PX)
            total += (slope * case["inputs"][f"sigma_px_{name}"]) ** 2
    return float(np.sqrt(total))


def marking_sigma(xy: Array, case: Case) -> float:
    """Floor for hand-marked lines; for the shaft, by turning it about the butt end."""
    marking = case["inputs"].get("sigma_marking", 0.0)
    if case["checkpoint"] == ANGLE:
        return float(marking)
    turn = np.exp(1j * 1e-6)
    shaft = complex(*(xy[1] - xy[0])) * turn
    turned = xy.copy()
    turned[1] = xy[0] + [shaft.real, shaft.imag]
    per_radian = (value_at(turned, case) - value_at(xy, case)) / 1e-6
    return float(abs(per_radian) * np.radians(marking) / np.sqrt(2))


def expected(case: Case) -> dict[str, Any]:
    """Value, sigma, interval and band of a case that gives a number."""
    inputs = case["inputs"]
    xy = np.array([case["points"][name] for name in ORDER[case["checkpoint"]]], dtype=np.float64)
    value = value_at(xy, case)
    terms = [
        max(points_sigma(xy, case), marking_sigma(xy, case)),
        *(inputs[f"sigma_{name}"] for name in ("instant", "view", "residual")),
    ]
    if case["checkpoint"] == BUTT_END:
        terms += [inputs["sigma_depth"], abs(value) * inputs["sigma_scale"]]
    sigma = float(np.linalg.norm(terms))
    low, high = value - Z95 * sigma, value + Z95 * sigma
    if case["checkpoint"] == ANGLE:
        low, high = max(0.0, low), min(180.0, high)
    return {
        "value": value,
        "sigma": sigma,
        "low": low,
        "high": high,
        "band": band(low, high, LIMITS[case["checkpoint"]]),
    }


def band(low: float, high: float, limits: list[float]) -> str:
    """Band of an interval by counting the limits it has passed."""
    watch_low, good_low, good_high, watch_high = limits
    passed = [
        (end >= watch_low) + (end >= good_low) + (end > good_high) + (end > watch_high)
        for end in (low, high)
    ]
    if passed[0] != passed[1] or (high - low) / 2 > good_high - good_low:
        return "too_close"
    return ["outside", "watch", "good", "watch", "outside"][passed[0]]


def _angle_case(
    name: str, degrees: float, *, handed: str = "right", arm_tilt: float = 0.0, **inputs: float
) -> dict[str, Any]:
    """A face-on picture with the arm ``arm_tilt`` above level and the shaft at ``degrees`` to it."""
    wrist = 300.0 - 540.0j
    shoulder = wrist + 200.0 * np.exp(1j * np.radians(arm_tilt))
    butt = wrist + (-6.0 - 3.0j)
    head = butt + 300.0 * np.exp(1j * np.radians(degrees + arm_tilt))
    points = {
        key: [round(float(spot.real), 3), round(float(-spot.imag), 3)]
        for key, spot in zip(ORDER[ANGLE], (shoulder, wrist, butt, head), strict=True)
    }
    sigmas = {f"sigma_px_{key}": 4.0 for key in ORDER[ANGLE]}
    spread = {"sigma_instant": 1.2, "sigma_view": 2.0, "sigma_residual": 0.5}
    return _finish(name, ANGLE, points, {**sigmas, **spread, **inputs}, handed)


def _butt_case(
    name: str, pitch: float, *, handed: str = "right", **inputs: float
) -> dict[str, Any]:
    """A down-the-line picture with the shaft ``pitch`` above level."""
    butt = np.array([420.0, 555.0])
    head = butt - 282.0 * np.array([np.cos(np.radians(pitch)), np.sin(np.radians(pitch))])
    spots = (butt, head, np.array([620.0, 900.0]))
    points = {
        key: [round(float(spot[0]), 3), round(float(spot[1]), 3)]
        for key, spot in zip(ORDER[BUTT_END], spots, strict=True)
    }
    sigmas = {f"sigma_px_{key}": 2.0 for key in ORDER[BUTT_END]}
    numbers = {
        "sigma_instant": 0.05,
        "sigma_view": 0.1,
        "sigma_residual": 0.02,
        "px_per_grip": 80.1,
        "ground_row_shift_px": 24.0,
        "scale_ratio": 1.18,
        "baseline_slope": 0.35,
        "sigma_depth": 0.08,
        "sigma_scale": 0.03,
    }
    return _finish(name, BUTT_END, points, {**sigmas, **numbers, **inputs}, handed)


def _finish(
    name: str, checkpoint: str, points: dict[str, Any], inputs: dict[str, float], handed: str
) -> dict[str, Any]:
    """Mirror a left-hander's picture into original pixels: columns, and the line's slope."""
    if handed == "left":
        points = {key: [round(719 - x, 3), y] for key, (x, y) in points.items()}
        if "baseline_slope" in inputs:
            inputs = {**inputs, "baseline_slope": -inputs["baseline_slope"]}
    return {
        "id": name,
        "checkpoint": checkpoint,
        "handed": handed,
        "width_px": 720,
        "points": points,
        "inputs": inputs,
    }


def _number_cases() -> list[dict[str, Any]]:
    angles = [
        _angle_case(f"angle {degrees} {handed}", degrees, handed=handed, arm_tilt=tilt)
        for degrees, tilt in ((55, 0), (75, 2), (90, 0), (90, -7), (106, 0), (130, 3), (178, 0))
        for handed in ("right", "left")
    ]
    ends = [
        _butt_case(f"butt end, pitch {pitch} {handed}", pitch, handed=handed)
        for pitch in (45, 56, 60, 65, 78, 88)
        for handed in ("right", "left")
    ]
    return [
        *angles,
        _angle_case("angle, hand-marked", 90, sigma_marking=2.6),
        _angle_case("angle, frame before the instant", 96, to_instant=-2.5),
        _angle_case("angle, frame after the instant left", 69, handed="left", to_instant=1.75),
        _angle_case("angle, small points, hand-marked", 96, sigma_marking=2.6, sigma_px_butt=0.5),
        _angle_case("angle, wide", 90, sigma_view=15.0),
        _angle_case("angle, exact", 90, sigma_view=0.0, sigma_instant=0.0, sigma_residual=0.0),
        *ends,
        _butt_case(
            "butt end, first estimate",
            62,
            ground_row_shift_px=0.0,
            scale_ratio=1.0,
            baseline_slope=0.0,
        ),
        _butt_case("butt end, hand-marked", 64, sigma_marking=2.6),
        _butt_case("butt end, hand-marked left", 64, handed="left", sigma_marking=2.6),
    ]


def _missing_cases() -> list[tuple[dict[str, Any], str]]:
    """Cases that give no number, with the words the person reads."""
    unseen = _angle_case("angle, points missing", 90)
    del unseen["points"]["butt"], unseen["points"]["lead_shoulder"]
    heap = _angle_case("angle, shaft of no length", 90)
    heap["points"]["clubhead"] = [heap["points"]["butt"][0] + 3.0, heap["points"]["butt"][1]]
    unknown = _angle_case("angle, uncertainty missing", 90)
    del unknown["inputs"]["sigma_view"]
    unscaled = _butt_case("butt end, no scale", 62)
    del unscaled["inputs"]["px_per_grip"]
    sunk = _butt_case("butt end below ground", 62)
    sunk["points"]["ball"] = [620.0, 520.0]
    spot = "fall on the same spot of the picture, so they give no direction."
    no_hit = (
        "The line through the grip end does not reach the ground: the shaft is level or the "
        "clubhead lies below the grip end, flatter than any number can say."
    )
    no_scale = "The size of the club in the picture is not known, so nothing scales it."
    doubt = "Too uncertain to give a number: it could lie in any band."
    return [
        (unseen, "Not found in the picture: lead shoulder, grip end."),
        (heap, f"Grip end and clubhead {spot}"),
        (unknown, "Part of its uncertainty is not known, so no number: sigma_view."),
        (_angle_case("angle, hopeless", 90, sigma_view=25.0), doubt),
        (unscaled, no_scale),
        (_butt_case("butt end, scale of nothing", 62, px_per_grip=0.0), no_scale),
        (_butt_case("butt end, level", 0), no_hit),
        (_butt_case("butt end, rising left", -15, handed="left"), no_hit),
        (
            sunk,
            "The grip end lies no higher than the ground at the ball, so it points at no ground.",
        ),
        (_butt_case("butt end, nearly level", 4), doubt),
    ]


def build() -> dict[str, Any]:
    """Every vector, in the order of the file."""
    numbers = [{**case, "expected": expected(case)} for case in _number_cases()]
    missing = [{**case, "expected": {"missing": reason}} for case, reason in _missing_cases()]
    note = "Written by tests/outside/evaluate_reference.py: numbers found a second way, not by the code under test."
    return {"note": note, "cases": [*numbers, *missing]}


if __name__ == "__main__":
    VECTORS.write_text(json.dumps(build(), indent=1) + "\n")
