"""Body points of one person in one picture, with the heatmap refinement."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from worker.body.crops import Crop
from worker.body.networks import HEATMAP_SIDE, LANDMARK_SIDE, LandmarkNetwork, sigmoid

BODY_POINTS = 33
_WINDOW = 7
_PEAK_MIN = 0.5
"""Window and least peak of the published refinement step of this network."""


@dataclass(frozen=True, slots=True)
class BodyPoints:
    """33 body points in picture pixels (centre of the first pixel is 0, 0).

    ``xy`` (33, 2); ``z`` (33,) in pixels, negative nearer the camera than the mid-hip (rough);
    ``seen`` (33,) in [0, 1]; ``person`` in [0, 1]; ``next_crop`` where to look in the next frame.
    """

    xy: NDArray[np.float64]
    z: NDArray[np.float64]
    seen: NDArray[np.float64]
    person: float
    next_crop: Crop


def refine(
    xy: NDArray[np.float64], heatmaps: NDArray[np.float32], *, window: int = _WINDOW
) -> NDArray[np.float64]:
    """Move points (n, 2), crop pixels, to the centre of mass of their heatmap's peak nearby.

    Points whose heatmap has no value of at least 0.5 in the window stay where they are.
    """
    cell = LANDMARK_SIDE / HEATMAP_SIDE
    reach = window // 2
    columns, rows = (xy / cell).astype(np.int64).T
    inside = (columns >= 0) & (columns < HEATMAP_SIDE) & (rows >= 0) & (rows < HEATMAP_SIDE)
    steps = np.arange(-reach, reach + 1)
    at_x, at_y = columns[:, np.newaxis] + steps, rows[:, np.newaxis] + steps
    on_x, on_y = (at_x >= 0) & (at_x < HEATMAP_SIDE), (at_y >= 0) & (at_y < HEATMAP_SIDE)
    last = HEATMAP_SIDE - 1
    patch = heatmaps[
        np.clip(at_y, 0, last)[:, :, np.newaxis],
        np.clip(at_x, 0, last)[:, np.newaxis, :],
        np.arange(len(xy))[:, np.newaxis, np.newaxis],
    ]
    weight = sigmoid(patch) * on_y[:, :, np.newaxis] * on_x[:, np.newaxis, :]
    good = inside & (weight.max(axis=(1, 2)) >= _PEAK_MIN)
    by_x, by_y = weight.sum(axis=1), weight.sum(axis=2)
    total = np.where(good, weight.sum(axis=(1, 2)), 1.0)
    middle = np.stack([(at_x * by_x).sum(axis=1), (at_y * by_y).sum(axis=1)], axis=1)
    return np.where(good[:, np.newaxis], middle / total[:, np.newaxis] * cell, xy)


# Index in the mirrored output that holds each point of the unmirrored body.
_SWAP = np.array(
    [0, 4, 5, 6, 1, 2, 3, 8, 7, 10, 9]
    + [value for pair in range(11, 33, 2) for value in (pair + 1, pair)]
)


def find_points(network: LandmarkNetwork, rgb: NDArray[np.uint8], crop: Crop) -> BodyPoints:
    """Body points in ``crop`` of a picture; a mirrored crop gives the same names back."""
    raw = network.run(crop.cut(rgb))
    xy = raw.xyz[:, :2].copy()
    xy[:BODY_POINTS] = refine(xy[:BODY_POINTS], raw.heatmaps)
    picture = crop.to_picture(xy)
    # Crops count from the picture's edge, points from the first pixel's centre.
    body, z, seen = picture[:BODY_POINTS] - 0.5, raw.xyz[:BODY_POINTS, 2], raw.seen[:BODY_POINTS]
    if crop.mirrored:
        body, z, seen = body[_SWAP], z[_SWAP], seen[_SWAP]
    following = Crop.around(picture[BODY_POINTS], picture[BODY_POINTS + 1])
    scale = crop.side / LANDMARK_SIDE
    return BodyPoints(body, z * scale, seen, raw.person, following)
