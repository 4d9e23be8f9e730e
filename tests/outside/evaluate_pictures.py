"""Pictures of a golfer, drawn to show a wanted number: the cases of ``evaluate_reference``.

Drawn as a right-hander's (face-on: the target to the right; from behind: the ball to the right), then
mirrored for a left-hander into original pixels. A picture shows roughly what was wanted; the number it
really shows is the reference's to find.
"""

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

WIDTH = 720

ANGLE = "lead_arm_shaft_angle"
BUTT_END = "butt_end_inside"
ANGLE_POINTS = ("lead_shoulder", "lead_wrist", "butt", "clubhead")

Case = dict[str, Any]
Picture = tuple[dict[str, complex], dict[str, float]]
"""Spots (x - iy) and the inputs that go with them."""

COMMON = ("sigma_instant", "sigma_view", "sigma_residual")
MIRRORED_COLUMNS = ("from_x_px",)


def _turned(degrees: float) -> complex:
    """A step of one, ``degrees`` above the picture's right."""
    return complex(np.exp(1j * np.radians(degrees)))


def _pair(names: tuple[str, str], middle: complex, half: complex) -> dict[str, complex]:
    return {names[0]: middle + half, names[1]: middle - half}


_HIPS, _SHOULDERS = ("lead_hip", "trail_hip"), ("lead_shoulder", "trail_shoulder")
_HANDS, _EARS = ("lead_wrist", "trail_wrist"), ("lead_ear", "trail_ear")


def _arm_and_shaft(degrees: float, arm_tilt: float = 0.0) -> dict[str, complex]:
    """The arm ``arm_tilt`` above level and the shaft at ``degrees`` to it."""
    wrist = 300.0 - 540.0j
    butt = wrist + (-6.0 - 3.0j)
    spots = (
        wrist + 200.0 * _turned(arm_tilt),
        wrist,
        butt,
        butt + 300.0 * _turned(degrees + arm_tilt),
    )
    return dict(zip(ANGLE_POINTS, spots, strict=True))


def _set_share(value: float) -> Picture:
    return _arm_and_shaft(172.0 - 80.0 * value), {
        "address_deg": 172.0,
        "parallel_deg": 92.0,
        "sigma_address": 1.4,
        "sigma_parallel": 1.1,
    }


def _arm_up(value: float) -> Picture:
    return _arm_and_shaft(value, 48.0), {}


def _set_kept(value: float) -> Picture:
    return _arm_and_shaft(95.0 + value, 6.0), {"reference_deg": 95.0, "sigma_reference": 0.4}


def _trunk(lean: float, half: complex) -> dict[str, complex]:
    hips = 362.0 - 640.0j
    chest = hips + 214.0 * _turned(90.0 - lean)
    return _pair(_HIPS, hips, half) | _pair(_SHOULDERS, chest, 1.4 * half)


def _side_tilt(value: float) -> Picture:
    return _trunk(-value, 41.0 + 4.0j), {}


def _forward_tilt(value: float) -> Picture:
    return _trunk(value, 9.0 + 3.0j), {}


def _forward_change(value: float) -> Picture:
    return _trunk(37.0 + value, 9.0 + 3.0j), {"reference_deg": 37.0, "sigma_reference": 0.3}


def _limb(names: tuple[str, str, str], degrees: float) -> dict[str, complex]:
    first, vertex = 300.0 - 420.0j, 320.0 - 530.0j
    onward = (vertex - first) / abs(vertex - first) * _turned(degrees)
    return dict(zip(names, (first, vertex, vertex + 120.0 * onward), strict=True))


def _elbow(value: float) -> Picture:
    return _limb(("lead_shoulder", "lead_elbow", "lead_wrist"), value), {}


def _knee(value: float) -> Picture:
    return _limb(("trail_hip", "trail_knee", "trail_ankle"), value), {}


def _pitch(value: float) -> Picture:
    butt = 350.0 - 560.0j
    return {"butt": butt, "clubhead": butt + 270.0 * _turned(180.0 - value)}, {}


