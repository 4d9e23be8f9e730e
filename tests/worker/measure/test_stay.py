"""Where a pause lies and how arm and shaft stand in it, from points without an error."""

from dataclasses import replace

import numpy as np
import pytest

from api.domain.checkpoint_ids import CheckpointId
from api.domain.drill_library import DRILLS
from api.domain.measurement import Missing, Reading
from api.domain.names import KeyframeId
from api.domain.proof import (
    HINGE_HANDS,
    HINGE_SHAFT,
    PAUSE_COUNTS_S,
    STAY_ARM,
    STAY_SHAFT,
    Verdict,
    prove,
    stay_from,
    stay_length,
)
from tests.worker.measure.exact_points import Exact, exact
from tests.worker.measure.test_more_readings import readings
from worker.measure import rhythm, stay
from worker.swing.instants import Instant

LEVEL, TOP = KeyframeId.LEAD_ARM_PARALLEL, KeyframeId.TOP
PAUSE = CheckpointId.PAUSE_LENGTH


def pause_reading(seen: Exact) -> Reading:
    found = readings(seen)[PAUSE]
    assert isinstance(found, Reading)
    return found


def true_slope_deg(seen: Exact, first: str, second: str, time_s: float) -> float:
    """Elevation of a segment in the studio's space, where z is up."""
    row = int(np.argmin(np.abs(seen.truth.frames.life_s - time_s)))
    index = seen.truth.frames.index
    along = (
        seen.truth.frames.world_m[row, index(second)] - seen.truth.frames.world_m[row, index(first)]
    )
    return float(np.degrees(np.arctan2(along[2], np.hypot(along[0], along[1]))))


def a_stay(start_s: float, end_s: float) -> rhythm.Stay:
    return rhythm.Stay(Instant(start_s, 0.01), Instant(end_s, 0.01))


@pytest.mark.parametrize(("azimuth", "roll"), [(0.0, 0.0), (5.0, 1.0)])
def test_a_stop_with_the_lead_arm_level_is_told_as_one(azimuth: float, roll: float) -> None:
    seen = exact("face_on_pause", azimuth, roll)
    found = pause_reading(seen)
    inputs = found.inputs
    assert inputs[stay_from(LEVEL)] == pytest.approx(0.0, abs=0.05)
    assert inputs[stay_from(TOP)] < -0.1
    middle = (inputs["from_s"] + inputs["to_s"]) / 2.0
    for name, ends in (
        (STAY_ARM, ("lead_shoulder", "lead_wrist")),
        (STAY_SHAFT, ("butt", "hosel")),
    ):
        true = true_slope_deg(seen, *ends, middle)
        assert inputs[name] == pytest.approx(true, abs=2.0)
        assert abs(inputs[name] - true) < 2.0 * inputs[f"sigma_{name}"]
    asked = {
        one.checkpoint: one for one in prove(DRILLS["stop-and-look"], {PAUSE: found}, pause_s=1.3)
    }
    assert asked[PAUSE].verdict is Verdict.MET


def test_a_stop_at_the_top_is_not_one_with_the_lead_arm_level() -> None:
    """It passed as the stop that the drill asks for."""
    found = pause_reading(exact("face_on_stop_at_top"))
    assert found.inputs[stay_from(TOP)] == pytest.approx(0.0, abs=0.05)
    assert found.inputs[stay_from(LEVEL)] - 2.0 * found.inputs[f"sigma_{stay_from(LEVEL)}"] > 0.0
    assert found.inputs[STAY_ARM] > 20.0
    asked = {
        one.checkpoint: one for one in prove(DRILLS["stop-and-look"], {PAUSE: found}, pause_s=0.5)
    }
    assert asked[PAUSE].verdict is not Verdict.MET


def test_a_swing_without_a_stop_has_no_place_of_one() -> None:
    assert stay_from(LEVEL) not in pause_reading(exact("face_on_neutral")).inputs


