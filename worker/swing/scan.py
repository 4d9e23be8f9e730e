"""First look at a whole clip at low resolution: light, blur, and a sparse body track.

One pass, one frame in memory at a time. Everything later decides from this where the swings are.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace

import cv2
import numpy as np
from av.video.frame import VideoFrame
from numpy.typing import NDArray

from api.domain.refusals import RefusalCode, refuse
from worker.body.crops import Crop
from worker.body.detector import Person, PersonDetector
from worker.body.joints import BodyTrack
from worker.body.networks import LandmarkNetwork
from worker.body.people import choose_golfer
from worker.body.points import BodyPoints, find_points
from worker.body.tracker import PERSON_MIN, Tracker
from worker.video.frames import to_picture

Picture = NDArray[np.uint8]
OnKept = Callable[[int, float, Picture], None]

SCAN_SIDE = 640
"""Longer side of the scan's pictures. The detector looks at 224 px, a body crop at 256."""
SPARSE_GAP_S = 1.0 / 15.0
"""A downswing lasts about 0.25 s (Grober and Cholewicki 2006): four looks at it are enough to see it."""
DARK_LEVEL = 20.0
"""Of 255. A picture of which nine tenths stay below this holds no edges above sensor noise."""
BLUR_MAX_PX = 8.0
"""Of 640: one sigma of blur at which a forearm (about 35 px) has no two edges left and no shaft can
show. The body network alone would bear more; a clip without a shaft is not worth measuring."""
_BLUR_PROBE_PX = 4.0


def blur_px(gray: Picture) -> float:
    """One sigma of the picture's blur, pixels, from its steepest edges.

    A step of height C blurred by sigma has a greatest second derivative of 0.242 C / sigma^2. The
    picture is smoothed by four pixels first (and they are taken off again), so that sensor noise
    does not pass for sharpness. Where edges cross it reads up to a third low: it refuses late rather
    than early.
    """
    smooth = cv2.GaussianBlur(gray.astype(np.float32), (0, 0), _BLUR_PROBE_PX)
    bends = np.abs(cv2.Laplacian(smooth, cv2.CV_32F))
    low, high = np.percentile(gray, (5, 95))
    steepest = max(float(np.percentile(bends, 99.5)), 1e-6)
    squared = 0.242 * float(high - low) / steepest - _BLUR_PROBE_PX**2
    return float(np.sqrt(max(squared, 0.0)))


class Held:
    """The first look's pictures, taken while the file is probed, so that it is decoded once less.

    ``pictures``: RGB, ``SCAN_SIDE`` long, by frame. Empty when they would need more than ``most_bytes``.
    ``on_kept`` is told of each as it is taken: index, seconds, picture.
    """

    def __init__(self, most_bytes: int, on_kept: OnKept = lambda *_kept: None) -> None:
        self.pictures: dict[int, Picture] = {}
        self._on_kept = on_kept
        self._most_bytes = most_bytes
        self._bytes = 0
        self._due_s = float("-inf")
        self._last: tuple[int, float, VideoFrame, float] | None = None

    def take(self, index: int, time_s: float, frame: VideoFrame, aspect: float) -> None:
        """Keep the frame if ``looks`` would choose it; the last one is kept when all are told."""
        self._last = (index, time_s, frame, aspect)
        if is_due(time_s, self._due_s):
            self._due_s = time_s + SPARSE_GAP_S
            self._keep(index, time_s, frame, aspect)

    def done(self) -> None:
        """All frames were told."""
        if self._last is not None and self._last[0] not in self.pictures:
            self._keep(*self._last)
        self._last = None

    def _keep(self, index: int, time_s: float, frame: VideoFrame, aspect: float) -> None:
        if self._bytes > self._most_bytes:
            return
        picture = to_picture(frame, aspect, SCAN_SIDE, "rgb24")
        self.pictures[index] = picture
        self._bytes += picture.nbytes
        if self._bytes > self._most_bytes:
            self.pictures.clear()
            return
        self._on_kept(index, time_s, picture)


