"""The horizon's row from points without an error, however the lens is aimed."""

import math
from dataclasses import replace

import numpy as np
import pytest

from api.domain.measurement import Estimate
from tests.worker.measure.exact_points import Exact, exact
from worker.measure.horizon import FOCAL_SHARE, LEAST_DEG, SPREAD_TIMES, horizon_seen


def seen(clip: Exact, roll_deg: float) -> tuple[Estimate, Estimate]:
    """Row that is read where the setting's own guess is far off, and the true one."""
    middle = ((720 - 1) / 2.0, (1280 - 1) / 2.0)
    guessed = replace(clip.setting, horizon_row=Estimate(0.0, 1.0))
    found = horizon_seen(clip.points, guessed, middle, roll_deg, until_s=1.0)
    return found, clip.setting.horizon_row


@pytest.mark.parametrize("name", ["face_on_neutral", "down_the_line_neutral"])
@pytest.mark.parametrize(
    ("tilt", "roll"), [(0.0, 0.0), (6.0, 0.0), (-6.0, 0.0), (0.0, 5.0), (4.0, -5.0), (-4.0, 5.0)]
)
def test_a_tilted_and_rolled_lens_finds_its_horizon(name: str, tilt: float, roll: float) -> None:
    found, true = seen(exact(name, roll_deg=roll, tilt_deg=tilt), roll)
    assert found.value == pytest.approx(true.value, abs=1.0)


def test_rows_of_a_rolled_picture_are_read_along_the_turned_plumb_line() -> None:
    """Hips beside the middle of the picture: half a degree of horizon hangs on the roll."""
    # 120 pixels along a level line, which a roll of five degrees shows rising to the right.
    clip = exact("face_on_neutral", roll_deg=5.0)
    moved = replace(clip.points, xy=clip.points.xy + np.array([119.5, -10.5]))
    beside = replace(clip, points=moved)
    upright, true = seen(beside, 5.0)
    assert upright.value == pytest.approx(true.value, abs=1.5)
    assert abs(seen(beside, 0.0)[0].value - true.value) > 5.0


def test_the_spread_is_the_networks_doubled_and_no_less_than_it_was_ever_seen_to_err() -> None:
    clip = exact("face_on_neutral")
    middle = ((720 - 1) / 2.0, (1280 - 1) / 2.0)
    for stated in (0.01, 1.5):
        points = replace(clip.points, camera_sigma_deg=clip.points.camera_sigma_deg * 0.0 + stated)
        sigma = horizon_seen(points, clip.setting, middle, 0.0, 1.0).sigma
        own = math.radians(max(SPREAD_TIMES * stated, LEAST_DEG)) * clip.setting.focal_px
        assert own < sigma < math.hypot(own, 0.1 * FOCAL_SHARE * clip.setting.focal_px) * 1.02
