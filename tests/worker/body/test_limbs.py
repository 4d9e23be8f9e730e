"""Limbs of one length: depth gives way, what is sure stays, and nothing is made up."""

import numpy as np
from numpy.typing import NDArray

from worker.body.limbs import BODY, with_constant_limbs
from worker.body.swing_network import SwingPoint
from worker.body.swing_track import SwingTrack

Array = NDArray[np.float64]

FOCAL_PX, DISTANCE_M, MIDDLE = 1000.0, 4.0, (359.5, 639.5)
FRAMES, POINTS = 60, len(SwingPoint)
ACROSS_PX, DEPTH_M = 0.7, 0.04
RATE = 60.0


def true_places() -> Array:
    """(n, 24, 3) metres, lens frame: a body that stands while its limbs swing about their joints."""
    rng = np.random.default_rng(4)
    places = np.tile(rng.normal((0.0, 0.0, DISTANCE_M), 0.3, (POINTS, 3)), (FRAMES, 1, 1))
    turn = np.linspace(0.0, 1.5, FRAMES)
    hips = (SwingPoint.LEAD_HIP, SwingPoint.TRAIL_HIP)
    for root, end in sorted(BODY, key=lambda pair: pair != hips):  # from the pelvis outwards
        way = (places[0, end] - places[0, root]).copy()
        turned = np.stack(
            [
                way[0] * np.cos(turn) - way[2] * np.sin(turn),
                np.full(FRAMES, way[1]),
                way[0] * np.sin(turn) + way[2] * np.cos(turn),
            ],
            axis=1,
        )
        places[:, end] = places[:, root] + turned
    gap = np.array([0.05, 0.02, 0.06])
    places[:, SwingPoint.TRAIL_WRIST] = places[:, SwingPoint.LEAD_WRIST] + gap
    places[:, SwingPoint.TRAIL_ELBOW] = places[:, SwingPoint.TRAIL_WRIST] - 0.25 / np.sqrt(3.0)
    places[:, SwingPoint.TRAIL_SHOULDER] = places[:, SwingPoint.TRAIL_ELBOW] - 0.3 / np.sqrt(3.0)
    return places


def seen(places: Array, seed: int) -> SwingTrack:
    rng = np.random.default_rng(seed)
    z = places[..., 2]
    xy = places[..., :2] * (FOCAL_PX / z)[..., None] + np.array(MIDDLE)
    shape = (FRAMES, POINTS)
    return SwingTrack(
        frames=np.arange(FRAMES),
        times_s=np.arange(FRAMES) / RATE,
        xy=xy + rng.normal(0.0, ACROSS_PX, xy.shape),
        sigma_px=np.full(shape, ACROSS_PX),
        depth_m=z - DISTANCE_M + rng.normal(0.0, DEPTH_M, shape),
        depth_sigma_m=np.full(shape, DEPTH_M),
        camera_deg=np.zeros((FRAMES, 3)),
        camera_sigma_deg=np.ones((FRAMES, 3)),
    )


def settled(track: SwingTrack, until_s: float = 10.0) -> SwingTrack:
    return with_constant_limbs(track, MIDDLE, FOCAL_PX, DISTANCE_M, until_s)


def length_m(track: SwingTrack, pair: tuple[SwingPoint, SwingPoint]) -> Array:
    z = DISTANCE_M + track.depth_m
    across = (track.xy - np.array(MIDDLE)) * (z / FOCAL_PX)[..., None]
    places = np.concatenate([across, z[..., None]], axis=2)
    return np.asarray(np.linalg.norm(places[:, pair[1]] - places[:, pair[0]], axis=1))


def test_limbs_are_as_long_in_every_frame() -> None:
    track = seen(true_places(), 1)
    for pair in BODY:
        assert np.std(length_m(settled(track), pair)) < 0.6 * np.std(length_m(track, pair))


def test_places_come_nearer_to_where_they_are_and_the_picture_hardly_moves() -> None:
    places = true_places()
    elbow = SwingPoint.LEAD_ELBOW
    before, after = [], []
    for seed in range(10):
        track = seen(places, seed)
        depth = places[:, elbow, 2] - DISTANCE_M
        before.append(np.abs(track.depth_m[:, elbow] - depth).mean())
        after.append(np.abs(settled(track).depth_m[:, elbow] - depth).mean())
        assert np.abs(settled(track).xy - track.xy).max() < 3.0 * ACROSS_PX

    assert np.mean(after) < 0.92 * np.mean(before)


def test_what_agrees_already_stays() -> None:
    places = true_places()
    z = places[..., 2]
    track = seen(places, 1)
    exact = SwingTrack(
        track.frames,
        track.times_s,
        places[..., :2] * (FOCAL_PX / z)[..., None] + np.array(MIDDLE),
        track.sigma_px,
        z - DISTANCE_M,
        track.depth_sigma_m,
        track.camera_deg,
        track.camera_sigma_deg,
    )

    assert np.allclose(settled(exact).xy, exact.xy, atol=1e-6)
    assert np.allclose(settled(exact).depth_m, exact.depth_m, atol=1e-6)


def test_hands_may_come_apart_after_impact() -> None:
    places = true_places()
    places[40:, SwingPoint.TRAIL_WRIST, 0] += 0.2
    hands = (SwingPoint.LEAD_WRIST, SwingPoint.TRAIL_WRIST)
    let_go = settled(seen(places, 2), until_s=39.0 / RATE)

    assert np.median(length_m(let_go, hands)[40:]) > 0.15


def test_a_point_that_is_sure_does_not_give_way_to_one_that_is_not() -> None:
    track = seen(true_places(), 3)
    sure, unsure = SwingPoint.LEAD_HIP, SwingPoint.LEAD_KNEE
    track.depth_sigma_m[:, sure] = 1e-4
    track.sigma_px[:, sure] = 1e-3
    after = settled(track)

    moved = np.abs(after.depth_m - track.depth_m).mean(axis=0)
    assert moved[sure] < 0.02 * moved[unsure]
