"""The swing network's shaft and the picture's own line together."""

import math

import numpy as np
import pytest

from api.domain.measurement import Missing
from tests.worker.club.drawing import HANDS, grain, scenery, with_shaft
from worker.body.swing_network import SwingPoint
from worker.body.swing_track import SwingTrack
from worker.club.background import background_of
from worker.club.shaft import Shaft
from worker.measure.club_reading import shafts_both
from worker.swing.dense import SwingFrames
from worker.swing.steady import Shaken, still

FRAMES = 5
FRAME_S = 1 / 60
TORSO_PX = 170.0
CLUB_PX = 240.0
DRAWN_DEG = 110.0
SHOULDERS = [SwingPoint.LEAD_SHOULDER, SwingPoint.TRAIL_SHOULDER]


def _seen(beside_px: float, turned_deg: float) -> SwingTrack:
    """A network that has the butt end beside the drawn shaft and its direction turned from it."""
    xy = np.tile(np.array(HANDS), (FRAMES, len(SwingPoint), 1))
    xy[:, SHOULDERS] -= (0.0, TORSO_PX)
    across = math.radians(DRAWN_DEG + 90.0)
    butt = np.array(HANDS) + beside_px * np.array([math.cos(across), -math.sin(across)])
    turn = math.radians(DRAWN_DEG + turned_deg)
    xy[:, SwingPoint.BUTT] = butt
    xy[:, SwingPoint.HOSEL] = butt + CLUB_PX * np.array([math.cos(turn), -math.sin(turn)])
    return SwingTrack(
        frames=np.arange(FRAMES),
        times_s=np.arange(FRAMES, dtype=np.float64) * FRAME_S,
        xy=xy,
        sigma_px=np.full((FRAMES, len(SwingPoint)), 5.0),
        depth_m=np.zeros((FRAMES, len(SwingPoint))),
        depth_sigma_m=np.ones((FRAMES, len(SwingPoint))),
        camera_deg=np.zeros((FRAMES, 3)),
        camera_sigma_deg=np.ones((FRAMES, 3)),
    )


def _found(beside_px: float, turned_deg: float) -> list[Shaft | Missing]:
    back = scenery()
    elsewhere = [with_shaft(back, angle) for angle in (200, 230, 260, 290, 320)]
    background = background_of([grain(picture, 50 + k) for k, picture in enumerate(elsewhere)])
    grays = {
        k: Shaken(grain(with_shaft(back, DRAWN_DEG, offset=0.0), 7 + k), still())
        for k in range(FRAMES)
    }
    points = _seen(beside_px, turned_deg)
    frames = SwingFrames(points.as_body(), grays, {}, dict.fromkeys(range(FRAMES), still()), points)
    found = shafts_both(frames, points, background, 2 * FRAME_S, CLUB_PX)
    return [found[k] for k in range(FRAMES)]


@pytest.mark.parametrize(("beside_px", "turned_deg"), [(3.0, 2.0), (-45.0, 9.0), (50.0, -10.0)])
def test_the_pictures_line_is_the_shaft_also_where_the_network_has_the_hands_beside_it(
    beside_px: float, turned_deg: float
) -> None:
    for shaft in _found(beside_px, turned_deg):
        assert isinstance(shaft, Shaft)
        assert shaft.direction_deg == pytest.approx(DRAWN_DEG, abs=0.5)
        assert shaft.butt is not None
        off = np.array(shaft.butt) - np.array(HANDS)
        turn = math.radians(DRAWN_DEG)
        assert abs(off @ np.array([math.sin(turn), math.cos(turn)])) < 3.0


def test_a_line_in_another_direction_is_not_taken_for_the_shaft() -> None:
    for shaft in _found(30.0, 25.0):
        assert isinstance(shaft, Shaft)
        assert shaft.direction_deg == pytest.approx(DRAWN_DEG + 25.0)
