"""A phone that is not level moves no instant: lead arm parallel is told in space."""

import pytest

from api.domain.names import KeyframeId
from tests.worker.measure.exact_points import Exact, exact
from worker.measure.posture import motion_seen
from worker.swing import instants
from worker.swing.instants import Instant, Motion

ROLLS_DEG = (-4.0, 0.0, 4.0)
NAMES = ("face_on_neutral", "face_on_narrow", "down_the_line_neutral")


def motion_of(clip: Exact) -> Motion:
    track = clip.points.as_body()
    start_s = time_of(clip, KeyframeId.ADDRESS)
    still = track.part(start_s - 0.3, start_s)
    return motion_seen(clip.points, track, still, clip.setting, *clip.stood())


def time_of(clip: Exact, key: KeyframeId) -> float:
    at = clip.instants[key]
    assert isinstance(at, Instant)
    return at.time_s


@pytest.mark.parametrize("roll_deg", ROLLS_DEG)
@pytest.mark.parametrize("name", NAMES)
def test_the_arm_is_level_when_it_is(name: str, roll_deg: float) -> None:
    """Within a third of a frame: the judged roll keeps some of what is usual, a few tenths of a degree."""
    clip = exact(name, roll_deg=roll_deg)
    moves = motion_of(clip)
    up = instants.arm_level_up(
        moves, time_of(clip, KeyframeId.TAKEAWAY), time_of(clip, KeyframeId.TOP)
    )
    assert isinstance(up, Instant)
    true_s = time_of(clip, KeyframeId.LEAD_ARM_PARALLEL)
    assert up.time_s == pytest.approx(true_s, abs=0.006 if roll_deg else 0.003)
    assert abs(up.time_s - true_s) < 2.0 * up.sigma_s


@pytest.mark.parametrize("roll_deg", ROLLS_DEG)
@pytest.mark.parametrize("name", NAMES)
def test_the_shaft_is_level_at_delivery(name: str, roll_deg: float) -> None:
    clip = exact(name, roll_deg=roll_deg)
    found = instants.delivery(
        motion_of(clip), time_of(clip, KeyframeId.TOP), time_of(clip, KeyframeId.IMPACT)
    )
    assert isinstance(found, Instant)
    assert found.time_s == pytest.approx(time_of(clip, KeyframeId.DELIVERY), abs=0.003)
