"""Body points on single pictures the way the pipeline gets them, and the same picture changed."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from tests.accuracy.footage import CHECKED_JOINTS
from worker.body.crops import Crop
from worker.body.detector import Person, PersonDetector
from worker.body.joints import Joint
from worker.body.networks import LandmarkNetwork
from worker.body.points import find_points
from worker.body.tracker import repeat_points
from worker.body.weights import Network

Array = NDArray[np.float64]
Picture = NDArray[np.uint8]


@dataclass(frozen=True, slots=True)
class Look:
    """33 body points (33, 2), pixels, and the one sigma of repeating that is stated (33,)."""

    points: Array
    repeat_sigma: Array
    score: float


class Looker:
    """Finds the largest person and their points: detector, crop, six looks by the best network."""

    def __init__(self) -> None:
        self._detector = PersonDetector()
        self._network = LandmarkNetwork(Network.HEAVY)

    def people(self, rgb: Picture, *, score_min: float | None = None) -> list[Person]:
        """People in a picture, best first; by default those the pipeline would count."""
        if score_min is None:
            return self._detector.find(rgb)
        return self._detector.find(rgb, score_min=score_min)

    def look(self, rgb: Picture) -> Look | None:
        """Points of the largest person found; ``None`` where nobody is."""
        found = self.people(rgb)
        if not found:
            return None
        person = max(found, key=lambda p: p.crop.side)
        # The detector's circle is rough; what the landmarks say is where a tracked crop would be.
        crop: Crop = find_points(self._network, rgb, person.crop).next_crop
        points, sigma = repeat_points(self._network, rgb, crop)
        return Look(points, sigma, person.score)


@dataclass(frozen=True, slots=True)
class Variant:
    """The same picture changed. ``back`` takes points of the changed one (33, 2) to the original."""

    name: str
    change: Callable[[Picture], Picture]
    back: Callable[[Array, Picture], Array]


_OTHER_SIDE = np.array(
    [0, 4, 5, 6, 1, 2, 3, 8, 7, 10, 9] + [k for p in range(11, 33, 2) for k in (p + 1, p)]
)
"""Index of the same point on the body's other side."""
_SMALLER, _SHIFT, _TURN_DEG = 0.7, (23, 14), 5.0
APART = 0.04
"""Of stature: joints of a pair nearer than this in the picture cannot be told apart by place."""
_COARSE_JPEG, _DARKER, _SOFTER_PX = 25, 0.45, 1.5


def _same(points: Array, rgb: Picture) -> Array:
    return points


def _mirror_back(points: Array, rgb: Picture) -> Array:
    back = np.array(points[_OTHER_SIDE])
    back[:, 0] = rgb.shape[1] - 1 - back[:, 0]
    return back


def _shifted(rgb: Picture) -> Picture:
    x, y = _SHIFT
    edged = cv2.copyMakeBorder(rgb, y, 0, x, 0, cv2.BORDER_REPLICATE)
    return np.asarray(edged[: rgb.shape[0], : rgb.shape[1]], dtype=np.uint8)


def _smaller(rgb: Picture) -> Picture:
    small = cv2.resize(rgb, None, fx=_SMALLER, fy=_SMALLER, interpolation=cv2.INTER_AREA)
    return np.asarray(small, dtype=np.uint8)


def _smaller_back(points: Array, rgb: Picture) -> Array:
    small = _smaller(rgb)
    scale = np.array([rgb.shape[1] / small.shape[1], rgb.shape[0] / small.shape[0]])
    return np.asarray((points + 0.5) * scale - 0.5)


def _turning(rgb: Picture) -> Array:
    centre = ((rgb.shape[1] - 1) / 2.0, (rgb.shape[0] - 1) / 2.0)
    return np.asarray(cv2.getRotationMatrix2D(centre, _TURN_DEG, 1.0), dtype=np.float64)


