"""Resampling along a fan, also one with more samples than OpenCV takes at once."""

import numpy as np

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