class Scanner:
    """Takes the clip's looked-at frames in order and ends in a sparse track or a refusal."""

    def __init__(self, detector: PersonDetector, network: LandmarkNetwork) -> None:
        self._detector, self._network = detector, network
        self._first = True
        self.golfers: list[Crop | None] = []
        self._follow(None)

    def _follow(self, crop: Crop | None) -> None:
        """Begin anew with the person in this crop."""
        self._begun = crop
        self._tracker = None if crop is None else Tracker(self._network, crop)
        self._frames: list[int] = []
        self._times: list[float] = []
        self._points: list[BodyPoints] = []

    def look_ahead(self, frame: int, time_s: float, rgb: Picture) -> None:
        """Look at a frame before the golfer was sought: whoever is alone in the first will mostly be it."""
        if self._first:
            people = self._detector.find(rgb)
            self._follow(people[0].crop if len(people) == 1 else None)
            self._first = False
        if self._tracker is not None:
            self.add(frame, time_s, rgb)

    def look_for_people(self, pictures: list[Picture]) -> Crop:
        """Find the golfer on a few spread frames; ``golfers`` keeps where, ``None`` where they are not found.

        Raises ``ClipRefused``: too dark or too blurred to read (looked at first, since nobody is
        found in such a clip either), nobody in view, several people.
        """
        refuse_unreadable([_gray(rgb) for rgb in pictures])
        found: list[list[Person]] = [self._detector.find(rgb) for rgb in pictures]
        height, width = pictures[0].shape[:2]
        golfers = choose_golfer(found, width, height)
        self.golfers = [None if person is None else person.crop for person in golfers]
        chosen = [person for person in golfers if person is not None]
        if not chosen:
            raise refuse(RefusalCode.NOBODY_IN_VIEW)
        if self._begun != chosen[0].crop:
            self._follow(chosen[0].crop)
        return chosen[0].crop

    def add(self, frame: int, time_s: float, rgb: Picture) -> None:
        """Look at one frame, unless it was looked at ahead."""
        if self._tracker is None:
            raise RuntimeError("look_for_people comes first")
        if self._frames and frame <= self._frames[-1]:
            return
        self._frames.append(frame)
        self._times.append(time_s)
        self._points.append(self._tracker.step(rgb))

    def finish(self, scale: float) -> BodyTrack:
        """The sparse track, full-size normalised pixels; ``scale``: of them per scan pixel."""
        return track_of(self._frames, self._times, self._points, scale)


def _gray(rgb: Picture) -> Picture:
    return np.asarray(cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY), dtype=np.uint8)


def refuse_unreadable(grays: list[Picture]) -> None:
    """Raise ``ClipRefused`` when most of the pictures are too dark or too blurred to read."""
    if float(np.median([np.percentile(gray, 90) for gray in grays])) < DARK_LEVEL:
        raise refuse(RefusalCode.TOO_DARK)
    if float(np.median([blur_px(gray) for gray in grays])) > BLUR_MAX_PX:
        raise refuse(RefusalCode.TOO_BLURRED)


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


def found_anew(
    network: LandmarkNetwork, looks: Iterable[tuple[int, float, Picture, Crop]], scale: float
) -> BodyTrack | None:
    """A body looked for on each picture by itself: index, seconds, picture and where the person is.

    ``None`` where the network sees nobody on any of them. Following from picture to picture can lose a golfer
    for good; this cannot, but it says nothing of the pictures between.
    """
    found = [(index, time_s, find_points(network, rgb, crop)) for index, time_s, rgb, crop in looks]
    seen = [one for one in found if one[2].person >= PERSON_MIN]
    if not seen:
        return None
    frames, times, points = (list(each) for each in zip(*seen, strict=True))
    return track_of(frames, times, points, scale)


def scaled_crop(crop: Crop, scale: float) -> Crop:
    """The same crop in a picture ``scale`` times larger."""
    return replace(crop, x=crop.x * scale, y=crop.y * scale, side=crop.side * scale)


def looks(times_s: tuple[float, ...], gap_s: float = SPARSE_GAP_S) -> Iterator[int]:
    """Indices of frames about ``gap_s`` apart, first and last included."""
    due = float("-inf")
    for index, time_s in enumerate(times_s):
        if is_due(time_s, due) or index == len(times_s) - 1:
            yield index
            due = time_s + gap_s


def is_due(time_s: float, due_s: float) -> bool:
    """Whether a frame is late enough after the last chosen one."""
    return time_s >= due_s - 1e-6