def _turned(rgb: Picture) -> Picture:
    size = (rgb.shape[1], rgb.shape[0])
    turned = cv2.warpAffine(rgb, _turning(rgb), size, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(turned, dtype=np.uint8)


def _turned_back(points: Array, rgb: Picture) -> Array:
    inverse = cv2.invertAffineTransform(_turning(rgb))
    return np.asarray(points @ inverse[:, :2].T + inverse[:, 2])


def _coarse(rgb: Picture) -> Picture:
    data = cv2.imencode(".jpg", rgb, [cv2.IMWRITE_JPEG_QUALITY, _COARSE_JPEG])[1]
    found = cv2.imdecode(data, cv2.IMREAD_COLOR)
    if found is None:
        raise ValueError("a picture just written as JPEG could not be read back")
    return np.asarray(found, dtype=np.uint8)


VARIANTS = (
    Variant("mirrored", lambda rgb: np.ascontiguousarray(rgb[:, ::-1]), _mirror_back),
    Variant("moved by 23, 14 px", _shifted, lambda points, _: points - np.array(_SHIFT)),
    Variant("0.7 times the size", _smaller, _smaller_back),
    Variant("turned by 5 degrees", _turned, _turned_back),
    Variant("JPEG quality 25", _coarse, _same),
    Variant("darker (0.45)", lambda rgb: (rgb * _DARKER).astype(np.uint8), _same),
    Variant(
        "softer (1.5 px)",
        lambda rgb: np.asarray(cv2.GaussianBlur(rgb, (0, 0), _SOFTER_PX), dtype=np.uint8),
        _same,
    ),
)


@dataclass(frozen=True, slots=True)
class Varied:
    """One way of changing a picture, over ``n`` points: one sigma of a point by what it moved,
    root mean square of the sigma stated, both shares of stature (not a number of no points); pairs of
    joints swapped; and in how many of the pictures nobody was found."""

    name: str
    n: int
    sigma: float
    stated: float
    swapped: int
    lost: int = 0


def varied(pictures: Sequence[Picture], stature_px: float) -> list[Varied]:
    """Each variant over some pictures of one person. One in which nobody is found, unchanged or
    changed, has no points that could move: it is counted as lost."""
    looker = Looker()
    plain = [(rgb, look) for rgb in pictures if (look := looker.look(rgb)) is not None]
    return [_vary(looker, variant, plain, len(pictures), stature_px) for variant in VARIANTS]


def _vary(
    looker: Looker,
    variant: Variant,
    plain: Sequence[tuple[Picture, Look]],
    pictures: int,
    stature_px: float,
) -> Varied:
    joints = list(CHECKED_JOINTS)
    moved, sigmas, swapped = [], [], 0
    for rgb, first in plain:
        other = looker.look(variant.change(rgb))
        if other is None:
            continue
        back = variant.back(other.points, rgb)
        moved.append((back - first.points)[joints])
        sigmas.append(first.repeat_sigma[joints])
        swapped += _swapped(first.points, back, APART * stature_px)
    if not moved:
        return Varied(variant.name, 0, math.nan, math.nan, 0, pictures)
    gone, stated = np.stack(moved) / stature_px, np.stack(sigmas) / stature_px
    return Varied(
        name=variant.name,
        lost=pictures - len(moved),
        n=gone.shape[0] * gone.shape[1],
        # Both looks err: what lies between them has twice the variance of one.
        sigma=float(np.sqrt((gone**2).mean() / 2.0)),
        stated=float(np.sqrt((stated**2).mean())),
        swapped=swapped,
    )


def _swapped(first: Array, second: Array, apart_px: float) -> int:
    """Pairs of joints at least ``apart_px`` apart whose second look lies nearer the other side's."""
    count = 0
    for lead in CHECKED_JOINTS[::2]:
        trail = Joint(lead + 1)
        if np.linalg.norm(first[lead] - first[trail]) < apart_px:
            continue
        pair = [lead, trail]
        own = np.linalg.norm(second[pair] - first[pair], axis=1).sum()
        crossed = np.linalg.norm(second[pair] - first[pair[::-1]], axis=1).sum()
        count += bool(crossed < own)
    return count
