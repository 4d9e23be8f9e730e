"""A second way to every number of ``checkpoints.evaluate``, with numpy; it also writes the vectors.

Different mathematics on purpose: complex numbers instead of directions, homogeneous lines instead
of slopes, a left-hander by turning the sign of the answer instead of mirroring the points, and every
error by numerical differences instead of worked gradients. What a checkpoint is (points, target,
limits) comes from the file that Python and the page share, never from the code.

``python -m tests.outside.evaluate_reference`` rewrites ``tests/vectors/evaluate.json``.
"""

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

from tests.outside import evaluate_pictures

FOLDER = Path(__file__).parents[1] / "vectors"
VECTORS = FOLDER / "evaluate.json"
Z95 = 1.959963984540054
STEP = 1e-4

ANGLE = "lead_arm_shaft_angle"
BUTT_END = "butt_end_inside"
DEFINITIONS: dict[str, Any] = json.loads((FOLDER / "checkpoints.json").read_text())["checkpoints"]
ORDER: dict[str, list[str]] = {name: one["points"] for name, one in DEFINITIONS.items()}

Case = Mapping[str, Any]
Spots = Mapping[str, complex]
Inputs = Mapping[str, float]
Pair = tuple[str, ...]
Shown = Callable[[Spots, Inputs, float], float]
"""What points and inputs show, from spots (x - iy of the original picture) and the hand (1 or -1)."""

HIPS, SHOULDERS = ("lead_hip", "trail_hip"), ("lead_shoulder", "trail_shoulder")
HANDS, EARS = ("lead_wrist", "trail_wrist"), ("lead_ear", "trail_ear")


def mean(spots: Spots, pair: Pair) -> complex:
    """The middle of the pair."""
    return complex(np.mean([spots[name] for name in pair]))


def _arm_to_shaft(spots: Spots) -> complex:
    """A number whose argument is the turn from the lead arm to the shaft."""
    arm = spots["lead_shoulder"] - spots["lead_wrist"]
    return (spots["clubhead"] - spots["butt"]) * arm.conjugate()


def arm_shaft(spots: Spots, inputs: Inputs, _: float) -> float:
    """Arm-shaft angle, degrees, unsigned; within what an angle can be."""
    turned = abs(np.angle(_arm_to_shaft(spots), deg=True)) + _added(inputs)
    return float(np.clip(turned, 0.0, 180.0))


def set_kept(spots: Spots, inputs: Inputs, hand: float) -> float:
    """The angle coming down less the one going back."""
    return arm_shaft(spots, inputs, hand) - inputs["reference_deg"]


def set_share(spots: Spots, inputs: Inputs, hand: float) -> float:
    """Where the turn lies on the straight line from address (0) to lead arm parallel (1)."""
    here = hand * np.angle(_arm_to_shaft(spots), deg=True) % 360.0
    ends = np.array([[inputs["address_deg"], 1.0], [inputs["parallel_deg"], 1.0]])
    slope, start = np.linalg.solve(ends, [0.0, 1.0])
    return float(slope * here + start) + _added(inputs)


def butt_end(spots: Spots, inputs: Inputs, hand: float) -> float:
    """Grip lengths inside, by crossing homogeneous lines."""
    butt, head, ball = (
        np.array([spots[name].real, -spots[name].imag, 1.0]) for name in ORDER[BUTT_END]
    )
    row = ball[1] + inputs["ground_row_shift_px"]
    ground = np.array([0.0, 1.0, -row])
    hit = np.cross(np.cross(butt, head), ground)
    along = ball + np.array([inputs["baseline_slope"], 1.0, 0.0])
    line = np.cross(np.cross(ball, along), ground)
    grip_px = inputs["px_per_grip"] * inputs["scale_ratio"]
    return float(hand * (line[0] / line[2] - hit[0] / hit[2]) / grip_px) + _added(inputs)


def tilt(low: Pair, high: Pair, sign: float) -> Shown:
    """Lean off the vertical: the argument of the segment over that of straight up."""

    def shown(spots: Spots, inputs: Inputs, hand: float) -> float:
        lean = -np.angle((mean(spots, high) - mean(spots, low)) / 1j, deg=True)
        return float(sign * hand * lean) + _added(inputs) - inputs.get("reference_deg", 0.0)

    return shown


def bend(first: str, vertex: str, last: str) -> Shown:
    """How far the second limb turns off the first one, prolonged."""

    def shown(spots: Spots, inputs: Inputs, _: float) -> float:
        onward = (spots[last] - spots[vertex]) / (spots[vertex] - spots[first])
        return float(abs(np.angle(onward, deg=True))) + _added(inputs)

    return shown