def _since(pair: tuple[str, str], sign: float, unit: float) -> Callable[[float], Picture]:
    """The pair as far from a column as the value says; ``sign`` 1 where right is positive."""

    def drawn(value: float) -> Picture:
        middle = 330.0 + sign * value * unit - 600.0j
        return _pair(pair, middle, 34.0 - 3.0j), {
            "from_x_px": 330.0,
            "sigma_from_px": 0.4,
            "px_per_unit": unit,
            "sigma_scale": 0.02,
        }

    return drawn


def _clubhead_from_hands(value: float) -> Picture:
    hands = 420.0 - 560.0j
    return _pair(_HANDS, hands, 6.0 - 4.0j) | {"clubhead": hands + 80.0 * value - 30.0j}, {
        "px_per_unit": 80.0,
        "sigma_scale": 0.03,
    }


def _hands_from_shoulder(value: float) -> Picture:
    shoulder = 380.0 - 430.0j
    hands = shoulder + 170.0 * value + 30.0j
    return _pair(_HANDS, hands, 5.0 - 6.0j) | {"trail_shoulder": shoulder}, {
        "px_per_unit": 170.0,
        "sigma_scale": 0.02,
    }


def _depth(value: float) -> Picture:
    toe = 400.0 - 1010.0j
    hands = toe - 150.0 * value + 500.0j
    return _pair(_HANDS, hands, 5.0 + 4.0j) | {"trail_toe": toe}, {
        "px_per_unit": 150.0,
        "sigma_scale": 0.02,
    }


def _turn(names: tuple[str, str], whole: float) -> Callable[[float], Picture]:
    def drawn(value: float) -> Picture:
        half = whole * np.cos(np.radians(value)) / 2.0
        return _pair(names, 350.0 - 430.0j, complex(half, 12.0)), {
            "address_width_px": whole,
            "sigma_width_px": 0.6,
        }

    return drawn


def _ball(value: float) -> Picture:
    trail, lead = 260.0 - 1012.0j, 450.0 - 1006.0j
    ball = (1.0 - value) * trail.real + value * lead.real - 1050.0j
    return {"ball": ball, "trail_ankle": trail, "lead_ankle": lead}, {}


def _tempo(value: float) -> Picture:
    return {}, {
        "takeaway_s": 1.3 - 0.26 * value,
        "top_s": 1.3,
        "impact_s": 1.56,
        "sigma_takeaway_s": 0.006,
        "sigma_top_s": 0.003,
        "sigma_impact_s": 0.002,
    }


def _span(value: float) -> Picture:
    return {}, {
        "from_s": 0.84,
        "to_s": 0.84 + value,
        "sigma_from_s": 0.003,
        "sigma_to_s": 0.004,
    }


def _space(value: float) -> Picture:
    return {}, {"value_deg": value, "sigma_depth": 1.5}


DRAWN: Mapping[str, Callable[[float], Picture]] = {
    "set_before_trail_leg": _set_share,
    "lead_arm_shaft_angle_at_top": _arm_up,
    "wrist_set_kept": _set_kept,
    "start_order": _span,
    "trigger_shift": _since(_HIPS, -1.0, 200.0),
    "chest_turn_at_parallel": _turn(_SHOULDERS, 170.0),
    "chest_turn": _turn(_SHOULDERS, 170.0),
    "pelvis_turn_at_parallel": _turn(_HIPS, 120.0),
    "pelvis_turn": _turn(_HIPS, 120.0),
    "pelvis_sway": _since(_HIPS, 1.0, 200.0),
    "head_sway": _since(_EARS, 1.0, 110.0),
    "lead_elbow_bend": _elbow,
    "lead_elbow_bend_at_top": _elbow,
    "spine_side_tilt_at_address": _side_tilt,
    "spine_side_tilt": _side_tilt,
    "spine_side_tilt_at_impact": _side_tilt,
    "ball_position": _ball,
    "shaft_pitch_at_address": _pitch,
    "shaft_pitch": _pitch,
    "shaft_pitch_coming_down": _pitch,
    "shaft_pitch_at_delivery": _pitch,
    "clubhead_inside_early": _clubhead_from_hands,
    "hands_over_trail_shoulder": _hands_from_shoulder,
    "hand_depth": _depth,
    "hand_depth_at_top": _depth,
    "hands_in_front": _space,
    "path_outside": _since(_HANDS, 1.0, 880.0),
    "shaft_at_top": _space,
    "spine_tilt": _forward_tilt,
    "spine_tilt_change_at_parallel": _forward_change,
    "spine_tilt_change_at_top": _forward_change,
    "spine_tilt_change_at_impact": _forward_change,
    "knee_flex": _knee,
    "tempo_ratio": _tempo,
    "pause_length": _span,
    "finish_hold": _span,
}
NO_TARGET_VALUES = {
    "chest_turn_at_parallel": (18.0, 47.0, 95.0),
    "pelvis_turn_at_parallel": (12.0, 31.0),
    "ball_position": (-0.1, 0.55, 0.9),
    "hands_over_trail_shoulder": (-0.78, 0.0, 0.45),
    "shaft_pitch_at_address": (48.0, 61.0),
    "shaft_pitch_coming_down": (44.0, 72.0),
    "shaft_pitch_at_delivery": (3.0, 12.0),
    "pause_length": (0.0, 0.9),
    "finish_hold": (1.4, 3.0),
}


