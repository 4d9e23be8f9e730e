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
    out = xy.copy()
    cell = LANDMARK_SIDE / HEATMAP_SIDE
    reach = window // 2
    for index in range(len(xy)):
        column, row = int(xy[index, 0] / cell), int(xy[index, 1] / cell)
        if not (0 <= column < HEATMAP_SIDE and 0 <= row < HEATMAP_SIDE):
            continue
        left, top = max(0, column - reach), max(0, row - reach)
        patch = sigmoid(
            heatmaps[top : row + reach + 1, left : column + reach + 1, index].astype(np.float64)
        )
        if patch.max() < _PEAK_MIN:
            continue
        rows, columns = np.mgrid[top : top + patch.shape[0], left : left + patch.shape[1]]
        total = patch.sum()
        out[index] = (
            float((columns * patch).sum() / total) * cell,
            float((rows * patch).sum() / total) * cell,
        )
    return out


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