def test_the_hinge_is_read_in_the_stop_nearest_to_45_degrees() -> None:
    """Not in the longest one, which the drill asks for after it, nor in one too short to count."""
    seen = exact("face_on_neutral")
    slopes = {}
    for time_s in np.arange(1.05, 1.7, 0.01):
        one = stay.elevation(seen.looks, stay.SHAFT, time_s - 0.02, time_s + 0.02)
        assert one is not None
        slopes[float(time_s)] = one.value
    half = min(slopes, key=lambda time_s: abs(slopes[time_s] - 45.0))
    slow = replace(seen.looks, times_s=seen.looks.times_s * 20.0)
    stays = (a_stay(half * 20.0 - 0.4, half * 20.0 + 0.4), a_stay(31.0, 35.0))
    pause = rhythm.Pause(stays[1].start, stays[1].end, stays)
    hinge = stay.hinge_stay(slow, pause)
    assert hinge is not None
    assert hinge[0].time_s == pytest.approx(half * 20.0)
    assert hinge[1].value == pytest.approx(45.0, abs=4.0)
    short = (a_stay(half * 20.0 - 0.2, half * 20.0 + 0.2), stays[1])
    assert short[0].length_s < PAUSE_COUNTS_S
    other = stay.hinge_stay(slow, replace(pause, stays=short))
    assert other is not None
    assert other[0].time_s == pytest.approx(33.0)


def test_face_on_the_hands_are_read_in_that_stop() -> None:
    inputs = pause_reading(exact("face_on_pause")).inputs
    assert inputs[HINGE_SHAFT] == pytest.approx(inputs[STAY_SHAFT], abs=0.5)
    assert abs(inputs[HINGE_HANDS]) < 3.0
    assert inputs[f"sigma_{HINGE_HANDS}"] > 0.0


def test_without_depths_only_times_are_told() -> None:
    seen = exact("face_on_pause")
    flat = replace(seen.looks, space=None, stand=None, points=None)
    found = rhythm.pause(
        flat, seen.instants[KeyframeId.TAKEAWAY], seen.instants[TOP], None, float(flat.times_s[-1])
    )
    assert not isinstance(found, Missing)
    assert stay.hinge_stay(flat, found) is None
    names = set(stay.of_pause(flat, found, seen.instants))
    assert stay_from(LEVEL) in names
    assert not names & {STAY_ARM, STAY_SHAFT, HINGE_SHAFT}


@pytest.mark.parametrize("seen_to_pass", [True, False])
def test_a_shorter_stop_where_the_drill_asks_for_one_is_held_against_it(
    *,
    seen_to_pass: bool,
) -> None:
    """A longer one at the top was taken for it, and a drill that was done was not met."""
    seen = exact("face_on_neutral")
    slow = replace(seen.looks, times_s=seen.looks.times_s * 20.0)
    level, top = (seen.instants[key] for key in (LEVEL, TOP))
    assert isinstance(level, Instant)
    assert isinstance(top, Instant)
    level_s, top_s = level.time_s * 20.0, top.time_s * 20.0
    asked, longest = a_stay(level_s - 0.5, level_s + 0.5), a_stay(top_s - 1.0, top_s + 1.0)
    instants: dict[KeyframeId, Instant | Missing] = {
        KeyframeId.HANDS_PAST_TRAIL_LEG: Missing("x"),
        LEVEL: Instant(level_s, 0.01) if seen_to_pass else Missing("x"),
        TOP: Instant(top_s, 0.01),
    }
    pause = rhythm.Pause(longest.start, longest.end, (asked, longest))
    found = stay.of_pause(slow, pause, instants)
    assert found[stay_length(LEVEL)] == pytest.approx(1.0)
    assert abs(found[STAY_ARM]) < 5.0
    assert found[stay_from(TOP)] == 0.0
    assert stay_length(TOP) not in found
    if seen_to_pass:
        assert found[stay_from(LEVEL)] == 0.0
    # Without the shorter one the longest is told as where it is.
    only = stay.of_pause(slow, replace(pause, stays=(longest,)), instants)
    assert stay_length(LEVEL) not in only
    assert only[STAY_ARM] > 20.0
