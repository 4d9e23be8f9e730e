"""A file that plays slower or faster than life: its seconds mean nothing, and that is said."""

import pytest

from api.domain.measurement import Missing
from worker.measure import rhythm
from worker.measure.swing_reading import _left_top, _slowed, _sped_up
from worker.swing.instants import Instant

IMPACT_S = 3.0


def at(before_impact_s: float, sigma_s: float = 0.01) -> Instant:
    return Instant(IMPACT_S - before_impact_s, sigma_s)


@pytest.mark.parametrize(
    ("level_s", "down_s", "slowed"),
    [
        (0.143, 0.288, False),  # the kept clips
        (0.286, 0.576, True),  # the same, slowed twice: the level arm alone would not tell
        (0.35, 0.40, True),
        (0.15, 0.45, False),
    ],
)
def test_a_way_down_longer_than_a_full_swings_is_no_full_swing_in_real_time(
    level_s: float, down_s: float, *, slowed: bool
) -> None:
    assert isinstance(_slowed(at(level_s), at(down_s), IMPACT_S), Missing) is slowed


def test_an_unsure_top_slows_no_file() -> None:
    assert _slowed(at(0.15), at(0.5, 0.04), IMPACT_S) is None
    assert _slowed(Missing("no"), Missing("no"), IMPACT_S) is None
    assert _slowed(at(0.5), at(1.0), None) is None


def test_a_way_down_shorter_than_any_swings_is_a_file_sped_up() -> None:
    """The kept clips' 0.288 s, and the same played twice as fast; what is unsure is on the swing's side."""
    assert _sped_up(at(0.288), IMPACT_S) is None
    assert isinstance(_sped_up(at(0.144), IMPACT_S), Missing)
    assert _sped_up(at(0.144, 0.02), IMPACT_S) is None
    assert _sped_up(Missing("no"), IMPACT_S) is None
    assert _sped_up(at(0.1), None) is None


def test_a_stop_at_the_top_does_not_count_to_the_way_down() -> None:
    top = at(1.1)
    pause = rhythm.Pause(at(2.0), at(0.3), (rhythm.Stay(at(2.0), at(0.3)),))
    left = _left_top(top, pause)
    assert isinstance(left, Instant)
    assert left.time_s == pytest.approx(IMPACT_S - 0.3)
    assert _slowed(at(0.15), left, IMPACT_S) is None
    earlier = rhythm.Pause(at(2.0), at(1.5), (rhythm.Stay(at(2.0), at(1.5)),))
    assert _left_top(top, earlier) == top
