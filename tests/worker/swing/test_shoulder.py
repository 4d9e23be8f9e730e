import math

import numpy as np
import pytest

from tests.worker.swing.moving import golfer
from worker.body.joints import BodyTrack, Joint
from worker.swing.shoulder import Chest, chest_at_address, leg_px

WIDTH, TILT = 90.0, math.radians(35.0)


def _projected(turn: float) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """Half the shoulder line of a chest bent forward by TILT and turned by ``turn``, in space,
    seen square: x to the lead side, y down the picture (orthographic)."""
    spine = np.array([0.0, math.cos(TILT), math.sin(TILT)])  # lead side, up, towards the lens
    forward = np.array([0.0, -math.sin(TILT), math.cos(TILT)])  # chest's facing
    assert spine @ forward == pytest.approx(0.0)
    line = math.cos(turn) * np.array([1.0, 0.0, 0.0]) + math.sin(turn) * forward
    return WIDTH / 2 * np.array([line[0], -line[1]])


@pytest.mark.parametrize("turn_deg", [0.0, 20.0, 45.0, 65.0, 85.0])
def test_the_lead_shoulder_is_where_a_turned_chest_puts_it(turn_deg: float) -> None:
    half = _projected(math.radians(turn_deg))
    middle, hips = np.array([300.0, 300.0]), np.array([300.0, 400.0])
    place, _ = Chest(WIDTH, TILT, 0.08).lead_shoulder(middle, hips, 2 * half[0])
    assert place == pytest.approx(middle + half, abs=1e-6)


def test_sigma_covers_a_wrong_tilt() -> None:
    half = _projected(math.radians(60.0))
    middle, hips = np.array([300.0, 300.0]), np.array([300.0, 400.0])
    off = Chest(WIDTH, TILT - math.radians(5.0), math.radians(5.0))
    place, sigma = off.lead_shoulder(middle, hips, 2 * half[0])
    assert abs(place[1] - (middle + half)[1]) <= 1.2 * sigma


def test_a_side_tilt_turns_the_whole_chest_with_it() -> None:
    lean = math.radians(12.0)
    turn = np.array([[math.cos(lean), -math.sin(lean)], [math.sin(lean), math.cos(lean)]])
    half = _projected(math.radians(50.0))
    middle = np.array([300.0, 300.0])
    hips = middle + turn @ np.array([0.0, 100.0])
    place, _ = Chest(WIDTH, TILT, 0.08).lead_shoulder(middle, hips, 2 * half[0])
    assert place == pytest.approx(middle + turn @ half, abs=1e-6)


def test_address_gives_width_legs_and_a_tilt_between_trunk_and_custom() -> None:
    times = np.arange(0.0, 0.5, 1 / 60)
    still: BodyTrack = golfer(times, np.full(len(times), -75.0))
    chest = chest_at_address(still)
    assert chest.width_px == pytest.approx(80.0)
    assert leg_px(still) == pytest.approx(2 * math.hypot(5.0, 90.0))
    assert math.radians(15.0) < chest.tilt < math.radians(40.0)
    assert still.of(Joint.LEAD_HIP)[0, 0] > still.of(Joint.TRAIL_HIP)[0, 0]
