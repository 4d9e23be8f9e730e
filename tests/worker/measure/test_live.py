"""The phone's live check judges by the worker's own limits, words and rules, and asks for as much room as clubs need."""

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from api.domain.names import View
from tests.api.domain import vector_files
from tests.studio.truth.schema import load_truth
from tests.worker.measure.framing_vectors import Change, judged
from worker.measure import live
from worker.measure.filming import Size
from worker.measure.setting import LEG_OVER_STATURE
from worker.swing.shoulder import LEG_SEEN

ROOT = Path(__file__).resolve().parents[3]
CASES = vector_files.read("framing")["cases"]
ROOM = json.loads((ROOT / "web/src/student/filming/room.json").read_text())
Array = NDArray[np.float64]
WASTE = 0.2
"""Statures by which the room asked for may exceed what the kept clips' longest reach needs."""


def test_the_page_reads_todays_limits_and_words() -> None:
    """Run ``python -m worker.measure.live`` where this fails."""
    assert live.TARGET.read_text(encoding="utf-8") == live.text()


@pytest.mark.parametrize("case", CASES, ids=vector_files.ids)
def test_the_shared_answers_are_the_workers(case: dict[str, Any]) -> None:
    """The page's own test holds it to the same file (``web/src/student/filming/framing.test.ts``)."""
    change = Change("told", down_deg=case["down_deg"], roll_deg=case["roll_deg"])
    size = Size(case["width"], case["height"])
    told = judged(np.array(case["points"]), size, change, View(case["view"]), case["film_px"])
    assert told["codes"] == case["expected"]["codes"]
    for name in ("view_seen", "too_small", "cut_off"):
        assert told[name] == case["expected"][name]
    for name in ("distance_m", "above_hands_m"):
        assert told[name] == pytest.approx(case["expected"][name])


def test_the_shared_answers_hold_every_problem_of_a_still_golfer() -> None:
    """Else a rule that the page lost would not show."""
    told = {code for case in CASES for code in case["expected"]["codes"]}
    assert {"camera_near", "camera_high", "camera_low"} <= told
    assert {case["expected"]["view_seen"] for case in CASES} == {
        None,
        "face-on",
        "down-the-line",
    }
    assert any(case["expected"]["too_small"] for case in CASES)
    assert any(case["expected"]["cut_off"] for case in CASES)


def _reach(path: Path) -> tuple[str, float, tuple[float, float, float]]:
    """View, the club's length, and how far the clubhead goes up, left and right of the feet: statures."""
    truth = load_truth(path)
    names, pixels = truth.frames.points, truth.frames.pixels

    def first(name: str) -> Array:
        return np.asarray(pixels[0, names.index(name)])

    leg = np.mean(
        [
            np.linalg.norm(first(f"{side}_hip") - first(f"{side}_knee"))
            + np.linalg.norm(first(f"{side}_knee") - first(f"{side}_ankle"))
            for side in ("lead", "trail")
        ]
    )
    feet = (first("lead_ankle") + first("trail_ankle")) / 2.0
    away = (pixels[:, names.index("hosel")] - feet) * LEG_OVER_STATURE * LEG_SEEN / leg
    up, left, right = -away[:, 1].min(), -away[:, 0].min(), away[:, 0].max()
    return truth.view.value, truth.club_length_m / truth.stature_m, (up, left, right)


def _asked(view: str, club: float) -> tuple[float, float, float]:
    """Room up, left and right for a right-hander, as ``reach`` in ``framing.ts`` has it."""
    room = ROOM[view]
    if view == View.FACE_ON:
        return room["up"] + club, room["aside"] + club, room["aside"] + club
    return room["up"] + club, room["other_side"], room["ball_side"] + club


@pytest.mark.parametrize(
    "path", sorted((ROOT / "tests/clips").glob("*.json")), ids=lambda p: p.stem
)
def test_the_room_asked_for_holds_the_clubs_of_the_kept_clips(path: Path) -> None:
    """All but the margin within which the page says nothing."""
    view, club, reached = _reach(path)
    for asked, needed in zip(_asked(view, club), reached, strict=True):
        assert needed <= asked + ROOM["doubt"], (path.stem, asked, needed)


@pytest.mark.parametrize("view", list(View))
def test_no_more_room_is_asked_for_than_some_swing_needs(view: View) -> None:
    reaches = [_reach(path) for path in sorted((ROOT / "tests/clips").glob("*.json"))]
    clips = [(club, reached) for seen, club, reached in reaches if seen == view]
    for side in range(3):
        spare = min(_asked(view.value, club)[side] - reached[side] for club, reached in clips)
        assert spare <= WASTE, (view, side, spare)
