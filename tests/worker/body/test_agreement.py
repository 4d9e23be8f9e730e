import math

import numpy as np
import pytest

from worker.body.agreement import AGREE_STATURE, COMPARED, disagreement
from worker.body.joints import BodyTrack
from worker.body.swing_network import AS_JOINT, SwingPoints


def _sparse() -> BodyTrack:
    xy = np.random.default_rng(4).uniform(100, 900, (4, 33, 2))
    return BodyTrack(np.array([0, 4, 8, 12]), np.arange(4) / 15, xy, np.ones((4, 33)))


def _seen(sparse: BodyTrack, row: int, off_px: float) -> SwingPoints:
    xy = np.full((24, 2), np.nan)
    for joint in COMPARED:
        xy[AS_JOINT[joint]] = sparse.xy[row, joint] + [off_px, 0.0]
    zeros = np.zeros(24)
    return SwingPoints(xy, zeros, zeros, zeros, np.zeros(3), np.zeros(3))


def test_two_networks_that_see_the_same_person_agree() -> None:
    sparse = _sparse()
    looks = {4: _seen(sparse, 1, 12.0), 12: _seen(sparse, 3, 12.0)}
    assert disagreement(sparse, looks, 600.0) == pytest.approx(0.02)


def test_a_network_that_is_lost_is_told() -> None:
    sparse = _sparse()
    looks = {4: _seen(sparse, 1, 60.0), 12: _seen(sparse, 3, 60.0)}
    assert disagreement(sparse, looks, 600.0) > AGREE_STATURE


def test_without_a_common_frame_nothing_is_believed() -> None:
    sparse = _sparse()
    apart = disagreement(sparse, {3: _seen(sparse, 0, 0.0)}, 600.0)
    assert math.isnan(apart)
    assert not apart <= AGREE_STATURE
