"""The instants' logic on real swings: joints clicked by people, no pictures, not in the repository.

The tracks lie beside the project on a development machine only; their events were computed, not
clicked, so they bound blunders and prove nothing finer.
"""

import numpy as np
import pytest

from api.domain.measurement import Missing
from api.domain.names import View
from tests.accuracy.real_swings import ABSENT, RATE, available, motion_of, real_swings
from worker.swing import instants
from worker.swing.cycles import find_swings
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