def pitch(spots: Spots, inputs: Inputs, _: float) -> float:
    """Sine of the shaft: its rise over its length."""
    shaft = spots["clubhead"] - spots["butt"]
    return float(np.degrees(np.arcsin(abs(shaft.imag) / abs(shaft)))) + _added(inputs)


def across(pair: Pair, sign: float, since: Pair = ()) -> Shown:
    """Columns between two places; a mirror turns the sign and nothing else."""

    def shown(spots: Spots, inputs: Inputs, hand: float) -> float:
        place = mean(spots, since).real if since else inputs["from_x_px"]
        gap = sign * hand * (mean(spots, pair).real - place)
        return float(gap / inputs["px_per_unit"]) + _added(inputs)

    return shown


def turn(lead: str, trail: str) -> Shown:
    """The argument of a point on the unit circle whose real part is the share that is left."""

    def shown(spots: Spots, inputs: Inputs, hand: float) -> float:
        share = hand * (spots[lead] - spots[trail]).real / inputs["address_width_px"]
        share = max(share, -1.0)
        turned = float(np.angle(share + 1j * np.sqrt(1.0 - share**2), deg=True))
        return float(np.clip(turned + _added(inputs), 0.0, 180.0))

    return shown


def ball_position(spots: Spots, inputs: Inputs, _: float) -> float:
    """Barycentric: the weights of the two ankles that make up the ball's column."""
    feet = np.array([[spots[name].real for name in ("trail_ankle", "lead_ankle")], [1.0, 1.0]])
    return float(np.linalg.solve(feet, [spots["ball"].real, 1.0])[1]) + _added(inputs)


def tempo(_: Spots, inputs: Inputs, __: float) -> float:
    """Time back over time down, from the two gaps between three instants."""
    back, down = np.diff([inputs[f"{name}_s"] for name in ("takeaway", "top", "impact")])
    return float(back / down)


def span(_: Spots, inputs: Inputs, __: float) -> float:
    """The gap between two instants."""
    return float(np.diff([inputs["from_s"], inputs["to_s"]])[0])


def in_space(_: Spots, inputs: Inputs, __: float) -> float:
    """What was told from depths."""
    return inputs["value_deg"] + _added(inputs)


def _added(inputs: Inputs) -> float:
    return inputs.get("to_instant", 0.0) + inputs.get("to_ideal", 0.0)


@dataclass(frozen=True)
class Way:
    """How a checkpoint is computed: the value, and which inputs it is sure of only so far.

    ``errs``: input by input, the sigma of it; ``share_errs``: the same, as a share of the input.
    ``plain``: sigmas that are the value's own. ``marked``: hand-marked lines have a least error.
    ``turn``: the error is no small one, see ``turn_sigma``.
    """

    shown: Shown
    errs: Mapping[str, str] = field(default_factory=dict)
    share_errs: Mapping[str, str] = field(default_factory=dict)
    plain: tuple[str, ...] = ()
    marked: bool = False
    turn: bool = False


SCALED = {"px_per_unit": "sigma_scale"}
CHANGED = {"reference_deg": "sigma_reference"}
_SPAN = Way(span, errs={"from_s": "sigma_from_s", "to_s": "sigma_to_s"})
_SPACE = Way(in_space, plain=("sigma_depth",))
_SIDE = Way(tilt(HIPS, SHOULDERS, -1.0), marked=True)
_FORWARD = Way(tilt(HIPS, SHOULDERS, 1.0), errs=CHANGED, marked=True)
_ELBOW = Way(bend("lead_shoulder", "lead_elbow", "lead_wrist"), marked=True)
_PITCH = Way(pitch, marked=True)
_CHEST, _PELVIS = Way(turn(*SHOULDERS), turn=True), Way(turn(*HIPS), turn=True)
_DEPTH = Way(across(HANDS, -1.0, ("trail_toe",)), share_errs=SCALED)


def _moved(pair: Pair, sign: float) -> Way:
    return Way(across(pair, sign), errs={"from_x_px": "sigma_from_px"}, share_errs=SCALED)


