"""The instants' logic on real swings: joints clicked by people, no pictures, not in the repository.

The tracks lie beside the project on a development machine only; their events were computed, not
clicked, so they bound blunders and prove nothing finer.
"""

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from api.domain.measurement import Missing
from api.domain.names import View
from worker.body.joints import BodyTrack, Joint
from worker.swing import instants
from worker.swing.cycles import find_swings
from worker.swing.instants import Instant, Motion

REAL = Path(__file__).resolve().parents[4] / "shared" / "real"
RATE = 30.0
"""Pictures a second; the set does not say, most of it plays at this."""

COLUMNS = {
    Joint.NOSE: 0,
    Joint.LEAD_SHOULDER: 2,
    Joint.TRAIL_SHOULDER: 1,
    Joint.LEAD_ELBOW: 4,
    Joint.TRAIL_ELBOW: 3,
    Joint.LEAD_WRIST: 6,
    Joint.TRAIL_WRIST: 5,
    Joint.LEAD_HIP: 8,
    Joint.TRAIL_HIP: 7,
    Joint.LEAD_KNEE: 10,
    Joint.TRAIL_KNEE: 9,
    Joint.LEAD_ANKLE: 12,
    Joint.TRAIL_ANKLE: 11,
}

pytestmark = pytest.mark.skipif(
    not REAL.is_dir(), reason="the real joint tracks are not on this machine (no licence to ship)"
)


def _events() -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = json.loads(
        (REAL / "penn_golf_faceon_righthanded_events.json").read_text()
    )
    return found


def _track(joints: NDArray[np.float64]) -> BodyTrack:
    n = len(joints)
    xy = np.zeros((n, 33, 2))
    for joint, column in COLUMNS.items():
        xy[:, joint] = joints[:, column, :2]
    for hand in range(17, 23):
        xy[:, hand] = xy[:, Joint.LEAD_WRIST if hand % 2 else Joint.TRAIL_WRIST]
    return BodyTrack(np.arange(n), np.arange(n) / RATE, xy, np.ones((n, 33)))


def _motion(track: BodyTrack) -> Motion:
    rise = track.of(Joint.LEAD_SHOULDER)[:, 1] - track.of(Joint.LEAD_WRIST)[:, 1]
    return Motion(track.times_s, track.hands, 1.0, rise, 1.0, 3.0, track.torso_px())


def _swings() -> list[tuple[dict[str, Any], BodyTrack]]:
    joints = np.load(REAL / "penn_golf_joints.npz")
    return [(event, _track(joints[event["id"]].astype(np.float64))) for event in _events()]


def test_lead_arm_parallel_agrees_with_the_computed_events() -> None:
    errors: list[float] = []
    swings = _swings()
    for event, track in swings:
        top_s = event["top_frame0"] / RATE
        found = instants.arm_level_up(_motion(track), 0.0, top_s + 0.1)
        if isinstance(found, Instant):
            errors.append(RATE * found.time_s - event["lead_arm_parallel_frame0"])
    assert len(errors) == len(swings)
    # The same line and the same rule: clicked points' noise is common to both, a frame is a blunder.
    assert float(np.max(np.abs(errors))) < 1.0


def test_the_top_lies_near_the_computed_one_and_before_the_lowest_hands() -> None:
    late: list[float] = []
    for event, track in _swings():
        level_s = event["lead_arm_parallel_frame0"] / RATE
        low_s = event["lowest_hands_after_top0"] / RATE
        found = instants.top(_motion(track), level_s, low_s)
        if isinstance(found, Missing):
            continue
        assert level_s < found.time_s < low_s
        late.append(found.time_s - event["top_frame0"] / RATE)
    # Highest arm and least hand speed are different things: up to 0.16 s on recorded swings.
    assert float(np.median(np.abs(late))) < 0.1


def test_real_swings_are_found_as_one_swing_each() -> None:
    counts = [len(find_swings(track, View.FACE_ON)) for _, track in _swings()]
    assert float(np.mean([count == 1 for count in counts])) >= 0.95