def _case(name: str, checkpoint: str, picture: Picture, handed: str, **inputs: float) -> Case:
    """A case in original pixels: a left-hander's columns and the ball line's slope are mirrored."""
    spots, own = picture
    points = {key: [round(spot.real, 3), round(-spot.imag, 3)] for key, spot in spots.items()}
    numbers = {**own, **inputs}
    if handed == "left":
        points = {key: [round(WIDTH - 1 - x, 3), y] for key, (x, y) in points.items()}
        numbers |= {key: WIDTH - 1 - numbers[key] for key in MIRRORED_COLUMNS if key in numbers}
        if "baseline_slope" in numbers:
            numbers["baseline_slope"] = -numbers["baseline_slope"]
    return {
        "id": name,
        "checkpoint": checkpoint,
        "handed": handed,
        "width_px": WIDTH,
        "points": points,
        "inputs": numbers,
    }


def angle_case(
    name: str, degrees: float, *, handed: str = "right", arm_tilt: float = 0.0, **inputs: float
) -> Case:
    """A face-on picture with the arm ``arm_tilt`` above level and the shaft at ``degrees`` to it."""
    sigmas = {f"sigma_px_{key}": 4.0 for key in ANGLE_POINTS}
    spread = {"sigma_instant": 1.2, "sigma_view": 2.0, "sigma_residual": 0.5}
    picture: Picture = _arm_and_shaft(degrees, arm_tilt), {}
    return _case(name, ANGLE, picture, handed, **{**sigmas, **spread, **inputs})


