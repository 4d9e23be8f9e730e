"""Take the camera's own shake out: every frame's move against the first one.

Phones on sticks and bags sway by a few pixels. Corners of the scenery, followed from the first
frame, give each frame's shift and turn; where there is nothing to follow the frame stays as it is.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from worker.body.crops import Crop
from worker.club.background import Gray
from worker.club.regions import Region

Array = NDArray[np.float64]

_HALF = 0.5
_CORNERS = 160
_FEW = 8
"""Corners that must agree before a frame is moved."""
_AGREE_PX = 0.7
_CLEAR, _ENOUGH = 0.7, 1.0 / 3.0
"""Shares of the corners that must agree when a frame is looked for near the one before (cameras sway by less
than a corner's window from frame to frame), and when it is looked for from farther away."""
_BODY_WIDE, _BODY_HIGH = 0.30, 0.48
"""Half-width and half-height of the golfer's body, shares of the crop's side."""
_SHIFT_MAX = 0.05
"""Of the picture's longer side: more is not shake but a moved phone, or a wrong match."""


def still() -> Array:
    """The transform that moves nothing, 2 x 3."""
    return np.array([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])


def move(matrix: Array, points: Array) -> Array:
    """Apply a 2 x 3 transform to points (..., 2)."""
    return np.asarray(points @ matrix[:, :2].T + matrix[:, 2])


def inverse(matrix: Array) -> Array:
    """The transform that undoes ``matrix``."""
    return np.asarray(cv2.invertAffineTransform(matrix), dtype=np.float64)


@dataclass(frozen=True, slots=True)
class Shaken:
    """A gray picture as it was filmed; ``matrix`` (2 x 3) takes its pixels into the first frame's place.

    It is moved when it is looked at, and only where: to move a whole 1080p picture takes a third of the
    time that the swing network takes for it, and most pictures are kept for the ball's place alone.
    """

    gray: Gray
    matrix: Array

    @property
    def whole(self) -> Region:
        """All of the picture."""
        height, width = self.gray.shape
        return Region(0, 0, width, height)

    def steadied(self, part: Region | None = None) -> Gray:
        """The picture, or a part of it, moved into the first frame's place; no part, no pixels."""
        part = part or self.whole
        size = (max(0, part.right - part.left), max(0, part.bottom - part.top))
        if 0 in size:
            return np.empty(size[::-1], dtype=np.uint8)
        matrix = self.matrix.copy()
        matrix[:, 2] -= part.left, part.top
        moved = cv2.warpAffine(self.gray, matrix, size, borderMode=cv2.BORDER_REPLICATE)
        return np.asarray(moved, dtype=np.uint8)


class Steadier:
    """Aligns frames with the first one given. Transforms map frame pixels to first-frame pixels."""

    def __init__(self) -> None:
        self._reference: Gray | None = None
        self._corners = np.empty((0, 1, 2), dtype=np.float32)
        self._guess = still()

    def align(self, gray: Gray, crop: Crop) -> Array:
        """Transform (2 x 3) of one frame; ``crop`` is where the golfer is."""
        small = np.asarray(
            cv2.resize(gray, None, fx=_HALF, fy=_HALF, interpolation=cv2.INTER_AREA), dtype=np.uint8
        )
        if self._reference is None:
            self._begin(small, crop)
            return still()
        found = self._match(small)
        if found is not None:
            self._guess = found
        # Half-size pixel p is full-size 2 p + 1/2: only the shift changes.
        matrix = self._guess.copy()
        centre = np.array([0.5, 0.5])
        matrix[:, 2] = matrix[:, 2] / _HALF + centre - matrix[:, :2] @ centre
        return matrix

    def _begin(self, small: Gray, crop: Crop) -> None:
        self._reference = small
        mask = np.full(small.shape, 255, dtype=np.uint8)
        left, right = (round(_HALF * (crop.x + s * _BODY_WIDE * crop.side)) for s in (-1, 1))
        top, bottom = (round(_HALF * (crop.y + s * _BODY_HIGH * crop.side)) for s in (-1, 1))
        mask[max(0, top) : max(0, bottom), max(0, left) : max(0, right)] = 0
        corners = cv2.goodFeaturesToTrack(small, _CORNERS, 0.01, 8, mask=mask)
        if corners is not None:
            self._corners = np.asarray(corners, dtype=np.float32)

    def _match(self, small: Gray) -> Array | None:
        """The move of a frame, looked for near the one before; from afar where that is not clear."""
        if self._reference is None or len(self._corners) < _FEW:
            return None
        for levels, share in ((0, _CLEAR), (2, _ENOUGH)):
            found = self._followed(self._reference, small, levels, share)
            if found is not None:
                return found
        return None

    def _followed(self, reference: Gray, small: Gray, levels: int, share: float) -> Array | None:
        """The move that at least this share of the corners agree on; each ``levels`` doubles the reach."""
        start = move(inverse(self._guess), self._corners.astype(np.float64)).astype(np.float32)
        ends, status, _ = cv2.calcOpticalFlowPyrLK(
            reference,
            small,
            self._corners,
            start.copy(),
            winSize=(15, 15),
            maxLevel=levels,
            flags=cv2.OPTFLOW_USE_INITIAL_FLOW,
        )
        kept = np.asarray(status).ravel() == 1
        if kept.sum() < _FEW:
            return None
        matrix, inliers = cv2.estimateAffinePartial2D(
            ends[kept], self._corners[kept], method=cv2.RANSAC, ransacReprojThreshold=_AGREE_PX
        )
        agreeing = 0 if matrix is None else int(np.asarray(inliers).sum())
        if agreeing < max(_FEW, share * kept.sum()):
            return None
        far = np.abs(matrix[:, 2]).max() > _SHIFT_MAX * max(small.shape)
        return None if far else np.asarray(matrix, dtype=np.float64)
