import math
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from worker.body.agreement import AGREE_STATURE, COMPARED, disagreement
from worker.body.crops import Crop
from worker.body.detector import PersonDetector
from worker.body.joints import BodyTrack
from worker.body.networks import LandmarkNetwork
from worker.body.square import Square
from worker.body.swing_network import AS_JOINT, SwingNetwork, SwingPoints
from worker.body.tracker import Tracker
from worker.body.weights import Network, WeightsMissing, weights_path
from worker.measure.setting import stature_px
from worker.swing.scan import track_of
from worker.video.frames import iter_frames
from worker.video.probe import probe_clip


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


PHOTOGRAPHS = Path(__file__).resolve().parents[2] / "accuracy" / "photographs" / "four_cameras"


@pytest.mark.slow
@pytest.mark.parametrize("camera", [1, 4])
def test_a_real_man_who_swings_no_club_is_not_believed(camera: int) -> None:
    """Recorded in a laboratory (provenance beside the film): nothing the swing network knows."""
    try:
        weights_path(Network.LITE)
    except WeightsMissing as missing:
        pytest.skip(str(missing))
    path = PHOTOGRAPHS / f"cam{camera}.mp4"
    probe = probe_clip(path)
    pictures = {i: p[:, :, ::-1].copy() for i, p in iter_frames(path, probe)}
    indices = sorted(pictures)[::5]
    tracker = Tracker(LandmarkNetwork(Network.LITE), _golfer(pictures[indices[0]]))
    points = [tracker.step(pictures[index]) for index in indices]
    times = [probe.frame_times_s[index] for index in indices]
    sparse = track_of(indices, times, points)
    stature = stature_px(sparse)
    square = Square.around(sparse, stature)
    network = SwingNetwork()
    looks = {index: network.find(pictures[index], square) for index in indices}
    assert disagreement(sparse, looks, stature) > AGREE_STATURE


def _golfer(picture: NDArray[np.uint8]) -> Crop:
    people = PersonDetector().find(picture)
    return max(people, key=lambda person: person.crop.side).crop
