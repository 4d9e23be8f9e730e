"""Resampling along a fan, also one with more samples than OpenCV takes at once."""

import numpy as np
import pytest

from worker.club.strips import Fan


def test_a_large_fan_equals_its_parts() -> None:
    picture = np.random.default_rng(1).random((1920, 1080)).astype(np.float32)
    radii, sides = np.arange(10.0, 500.0), np.arange(-8.0, 9.0)
    angles = np.arange(0.0, 180.0)
    whole = Fan(angles, radii, sides).sample(picture, (540.0, 900.0))
    assert whole.shape == (180, 490, 17)
    assert 180 * 490 > 32767
    for first in (0, 90):
        part = Fan(angles[first : first + 60], radii, sides).sample(picture, (540.0, 900.0))
        assert np.array_equal(whole[first : first + 60], part, equal_nan=True)


@pytest.mark.parametrize("pivot", [(540.25, 900.5), (20.5, 1890.5), (-400.0, 300.0)])
def test_nothing_of_the_picture_is_needed_beyond_a_fans_bounds(pivot: tuple[float, float]) -> None:
    picture = np.random.default_rng(2).random((1920, 1080)).astype(np.float32)
    fan = Fan(np.arange(80.0, 131.0, 10.0), np.arange(50.0, 300.0), np.arange(-8.0, 9.0))
    part = fan.bounds(pivot, 1080, 1920)
    assert (part.right - part.left) * (part.bottom - part.top) < picture.size / 8
    alone = fan.sample(part.cut(picture), (pivot[0] - part.left, pivot[1] - part.top))
    whole = fan.sample(picture, pivot)
    assert np.array_equal(np.isnan(alone), np.isnan(whole))
    # Places are rounded to a thirty-second of a pixel, here from another corner.
    assert np.nanmax(np.abs(alone - whole), initial=0.0) < 0.05
