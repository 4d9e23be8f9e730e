"""Which frames the second look takes: fine where an instant lies, few where nothing happens, never too many."""

import numpy as np
import pytest
from numpy.typing import NDArray

from worker.swing.cycles import RoughSwing
from worker.swing.dense import KEPT_MAX, TRACK_MAX, plan_frames

Array = NDArray[np.float64]

USUAL = RoughSwing(raised_s=1.6, start_s=1.0, top_s=2.05, impact_s=2.35, end_s=3.5)
FINE_S, BACK_S = 1.0 / 120.0, 1.0 / 80.0


def _clip(length_s: float, rate: float) -> Array:
    return np.arange(0.0, length_s, 1.0 / rate)


def _steps(chosen: frozenset[int], times: Array, start_s: float, end_s: float) -> Array:
    """Seconds from each frame chosen between two times to the next."""
    taken = times[sorted(chosen)]
    return np.asarray(np.diff(taken[(taken >= start_s) & (taken <= end_s)]))


def _nearest(gap_s: float, frame_s: float) -> float:
    """The longest step that may be taken for a gap where frames are no farther apart than ``frame_s``."""
    return max(1.05 * gap_s + 0.5 * frame_s, 0.67 * gap_s + frame_s) + 1e-6


def test_a_usual_swing_needs_no_more_looks_than_it_did() -> None:
    plan = plan_frames(USUAL, tuple(_clip(4.0, 240.0)))

    assert len(plan.track) <= 224
    assert len(plan.keep_gray) <= 155


@pytest.mark.parametrize(
    ("rate", "back_frames"),
    [(60.0, 1), (100.0, 1), (119.88, 2), (120.0, 2), (200.0, 3), (240.0, 3)],
)
def test_the_way_back_is_looked_at_every_so_many_frames(rate: float, back_frames: int) -> None:
    """At 100 frames a second every second frame was taken, 20 ms apart, where 12.5 are asked."""
    times = _clip(4.0, rate)
    steps = _steps(plan_frames(USUAL, tuple(times)).track, times, 0.8, 1.85)

    assert steps * rate == pytest.approx(back_frames)


@pytest.mark.parametrize("top_s", [2.0, 5.0, 8.6], ids=["early", "amid", "late"])
@pytest.mark.parametrize("rate", [120.0, 240.0])
def test_a_long_pause_thins_itself_and_not_the_downswing(top_s: float, rate: float) -> None:
    """The hands are highest anywhere in a pause. The whole swing was thinned for its length, to 24 ms."""
    times = _clip(11.0, rate)
    paused = RoughSwing(raised_s=1.6, start_s=1.0, top_s=top_s, impact_s=8.9, end_s=10.0)
    plan = plan_frames(paused, tuple(times))

    assert np.max(_steps(plan.track, times, 8.5, 9.1)) <= _nearest(FINE_S, 1.0 / rate)
    assert np.max(_steps(plan.track, times, 1.3, 1.95)) <= _nearest(BACK_S, 1.0 / rate)
    assert np.max(_steps(plan.track, times, 2.5, 8.0)) > 1.2 / 80.0


def _made(rng: np.random.Generator) -> tuple[RoughSwing, Array]:
    """Any swing in any clip of up to a minute, with or without an impact, its frames even or not."""
    length, rate = rng.uniform(2.0, 60.0), rng.choice([24.0, 30.0, 240.0, rng.uniform(24.0, 240.0)])
    start, top, impact = np.sort(rng.uniform(0.0, length, 3))
    raised = start + rng.uniform(0.1, 1.0) * (top - start)
    times = _clip(length, rate)
    times += rng.uniform(-0.2, 0.2, len(times)) / rate if rng.random() < 0.2 else 0.0
    if rng.random() < 0.3:
        return RoughSwing(raised, start, top, None, length), times
    slowed = rng.choice([1.0, rng.uniform(1.0, 6.25)])
    return RoughSwing(raised, start, top, impact, rng.uniform(impact, length), slowed), times


def _instants(swing: RoughSwing) -> list[tuple[float, float, float]]:
    """Where instants lie, and the gap asked there: two times and seconds, in the swing's own pace."""
    pace, slowed = max(1.0, swing.slowed / 1.5), swing.slowed
    first = swing.start_s - 0.25 * slowed
    asked = [
        (first, swing.start_s + 0.35 * slowed, pace * BACK_S),
        (max(first, swing.raised_s - 0.3 * slowed), swing.raised_s + 0.35 * slowed, pace * BACK_S),
        (swing.top_s - 0.15, swing.top_s + 0.2, pace * BACK_S),
    ]
    if swing.impact_s is not None:
        down = max(swing.top_s - 0.15, swing.impact_s - 0.6 * slowed)
        asked.append((down, swing.impact_s + 0.2 * slowed, pace * FINE_S))
    return asked


@pytest.mark.parametrize("seed", range(8))
def test_no_clip_is_too_much_and_no_instant_too_coarse(seed: int) -> None:
    """A minute held at the top was looked at 1645 times, and 831 of its pictures were kept: 1.7 GB at 1080p."""
    rng = np.random.default_rng(seed)
    for _ in range(40):
        swing, times = _made(rng)
        plan = plan_frames(swing, tuple(times))

        assert len(plan.track) <= TRACK_MAX
        assert len(plan.keep_gray) <= KEPT_MAX
        assert plan.keep_gray <= plan.track
        farthest = float(np.max(np.diff(times)))
        for start_s, end_s, gap_s in _instants(swing):
            steps = _steps(plan.track, times, start_s, end_s)
            assert np.max(steps, initial=0.0) <= _nearest(gap_s, farthest)
        reach = _instants(swing)[1]
        assert plan.keep_gray >= {i for i in plan.track if reach[0] <= times[i] <= reach[1]}
        if swing.impact_s is not None:
            assert plan.keep_gray >= {
                i for i in plan.track if abs(times[i] - swing.impact_s) <= 0.18
            }


@pytest.mark.parametrize("rate", [24.0, 60.0, 240.0])
def test_a_minute_held_at_the_top_is_seen_from_end_to_end(rate: float) -> None:
    held = RoughSwing(raised_s=1.6, start_s=1.0, top_s=50.0, impact_s=None, end_s=58.0)
    times = _clip(60.0, rate)
    plan = plan_frames(held, tuple(times))

    assert np.max(_steps(plan.track, times, 1.0, 55.0)) < 0.6
    assert np.max(_steps(plan.keep_gray, times, 1.0, 55.0)) < 1.2