WAYS: Mapping[str, Way] = {
    ANGLE: Way(arm_shaft, marked=True),
    BUTT_END: Way(
        butt_end, share_errs={"px_per_grip": "sigma_scale"}, plain=("sigma_depth",), marked=True
    ),
    "set_before_trail_leg": Way(
        set_share,
        errs={"address_deg": "sigma_address", "parallel_deg": "sigma_parallel"},
        marked=True,
    ),
    "lead_arm_shaft_angle_at_top": Way(arm_shaft, marked=True),
    "wrist_set_kept": Way(set_kept, errs=CHANGED, marked=True),
    "start_order": _SPAN,
    "trigger_shift": _moved(HIPS, -1.0),
    "chest_turn_at_parallel": _CHEST,
    "chest_turn": _CHEST,
    "pelvis_turn_at_parallel": _PELVIS,
    "pelvis_turn": _PELVIS,
    "pelvis_sway": _moved(HIPS, 1.0),
    "head_sway": _moved(EARS, 1.0),
    "lead_elbow_bend": _ELBOW,
    "lead_elbow_bend_at_top": _ELBOW,
    "spine_side_tilt_at_address": _SIDE,
    "spine_side_tilt": _SIDE,
    "spine_side_tilt_at_impact": _SIDE,
    "ball_position": Way(ball_position),
    "shaft_pitch_at_address": _PITCH,
    "shaft_pitch": _PITCH,
    "shaft_pitch_coming_down": _PITCH,
    "shaft_pitch_at_delivery": _PITCH,
    "clubhead_inside_early": Way(across(("clubhead",), 1.0, HANDS), share_errs=SCALED),
    "hands_over_trail_shoulder": Way(across(HANDS, 1.0, ("trail_shoulder",)), share_errs=SCALED),
    "hand_depth": _DEPTH,
    "hand_depth_at_top": _DEPTH,
    "hands_in_front": _SPACE,
    "path_outside": _moved(HANDS, 1.0),
    "shaft_at_top": _SPACE,
    "spine_tilt": Way(tilt(HIPS, SHOULDERS, 1.0), marked=True),
    "spine_tilt_change_at_parallel": _FORWARD,
    "spine_tilt_change_at_top": _FORWARD,
    "spine_tilt_change_at_impact": _FORWARD,
    "knee_flex": Way(bend("trail_hip", "trail_knee", "trail_ankle"), marked=True),
    "tempo_ratio": Way(
        tempo, errs={f"{name}_s": f"sigma_{name}_s" for name in ("takeaway", "top", "impact")}
    ),
    "pause_length": _SPAN,
    "finish_hold": _SPAN,
}


def spots_of(case: Case) -> dict[str, complex]:
    """The needed points of the original picture as x - iy, so that up is up."""
    return {name: complex(x, -y) for name, (x, y) in case["points"].items()}


def hand_of(case: Case) -> float:
    """1 for a right-hander; -1 turns the sign of whatever a mirror turns."""
    return 1.0 if case["handed"] == "right" else -1.0


def turn_sigma(case: Case) -> float:
    """What a turn's two ends and its width at address leave open, degrees.

    Where a line is hardly shortened its turn follows it by a square root, so the ends of the width's
    own 95 % interval are laid on the unit circle, and the farther one is 1.96 sigmas away.
    """
    spots, inputs = spots_of(case), case["inputs"]
    lead, trail = ORDER[case["checkpoint"]]
    share = hand_of(case) * (spots[lead] - spots[trail]).real / inputs["address_width_px"]
    errors = [
        inputs[f"sigma_px_{lead}"],
        inputs[f"sigma_px_{trail}"],
        share * inputs["sigma_width_px"],
    ]
    off = Z95 * np.linalg.norm(errors) / inputs["address_width_px"]
    ends = np.clip([share, share - off, share + off], -1.0, 1.0)
    here, farther, nearer = np.angle(ends + 1j * np.sqrt(1.0 - ends**2), deg=True)
    return float(max(farther - here, here - nearer) / Z95)


def points_sigma(case: Case) -> float:
    """Error of points by central differences over every coordinate."""
    if WAYS[case["checkpoint"]].turn:
        return turn_sigma(case)
    way, spots, hand = WAYS[case["checkpoint"]], spots_of(case), hand_of(case)
    terms = []
    for name in ORDER[case["checkpoint"]]:
        for step in (STEP, 1j * STEP):
            ahead = way.shown({**spots, name: spots[name] + step}, case["inputs"], hand)
            behind = way.shown({**spots, name: spots[name] - step}, case["inputs"], hand)
            terms.append((ahead - behind) / (2 * STEP) * case["inputs"][f"sigma_px_{name}"])
    return float(np.linalg.norm(terms))