def butt_case(name: str, pitch: float, *, handed: str = "right", **inputs: float) -> Case:
    """A down-the-line picture with the shaft ``pitch`` above level."""
    butt = 420.0 - 555.0j
    spots = {
        "butt": butt,
        "clubhead": butt + 282.0 * _turned(180.0 - pitch),
        "ball": 620.0 - 900.0j,
    }
    numbers = {
        **{f"sigma_px_{key}": 2.0 for key in spots},
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
    return _case(name, BUTT_END, (spots, {}), handed, **{**numbers, **inputs})


def drawn_case(
    name: str,
    checkpoint: str,
    value: float,
    definition: Mapping[str, Any],
    *,
    handed: str = "right",
    **inputs: float,
) -> Case:
    """A picture that shows about ``value``, known well enough to tell the bands apart."""
    limits = definition["bands"]
    width = definition["withhold_sigma"]
    if limits is not None:
        width = min(width, limits["good_high"] - limits["good_low"])
    picture = DRAWN[checkpoint](value)
    numbers = {
        **{f"sigma_px_{key}": 0.6 + 0.1 * index for index, key in enumerate(picture[0])},
        **{
            key: round(part * width, 6)
            for key, part in zip(COMMON, (0.02, 0.03, 0.01), strict=True)
        },
    }
    return _case(name, checkpoint, picture, handed, **{**numbers, **inputs})


def _wanted(checkpoint: str, definition: Mapping[str, Any]) -> list[float]:
    """Values in the good band, on its edge, in the watch band and outside; the lower side as well."""
    limits = definition["bands"]
    if limits is None:
        return list(NO_TARGET_VALUES[checkpoint])
    watch_low, good_low, good_high, watch_high = limits.values()
    room = 0.3 * (good_high - good_low)
    values = [
        (good_low + good_high) / 2,
        good_high,
        (good_high + watch_high) / 2,
        watch_high + room,
    ]
    least = definition["least"]
    if least is None or watch_low - room > least:
        values.append(watch_low - room)
    return values


def number_cases(definitions: Mapping[str, Any]) -> list[Case]:
    """Cases that give a number."""
    angles = [
        angle_case(f"angle {degrees} {handed}", degrees, handed=handed, arm_tilt=tilt)
        for degrees, tilt in ((55, 0), (75, 2), (90, 0), (90, -7), (106, 0), (130, 3), (178, 0))
        for handed in ("right", "left")
    ]
    ends = [
        butt_case(f"butt end, pitch {pitch} {handed}", pitch, handed=handed)
        for pitch in (45, 56, 60, 65, 78, 88)
        for handed in ("right", "left")
    ]
    others = [
        drawn_case(f"{checkpoint}, {value:.5g} {handed}", checkpoint, value, one, handed=handed)
        for checkpoint, one in definitions.items()
        if checkpoint in DRAWN
        for value in _wanted(checkpoint, one)
        for handed in ("right", "left")
    ]
    return [
        *angles,
        angle_case("angle, hand-marked", 90, sigma_marking=2.6),
        angle_case("angle, frame before the instant", 96, to_instant=-2.5),
        angle_case("angle, frame after the instant left", 69, handed="left", to_instant=1.75),
        angle_case("angle, to the ideal camera too", 96, to_instant=-2.5, to_ideal=-1.25),
        angle_case("angle, small points, hand-marked", 96, sigma_marking=2.6, sigma_px_butt=0.5),
        angle_case("angle, wide", 90, sigma_view=15.0),
        angle_case("angle, exact", 90, sigma_view=0.0, sigma_instant=0.0, sigma_residual=0.0),
        *(
            angle_case(f"angle, surely past {handed}", 106, handed=handed, sigma_view=0.4)
            for handed in ("right", "left")
        ),
        *ends,
        butt_case(
            "butt end, first estimate",
            62,
            ground_row_shift_px=0.0,
            scale_ratio=1.0,
            baseline_slope=0.0,
        ),
        butt_case("butt end, frame before the instant", 64, to_instant=-0.25),
        butt_case("butt end, frame after the instant left", 62, handed="left", to_instant=0.3),
        butt_case("butt end, hand-marked", 64, sigma_marking=2.6),
        butt_case("butt end, hand-marked left", 64, handed="left", sigma_marking=2.6),
        *others,
        *_special_cases(definitions),
    ]


def _special_cases(definitions: Mapping[str, Any]) -> list[Case]:
    """Hand-marked, moved to the instant and the ideal camera, past the ends, hardly turned."""

    def one(
        name: str, checkpoint: str, value: float, *, handed: str = "right", **inputs: float
    ) -> Case:
        words = f"{checkpoint}, {name}"
        return drawn_case(
            words, checkpoint, value, definitions[checkpoint], handed=handed, **inputs
        )

    marked = [
        one(f"{name} {handed}", checkpoint, value, handed=handed, sigma_marking=marking)
        for checkpoint, value in (
            ("set_before_trail_leg", 0.3),
            ("wrist_set_kept", -12.0),
            ("lead_elbow_bend", 14.0),
            ("spine_side_tilt", 6.0),
            ("spine_tilt_change_at_impact", -4.0),
            ("shaft_pitch", 63.0),
            ("pelvis_sway", -0.05),
            ("ball_position", 0.4),
            ("chest_turn", 70.0),
        )
        for name, handed, marking in (
            ("hand-marked", "right", 2.6),
            ("hand-marked finer than drawn", "left", 0.01),
        )
    ]
    carried = [
        {**case, "inputs": case["inputs"] | move}
        for checkpoint, value, move in (
            ("set_before_trail_leg", 0.3, {"to_instant": -0.05, "to_ideal": 0.02}),
            ("wrist_set_kept", -12.0, {"to_instant": 1.5, "to_ideal": -0.5}),
            ("knee_flex", 20.0, {"to_instant": 1.5, "to_ideal": 2.0}),
            ("spine_tilt_change_at_top", -3.0, {"to_ideal": 1.25}),
            ("shaft_pitch_coming_down", 60.0, {"to_instant": -2.0, "to_ideal": 3.5}),
            ("hand_depth", 0.2, {"to_instant": 0.04, "to_ideal": -0.1}),
            ("head_sway", -0.1, {"to_instant": 0.04, "to_ideal": -0.1}),
            ("pelvis_turn", 40.0, {"to_instant": -3.0, "to_ideal": 5.0}),
            ("ball_position", 0.5, {"to_instant": 0.0, "to_ideal": 0.07}),
            ("hands_in_front", 4.0, {"to_instant": 1.0, "to_ideal": -6.0}),
        )
        for handed in ("right", "left")
        for case in [
            one(f"to the instant and the ideal camera {handed}", checkpoint, value, handed=handed)
        ]
    ]
    return [
        *marked,
        *carried,
        one("shaft past the straight line", "set_before_trail_leg", -0.3),
        one("shaft past the straight line left", "set_before_trail_leg", -0.3, handed="left"),
        one(
            "set the other way round",
            "set_before_trail_leg",
            0.4,
            address_deg=92.0,
            parallel_deg=172.0,
        ),
        one(
            "let go to a straight line",
            "wrist_set_kept",
            84.0,
            to_instant=4.0,
            reference_deg=150.0,
        ),
        one("all but unturned", "chest_turn_at_parallel", 4.0),
        one("all but unturned left", "pelvis_turn_at_parallel", 5.0, handed="left"),
        one("turned past the camera", "chest_turn_at_parallel", 150.0),
        one("turn below none", "pelvis_turn_at_parallel", 8.0, to_ideal=-15.0),
        one("bent below none", "lead_elbow_bend", 3.0, to_ideal=-5.0),
        one("steeper than upright", "shaft_pitch_at_address", 88.0, to_ideal=4.0),
        one("ends before it begins", "pause_length", -0.2),
        one("hands first", "start_order", -0.08, handed="left"),
        one("slow back, quick down", "tempo_ratio", 5.2, sigma_top_s=0.02),
    ]


def missing_cases(definitions: Mapping[str, Any]) -> list[tuple[Case, str]]:
    """Cases that give no number, with the words the person reads."""
    unseen = angle_case("angle, points missing", 90)
    del unseen["points"]["butt"], unseen["points"]["lead_shoulder"]
    heap = angle_case("angle, shaft of no length", 90)
    heap["points"]["clubhead"] = [heap["points"]["butt"][0] + 3.0, heap["points"]["butt"][1]]
    unknown = angle_case("angle, uncertainty missing", 90)
    del unknown["inputs"]["sigma_view"]
    unscaled = butt_case("butt end, no scale", 62)
    del unscaled["inputs"]["px_per_grip"]
    sunk = butt_case("butt end below ground", 62)
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
        (angle_case("angle, hopeless", 90, sigma_view=25.0), doubt),
        (unscaled, no_scale),
        (butt_case("butt end, scale of nothing", 62, px_per_grip=0.0), no_scale),
        (butt_case("butt end, level", 0), no_hit),
        (butt_case("butt end, rising left", -15, handed="left"), no_hit),
        (
            sunk,
            "The grip end lies no higher than the ground at the ball, so it points at no ground.",
        ),
        (butt_case("butt end, nearly level", 4), doubt),
        *_missing_of_families(definitions),
    ]


