import numpy as np
import pytest

from worker.body.joints import LEAD_HAND, TRAIL_HAND, BodyTrack, Joint


def _track(apart_px: float, *, lead_seen: float = 0.9, trail_seen: float = 0.4) -> BodyTrack:
    """One frame: torso 100 px, lead hand at (200, 300), trail hand ``apart_px`` to its right."""
    xy, seen = np.zeros((1, 33, 2)), np.full((1, 33), 0.8)
    for joint, row in ((Joint.LEAD_SHOULDER, 100.0), (Joint.LEAD_HIP, 200.0)):
        xy[0, joint] = xy[0, joint + 1] = (300.0, row)
    xy[0, LEAD_HAND], xy[0, TRAIL_HAND] = (200.0, 300.0), (200.0 + apart_px, 300.0)
    seen[0, LEAD_HAND], seen[0, TRAIL_HAND] = lead_seen, trail_seen
    return BodyTrack(np.array([0]), np.array([0.0]), xy, seen)


@pytest.mark.parametrize("apart", [0.0, 8.0, 20.0])
def test_hands_that_are_together_are_both_believed(apart: float) -> None:
    assert _track(apart).grip[0] == pytest.approx((200.0 + apart / 2.0, 300.0))


def test_of_hands_that_came_apart_the_one_seen_better_is_believed() -> None:
    """Face-on at lead arm parallel the hidden trail hand was put at the lead elbow."""
    assert _track(80.0).grip[0] == pytest.approx((200.0, 300.0))
    other = _track(80.0, lead_seen=0.3, trail_seen=0.9)
    assert other.grip[0] == pytest.approx((280.0, 300.0))


def test_between_the_two_the_hands_move_without_a_jump() -> None:
    places = [float(_track(apart).hands[0, 0]) for apart in np.arange(15.0, 40.0, 0.5)]
    assert np.abs(np.diff(places)).max() < 1.0
