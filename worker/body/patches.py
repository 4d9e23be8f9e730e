"""Small copies of the golfer, kept so that a frame can be looked at again without decoding."""

from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from worker.body.crops import Crop
from worker.body.networks import LandmarkNetwork
from worker.body.points import find_points
from worker.body.tracker import repeat_points

PATCH_SIDE = 448
PATCH_REACH = 1.5
"""A patch covers this many crop sides, so that a crop can be turned and moved inside it."""


@dataclass(frozen=True, slots=True)
class Patch:
    """A square copy of the golfer: ``picture`` (448, 448, 3) RGB, and the crop inside it.

    ``left``, ``top`` and ``scale`` (patch pixels per picture pixel) lead back to the picture.
    """

    picture: NDArray[np.uint8]
    crop: Crop
    left: float
    top: float
    scale: float

    @classmethod
    def cut(cls, rgb: NDArray[np.uint8], crop: Crop) -> "Patch":
        """Copy the surroundings of ``crop`` out of a picture; black outside it."""
        reach = PATCH_REACH * crop.side / 2
        scale = PATCH_SIDE / (2 * reach)
        left, top = crop.x - reach, crop.y - reach
        matrix = np.array([[scale, 0.0, -left * scale], [0.0, scale, -top * scale]])
        # Crops count from edges, warpAffine from pixel centres.
        matrix[:, 2] += 0.5 * scale - 0.5
        picture = cv2.warpAffine(rgb, matrix, (PATCH_SIDE, PATCH_SIDE), flags=cv2.INTER_AREA)
        inside = replace(
            crop, x=(crop.x - left) * scale, y=(crop.y - top) * scale, side=crop.side * scale
        )
        return cls(np.asarray(picture, dtype=np.uint8), inside, left, top, scale)

    def _back(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        corner = np.array([self.left, self.top])
        return np.asarray((points + 0.5) / self.scale + corner - 0.5)

    def points(self, network: LandmarkNetwork) -> NDArray[np.float64]:
        """Mean of the plain and the mirrored look, (33, 2) picture pixels."""
        runs = [
            find_points(network, self.picture, replace(self.crop, mirrored=mirrored)).xy
            for mirrored in (False, True)
        ]
        return self._back(np.asarray((runs[0] + runs[1]) / 2.0))

    def repeated(self, network: LandmarkNetwork) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Mean of six looks (33, 2) and one sigma of it (33,), picture pixels."""
        mean, sigma = repeat_points(network, self.picture, self.crop)
        return self._back(mean), np.asarray(sigma / self.scale)