def _missing_of_families(definitions: Mapping[str, Any]) -> list[tuple[Case, str]]:
    def one(
        name: str, checkpoint: str, value: float, *, handed: str = "right", **inputs: float
    ) -> Case:
        words = f"{checkpoint}, {name}"
        return drawn_case(
            words, checkpoint, value, definitions[checkpoint], handed=handed, **inputs
        )

    def without(case: Case, *names: str) -> Case:
        for name in names:
            case["points"].pop(name, None)
            case["inputs"].pop(name, None)
        return case

    def heaped(case: Case, name: str, onto: str) -> Case:
        x, y = case["points"][onto]
        case["points"][name] = [x + 4.0, y - 3.0]
        return case

    def swapped(case: Case, first: str, second: str) -> Case:
        points = case["points"]
        points[first], points[second] = points[second], points[first]
        return case

    wider = (
        "The line is wider in the picture than at address: no shortening to read a turn from. The "
        "camera may stand off its line."
    )
    no_unit = "The size of the golfer in the picture is not known, so nothing scales it."
    little = "The wrists set by less than a degree: there is no share of it to tell."
    order = "The instants do not follow each other, so there is no time between them."
    same = "Two points fall on the same spot of the picture, so they give no direction."
    doubt = "Too uncertain to give a number: it could lie in any band."
    unknown = "Part of its uncertainty is not known, so no number:"
    kept_heap = heaped(one("shaft of no length", "wrist_set_kept", 0.0), "clubhead", "butt")
    share_heap = heaped(one("arm of no length", "set_before_trail_leg", 0.3), *ANGLE_POINTS[:2])
    on_one_spot = "Lead wrist and lead shoulder fall on the same spot of the picture, so they give no direction."
    trunk_heap = one("chest on the pelvis", "spine_side_tilt", 3.0)
    for name in ("shoulder", "hip"):
        trunk_heap["points"][f"lead_{name}"] = [400.0, 640.0]
        trunk_heap["points"][f"trail_{name}"] = [330.0, 643.0]
    return [
        (one("wider", "chest_turn", 0.0, address_width_px=160.0), wider),
        (one("wider left", "pelvis_turn", 0.0, handed="left", address_width_px=110.0), wider),
        (one("no width at address", "pelvis_turn", 40.0, address_width_px=0.0), no_unit),
        (one("width the other way round", "chest_turn", 40.0, address_width_px=-170.0), no_unit),
        (one("hardly turned, badly seen", "chest_turn", 3.0, sigma_px_lead_shoulder=30.0), doubt),
        (one("no unit", "pelvis_sway", 0.0, px_per_unit=0.0), no_unit),
        (one("no unit left", "hand_depth_at_top", 0.5, handed="left", px_per_unit=-1.0), no_unit),
        (without(one("unit unknown", "path_outside", 0.0), "px_per_unit"), no_unit),
        (without(one("width unknown", "chest_turn", 50.0), "address_width_px"), no_unit),
        (swapped(one("feet crossed", "ball_position", 0.5), "trail_ankle", "lead_ankle"), no_unit),
        (one("no set", "set_before_trail_leg", 0.2, parallel_deg=171.4), little),
        (one("the other way, no set", "set_before_trail_leg", 0.2, address_deg=91.1), little),
        (one("top before takeaway", "tempo_ratio", -1.0), order),
        (one("strike at the top", "tempo_ratio", 3.0, impact_s=1.3), order),
        (share_heap, on_one_spot),
        (trunk_heap, same),
        (
            heaped(one("elbow on shoulder", "lead_elbow_bend", 9.0), "lead_elbow", "lead_shoulder"),
            same,
        ),
        (
            heaped(
                one("ankle on knee left", "knee_flex", 9.0, handed="left"),
                "trail_ankle",
                "trail_knee",
            ),
            same,
        ),
        (heaped(one("shaft of no length", "shaft_pitch", 60.0), "clubhead", "butt"), same),
        (
            kept_heap,
            "Grip end and clubhead fall on the same spot of the picture, so they give no direction.",
        ),
        (
            without(one("ears unseen", "head_sway", 0.0), "lead_ear", "trail_ear"),
            "Not found in the picture: lead ear, trail ear.",
        ),
        (
            without(one("toe unseen", "hand_depth", 0.0), "trail_toe"),
            "Not found in the picture: trail toe.",
        ),
        (
            without(one("depth unknown", "shaft_at_top", 3.0), "sigma_depth"),
            f"{unknown} sigma_depth.",
        ),
        (
            without(
                one("address unknown", "spine_tilt_change_at_top", 0.0),
                "reference_deg",
                "sigma_reference",
            ),
            f"{unknown} reference_deg, sigma_reference.",
        ),
        (one("depth hopeless", "hands_in_front", 3.0, sigma_depth=21.0), doubt),
        (one("start hopeless", "start_order", 0.1, sigma_from_s=0.25), doubt),
    ]
