"""Every exact vector of the trade's formulas. The page runs the same file."""

import math
from collections.abc import Callable
from typing import Any

import pytest

from api.domain import events_timing, geometry, mirror, projection, proportions, uncertainty
from api.domain.measurement import Point
from api.domain.names import Hand
from tests.api.domain import vector_files

Given = dict[str, Any]
ANGLE_POINTS = ("lead_shoulder", "lead_wrist", "butt", "clubhead")


def clubhead_at(given: Given) -> Point:
    """A clubhead 280 px from the butt, picture left and ``pitch_deg`` above level."""
    pitch = math.radians(given["pitch_deg"])
    return given["butt"][0] - 280 * math.cos(pitch), given["butt"][1] - 280 * math.sin(pitch)


def lead_arm_shaft_angle(given: Given) -> float:
    return geometry.lead_arm_shaft_angle(*(given[name] for name in ANGLE_POINTS))


def mirrored_angle(given: Given) -> float:
    seen = {name: tuple(given[name]) for name in ANGLE_POINTS}
    hand, width = Hand(given["handed"]), given["width_px"]
    normal = mirror.normalise_points(seen, hand, width)
    assert mirror.normalise_points(normal, hand, width) == seen
    return geometry.lead_arm_shaft_angle(*(normal[name] for name in ANGLE_POINTS))


def butt_end_inside(given: Given) -> float | None:
    return geometry.butt_end_inside(
        given["butt"],
        clubhead_at(given),
        given["ball"],
        px_per_grip=given["px_per_m"] * given["grip_m"],
    )


def tempo_ratio(given: Given) -> float:
    return events_timing.tempo_ratio(given["takeaway_s"], given["top_s"], given["impact_s"])


def tempo_ratio_sigma(given: Given) -> float:
    return events_timing.tempo_ratio_sigma(
        tempo_ratio(given),
        given["impact_s"] - given["top_s"],
        events_timing.frame_instant_sigma(1 / given["frames_per_s"]),
    )


def arm_shaft_sigma(given: Given) -> float:
    sigma = given["sigma_px"]
    arm = uncertainty.direction_sigma((0, 0), (given["arm_px"], 0), sigma, sigma)
    shaft = uncertainty.direction_sigma((0, 0), (0, -given["shaft_px"]), sigma, sigma)
    return uncertainty.combine(arm, shaft)


FUNCTIONS: dict[str, Callable[[Given], float | None]] = {
    "lead_arm_shaft_angle": lead_arm_shaft_angle,
    "mirrored_angle": mirrored_angle,
    "butt_end_inside": butt_end_inside,
    "tempo_ratio": tempo_ratio,
    "tempo_ratio_sigma": tempo_ratio_sigma,
    "yawed_direction": lambda given: projection.yawed_direction(**given),
    "arm_shaft_sigma": arm_shaft_sigma,
    "crossing_time": lambda given: geometry.crossing_time(**given),
    "impact_from_sound": lambda given: events_timing.impact_from_sound(**given),
    "instant_tolerance_frames": lambda given: events_timing.instant_tolerance_frames(**given),
    "shoulder_to_mid_hand_m": lambda given: proportions.shoulder_to_mid_hand_m(**given),
}
CASES: list[dict[str, Any]] = vector_files.read("trade")["cases"]


@pytest.mark.parametrize("case", CASES, ids=vector_files.ids)
def test_the_trade_vector_holds(case: dict[str, Any]) -> None:
    answer = FUNCTIONS[case["function"]](case["input"])

    if case["expected"] is None:
        assert answer is None
    else:
        assert answer == pytest.approx(case["expected"], abs=case["tolerance"], rel=0)
    if "exact" in case:
        assert answer == pytest.approx(case["exact"], abs=1e-6, rel=0)


@pytest.mark.parametrize(
    "case", [case for case in CASES if "expected_hit_x" in case], ids=vector_files.ids
)
def test_the_butt_end_hits_the_ground_where_the_vector_says(case: dict[str, Any]) -> None:
    given = case["input"]
    hit = geometry.butt_ground_hit(given["butt"], clubhead_at(given), given["ball"][1])

    if case["expected_hit_x"] is None:
        assert hit is None
    else:
        assert hit is not None
        assert hit.x == pytest.approx(case["expected_hit_x"], abs=0.0005, rel=0)
        assert hit.x == pytest.approx(case["exact_hit_x"], abs=1e-6, rel=0)


def test_no_vector_is_lost() -> None:
    numbers = {case["id"].split("-")[0] for case in CASES}

    assert numbers == {f"T{number}" for number in range(1, 16)}
