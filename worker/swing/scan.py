"""First look at a whole clip at low resolution: light, sharpness, and a sparse body track.

One pass, one frame in memory at a time. Everything later decides from this where the swings are.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from api.domain.refusals import RefusalCode, refuse
from worker.body.crops import Crop
from worker.body.detector import Person, PersonDetector
from worker.body.joints import BodyTrack
from worker.body.networks import LandmarkNetwork
from worker.body.people import choose_golfer
from worker.body.points import BodyPoints
from worker.body.tracker import Tracker

Picture = NDArray[np.uint8]

SCAN_SIDE = 640
"""Longer side of the scan's pictures. The detector looks at 224 px, a body crop at 256."""
SPARSE_GAP_S = 1.0 / 15.0
"""A downswing lasts about 0.25 s (domain-detail row 10): four looks at it are enough to see it."""
DARK_LEVEL = 20.0
"""Of 255. A picture whose brightest tenth stays below this holds no edges above sensor noise."""
SHARP_SHARE_MIN = 0.02
"""Least share of edge energy that must live at the finest scale (see ``sharpness``)."""


@dataclass(frozen=True, slots=True)
class Scan:
    """What the first look found. Positions are in full-size normalised pixels.

    ``light`` is the brightness (0-255) below which nine tenths of the picture lie, median over
    frames; ``sharpness`` the median of ``sharpness()`` over looked-at frames.
    """

    track: BodyTrack
    light: float
    sharpness: float


def sharpness(gray: Picture) -> float:
    """Edge energy left at the finest scale, as a share of the edge energy one octave coarser.

    0 for a wholly blurred picture; a sharp one has 0.1 or more. Scale-free, so it does not
    depend on what the picture shows as long as it shows something.
    """
    fine = cv2.Laplacian(gray, cv2.CV_32F)
    half = cv2.resize(gray, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
    coarse = cv2.Laplacian(half, cv2.CV_32F)
    return float(fine.var() / (coarse.var() + 1e-6))


class Scanner:
    """Takes the clip's looked-at frames in order and ends in a ``Scan`` or a refusal."""

    def __init__(self, detector: PersonDetector, network: LandmarkNetwork, scale: float) -> None:
        """``scale`` is full-size pixels per scan pixel."""
        self._detector, self._network, self._scale = detector, network, scale
        self._frames: list[int] = []
        self._times: list[float] = []
        self._points: list[BodyPoints] = []
        self._light: list[float] = []
        self._sharp: list[float] = []
        self._tracker: Tracker | None = None

    def look_for_people(self, pictures: list[Picture]) -> Crop:
        """Find the golfer on a few spread frames; refuse when there is nobody, or a crowd."""
        found: list[list[Person]] = [self._detector.find(rgb) for rgb in pictures]
        height, width = pictures[0].shape[:2]
        chosen = [person for person in choose_golfer(found, width, height) if person is not None]
        if not chosen:
            raise refuse(RefusalCode.NOBODY_IN_VIEW)
        self._tracker = Tracker(self._network, chosen[0].crop)
        return chosen[0].crop

    def add(self, frame: int, time_s: float, rgb: Picture) -> None:
        """Look at one frame."""
        if self._tracker is None:
            raise RuntimeError("look_for_people comes first")
        gray = np.asarray(cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY), dtype=np.uint8)
        self._light.append(float(np.percentile(gray, 90)))
        self._sharp.append(sharpness(gray))
        self._frames.append(frame)
        self._times.append(time_s)
        self._points.append(self._tracker.step(rgb))

    def finish(self) -> Scan:
        """Put the looks together. Raises ``ClipRefused`` when too dark or too blurred to read."""
        light, sharp = float(np.median(self._light)), float(np.median(self._sharp))
        if light < DARK_LEVEL:
            raise refuse(RefusalCode.TOO_DARK)
        if sharp < SHARP_SHARE_MIN:
            raise refuse(RefusalCode.TOO_BLURRED)
        track = track_of(self._frames, self._times, self._points, self._scale)
        return Scan(track=track, light=light, sharpness=sharp)


def track_of(
    frames: list[int], times: list[float], points: list[BodyPoints], scale: float = 1.0
) -> BodyTrack:
    """Stack per-frame points into a track; ``scale`` takes their pixels to full size."""
    return BodyTrack(
        frames=np.array(frames, dtype=np.int64),
        times_s=np.array(times, dtype=np.float64),
        # Pixel centres lie at integers, so a picture k times larger maps p to k (p + 1/2) - 1/2.
        xy=np.stack([(p.xy + 0.5) * scale - 0.5 for p in points]),
        seen=np.stack([p.seen for p in points]),
    )


def scaled_crop(crop: Crop, scale: float) -> Crop:
    """The same crop in a picture ``scale`` times larger."""
    return replace(crop, x=crop.x * scale, y=crop.y * scale, side=crop.side * scale)


def looks(times_s: tuple[float, ...], gap_s: float = SPARSE_GAP_S) -> Iterator[int]:
    """Indices of frames about ``gap_s`` apart, first and last included."""
    due = float("-inf")
    for index, time_s in enumerate(times_s):
        if time_s >= due - 1e-6 or index == len(times_s) - 1:
            yield index
            due = time_s + gap_s