def input_sigma(case: Case, name: str, sigma: float) -> float:
    """Error of one input by a central difference."""
    way, spots, hand = WAYS[case["checkpoint"]], spots_of(case), hand_of(case)
    inputs = case["inputs"]
    step = 1e-6 * max(1.0, abs(inputs[name]))
    ahead = way.shown(spots, {**inputs, name: inputs[name] + step}, hand)
    behind = way.shown(spots, {**inputs, name: inputs[name] - step}, hand)
    return float((ahead - behind) / (2 * step) * sigma)


def marking_sigma(case: Case) -> float:
    """Floor for hand-marked lines: by turning the shaft, where the value is no angle."""
    marking = case["inputs"].get("sigma_marking", 0.0)
    way, spots, hand = WAYS[case["checkpoint"]], spots_of(case), hand_of(case)
    if not way.marked:
        return 0.0
    # One line carries half of the square that an angle between two lines does.
    lines = 2.0 if case["checkpoint"] == BUTT_END else 1.0
    if case["checkpoint"] not in {BUTT_END, "set_before_trail_leg"}:
        return float(marking)
    shaft = (spots["clubhead"] - spots["butt"]) * np.exp(1j * 1e-6)
    turned = {**spots, "clubhead": spots["butt"] + shaft}
    per_radian = (
        way.shown(turned, case["inputs"], hand) - way.shown(spots, case["inputs"], hand)
    ) / 1e-6
    return float(abs(per_radian) * np.radians(marking) / np.sqrt(lines))


def expected(case: Case) -> dict[str, Any]:
    """Value, sigma, interval and band of a case that gives a number."""
    inputs, definition, way = (
        case["inputs"],
        DEFINITIONS[case["checkpoint"]],
        WAYS[case["checkpoint"]],
    )
    bare = {**case, "inputs": {**inputs, "to_instant": 0.0, "to_ideal": 0.0}}
    value = way.shown(spots_of(case), inputs, hand_of(case))
    terms = [
        max(points_sigma(bare), marking_sigma(bare)),
        *(inputs[f"sigma_{name}"] for name in ("instant", "view", "residual")),
        *(inputs[name] for name in way.plain),
        *(input_sigma(bare, name, inputs[sigma]) for name, sigma in way.errs.items()),
        *(
            input_sigma(bare, name, inputs[name] * inputs[sigma])
            for name, sigma in way.share_errs.items()
        ),
    ]
    sigma = float(np.linalg.norm(terms))
    least = -np.inf if definition["least"] is None else definition["least"]
    most = np.inf if definition["most"] is None else definition["most"]
    value = float(np.clip(value, least, most))
    low, high = (float(np.clip(value + side * Z95 * sigma, least, most)) for side in (-1, 1))
    if sigma > definition["withhold_sigma"]:
        message = f"{case['id']} is withheld: it belongs to the missing ones"
        raise ValueError(message)
    return {
        "value": value,
        "sigma": sigma,
        "low": low,
        "high": high,
        "band": band(low, high, definition["bands"]),
    }


def band(low: float, high: float, limits: Mapping[str, float] | None) -> str:
    """Band of an interval by counting the limits it has passed."""
    if limits is None:
        return "no_target"
    watch_low, good_low, good_high, watch_high = limits.values()
    passed = [
        (end >= watch_low) + (end >= good_low) + (end > good_high) + (end > watch_high)
        for end in (low, high)
    ]
    if passed[0] != passed[1] or (high - low) / 2 > good_high - good_low:
        return "too_close"
    return ["outside", "watch", "good", "watch", "outside"][passed[0]]


def build() -> dict[str, Any]:
    """Every vector, in the order of the file."""
    numbers = [
        {**case, "expected": expected(case)} for case in evaluate_pictures.number_cases(DEFINITIONS)
    ]
    missing = [
        {**case, "expected": {"missing": reason}}
        for case, reason in evaluate_pictures.missing_cases(DEFINITIONS)
    ]
    note = "Written by tests/outside/evaluate_reference.py: numbers found a second way, not by the code under test."
    return {"note": note, "cases": [*numbers, *missing]}


def written(vectors: Mapping[str, Any]) -> str:
    """The file's text: one case a line, so that a change shows which ones it touches."""
    cases = ",\n".join(json.dumps(case) for case in vectors["cases"])
    return f'{{\n"note": {json.dumps(vectors["note"])},\n"cases": [\n{cases}\n]\n}}\n'


if __name__ == "__main__":
    VECTORS.write_text(written(build()))
