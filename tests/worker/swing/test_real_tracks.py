"""The instants' logic on real swings: joints clicked by people, no pictures, not in the repository.

The tracks lie beside the project on a development machine only; their events were computed, not
clicked, so they bound blunders and prove nothing finer.
"""

import json
from collections.abc import Iterator

import numpy as np
import pytest

from api.domain.measurement import Missing
from api.domain.names import View
from tests.accuracy.real_swings import (
    ABSENT,
    RATE,
    REAL,
    available,
    motion_of,
    real_swings,
    track_of,
)
from worker.body.joints import BodyTrack
from worker.swing import instants
from worker.swing.cycles import RAISED, find_swings, hand_height
from worker.swing.instants import Instant

pytestmark = pytest.mark.skipif(not available(), reason=ABSENT)


def test_lead_arm_parallel_agrees_with_the_computed_events() -> None:
    errors: list[float] = []
    swings = real_swings()
    for swing in swings:
        found = instants.arm_level_up(motion_of(swing.track), 0.0, swing.top / RATE + 0.1)
        if isinstance(found, Instant):
            errors.append(RATE * found.time_s - swing.level)
    assert len(errors) == len(swings)
    # The same line and the same rule: clicked points' noise is common to both, a frame is a blunder.
    assert float(np.max(np.abs(errors))) < 1.0


def test_the_top_lies_near_the_computed_one_and_before_the_lowest_hands() -> None:
    late: list[float] = []
    for swing in real_swings():
        level_s, low_s = swing.level / RATE, swing.lowest / RATE
        found = instants.top(motion_of(swing.track), level_s, low_s)
        if isinstance(found, Missing):
            continue
        assert level_s < found.time_s < low_s
        late.append(found.time_s - swing.top / RATE)
    # Highest arm and least hand speed are different things: up to 0.16 s on recorded swings.
    assert float(np.median(np.abs(late))) < 0.1


def test_real_swings_are_found_as_one_swing_each() -> None:
    counts = [len(find_swings(swing.track, View.FACE_ON)) for swing in real_swings()]
    assert float(np.mean([count == 1 for count in counts])) >= 0.95


def _backswings_from_behind() -> Iterator[BodyTrack]:
    """Real swings that the set calls seen from the back and that begin low, until the hands are up."""
    joints = np.load(REAL / "penn_golf_joints.npz")
    for clip in json.loads((REAL / "penn_golf_index.json").read_text()):
        if clip["view_label"] != "back":
            continue
        track = track_of(joints[clip["id"]].astype(np.float64))
        raised = np.flatnonzero(hand_height(track) > RAISED)
        if len(raised) and raised[0] > 0:
            yield track.part(0.0, float(track.times_s[raised[0]]) + 2.0 / RATE)


def test_no_real_backswing_from_behind_is_lost() -> None:
    """Of 74 that are cut as soon as the hands are up, before what tells a backswing shows in full."""
    counts = [len(find_swings(track, View.DOWN_THE_LINE)) for track in _backswings_from_behind()]
    assert len(counts) > 70
    assert float(np.mean([count == 1 for count in counts])) >= 0.98
