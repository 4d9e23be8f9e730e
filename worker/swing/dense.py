"""Second look: every frame that matters in one swing, tracked at full size, with what is kept."""

from collections import deque
from collections.abc import Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from worker.body.crops import Crop
from worker.body.joints import BodyTrack
from worker.body.networks import LandmarkNetwork
from worker.body.patches import Patch
from worker.body.points import BodyPoints
from worker.body.square import Square
from worker.body.swing_network import SwingNetwork, SwingPoints
from worker.body.swing_track import SwingTrack
from worker.body.tracker import Tracker
from worker.swing.cycles import RoughSwing
from worker.swing.scan import track_of
from worker.swing.steady import Shaken, Steadier, move
from worker.video.shown import Shown

DENSE_SIDE = 1920
"""Longer side of the pictures worked on: 4K is halved, which the networks and a 3 px shaft bear."""
BEFORE_S = 0.8
AFTER_IMPACT_S = 1.4
AFTER_TOP_S = 0.8
HELD_MAX_S = 5.0
"""Longest that a position without a downswing is followed after its top: drills ask for two or three seconds."""
DOWN_GAP_S = 1.0 / 120.0
BACK_GAP_S = 1.0 / 80.0
"""The way back takes three times as long as the way down (tempo), and nothing in it is as fast."""
COARSE_GAP_S = 1.0 / 30.0
THIN_GAP_S = 0.05
"""Between pictures kept of the whole path."""
FINE_BEFORE_S, FINE_AFTER_S = 0.25, 0.2
"""Before the start and after impact."""
NEAR_TOP_S = 0.15
"""Before the first look's top: two looks of it."""
FINE_MAX = 320
"""Most frames tracked finely in one swing; a long pause is thinned out instead."""
IMPACT_REACH_S = 0.18
"""All frames this near the sparse look's impact are kept: two looks and a little."""
AHEAD = 4
"""Most pictures that wait for the swing network: no more are held in memory."""
ARM_WINDOW_S = (-0.30, 0.35)
"""Around the hands coming up: where lead arm parallel must lie, and the shaft is looked for."""


@dataclass(frozen=True, slots=True)
class FramePlan:
    """Which frames of one swing to look at, and which to keep pictures of. Sets of indices."""

    track: frozenset[int]
    keep_gray: frozenset[int]
    keep_patch: frozenset[int]
    first_s: float
    last_s: float


def plan_frames(rough: RoughSwing, times_s: tuple[float, ...]) -> FramePlan:
    """Choose frames: fine from the start to just past impact, coarse before and after.

    How far before and after goes by how slowly the swing plays: a file slowed four times shows the same second
    in four.
    """
    times = np.array(times_s)
    slowed = rough.slowed
    first, last = rough.start_s - BEFORE_S * slowed, _end(rough)
    fine_end = (rough.impact_s or rough.top_s) + FINE_AFTER_S * slowed
    fine_from = rough.start_s - FINE_BEFORE_S * slowed
    thin = (fine_end - fine_from) / FINE_MAX
    arm = tuple(rough.raised_s + aside * slowed for aside in ARM_WINDOW_S)
    stretches = (
        (first, last, COARSE_GAP_S * slowed),
        (fine_from, fine_end, max(BACK_GAP_S, thin)),
        (rough.top_s - NEAR_TOP_S, fine_end, max(DOWN_GAP_S, thin)),
        (arm[0], arm[1], max(BACK_GAP_S, thin)),
    )
    track = _chosen(times, stretches)
    at_arm = frozenset(i for i in track if arm[0] <= times[i] <= arm[1])
    still = frozenset(i for i in track if times[i] <= rough.start_s + 0.1)
    return FramePlan(
        track=track,
        keep_gray=at_arm | _gray_elsewhere(rough, times, track),
        keep_patch=at_arm | still,
        first_s=first,
        last_s=last,
    )


def _end(rough: RoughSwing) -> float:
    if rough.impact_s is not None:
        return rough.impact_s + AFTER_IMPACT_S * rough.slowed
    # A swing that stops holds its position: as long as the hands are up, but for a while only.
    held = min(rough.end_s, rough.top_s + HELD_MAX_S)
    return max(rough.top_s + AFTER_TOP_S, held)


def _gray_elsewhere(
    rough: RoughSwing, times: NDArray[np.float64], track: frozenset[int]
) -> frozenset[int]:
    """Address, the whole path thinly (background, ball), and all frames about impact."""
    kept = {i for i in track if rough.start_s - 0.3 <= times[i] <= rough.start_s + 0.1}
    tracked = np.array(sorted(track))
    thinly = _chosen(times[tracked], [(rough.start_s - 0.3, _end(rough), THIN_GAP_S)])
    kept |= {int(tracked[i]) for i in thinly}
    if rough.impact_s is not None:
        kept |= {i for i in track if abs(times[i] - rough.impact_s) <= IMPACT_REACH_S}
    return frozenset(kept)


def _chosen(
    times: NDArray[np.float64], stretches: Sequence[tuple[float, float, float]]
) -> frozenset[int]:
    """Indices about as far apart as the finest of the stretches asks in which they lie.

    A stretch: two times and a gap, seconds. One walk over all of them: chosen each by itself, they would fall
    between one another and be looked at for nothing.
    """
    gaps = np.full(len(times), np.inf)
    for start_s, end_s, gap_s in stretches:
        inside = (times >= start_s) & (times <= end_s)
        gaps[inside] = np.minimum(gaps[inside], gap_s)
    chosen: list[int] = []
    for i in np.flatnonzero(np.isfinite(gaps)):
        if not chosen or times[i] - times[chosen[-1]] >= 0.9 * gaps[i]:
            chosen.append(int(i))
    return frozenset(chosen)


@dataclass(slots=True)
class SwingFrames:
    """What one swing's second look has gathered.

    ``track`` is steadied: working pixels, normalised, of the first frame. ``moves`` maps a frame's own
    pixels there, and ``grays`` know it. ``patches`` are in the frame's own pixels.
    """

    track: BodyTrack
    grays: dict[int, Shaken]
    patches: dict[int, Patch]
    moves: dict[int, NDArray[np.float64]]
    points: SwingTrack | None = None
    """What the swing network saw, club and all; ``None`` where it is not believed."""


@dataclass(slots=True)
class SwingLook:
    """Takes a swing's planned frames in order; the swing network looks at each, in ``threads``."""

    plan: FramePlan
    network: SwingNetwork
    threads: ThreadPoolExecutor
    crop: Crop
    square: Square
    _frames: list[int] = field(default_factory=list)
    _times: list[float] = field(default_factory=list)
    _points: list[SwingPoints] = field(default_factory=list)
    _asked: deque[Future[SwingPoints]] = field(default_factory=deque)
    _grays: dict[int, Shaken] = field(default_factory=dict)
    _moves: dict[int, NDArray[np.float64]] = field(default_factory=dict)
    _steadier: Steadier = field(default_factory=Steadier)

    def add(self, frame: int, time_s: float, shown: Shown) -> None:
        """Look at one frame and keep of it what the plan says."""
        gray = shown.gray()
        self._asked.append(self.threads.submit(self._find, shown))
        matrix = self._steadier.align(gray, self.crop)
        self._frames.append(frame)
        self._times.append(time_s)
        self._moves[frame] = matrix
        if frame in self.plan.keep_gray:
            self._grays[frame] = Shaken(gray, matrix)
        while len(self._asked) > AHEAD:
            self._take()

    def _find(self, shown: Shown) -> SwingPoints:
        """Runs in the threads, and so do the colours that only the network needs."""
        return self.network.find(shown.rgb(), self.square)

    def _take(self) -> None:
        """The oldest look that is under way, in the first frame's place."""
        seen = self._asked.popleft().result()
        matrix = self._moves[self._frames[len(self._points)]]
        self._points.append(replace(seen, xy=move(matrix, seen.xy)))

    def finish(self) -> SwingFrames:
        """The swing's frames."""
        while self._asked:
            self._take()
        points = SwingTrack.of_frames(self._frames, self._times, self._points)
        return SwingFrames(points.as_body(), self._grays, {}, self._moves, points)


@dataclass(slots=True)
class DenseLook:
    """The same with the general body network, for people the swing network does not know."""

    plan: FramePlan
    network: LandmarkNetwork
    crop: Crop
    _tracker: Tracker | None = None
    _frames: list[int] = field(default_factory=list)
    _times: list[float] = field(default_factory=list)
    _points: list[BodyPoints] = field(default_factory=list)
    _grays: dict[int, Shaken] = field(default_factory=dict)
    _patches: dict[int, Patch] = field(default_factory=dict)
    _moves: dict[int, NDArray[np.float64]] = field(default_factory=dict)
    _steadier: Steadier = field(default_factory=Steadier)

    def add(self, frame: int, time_s: float, shown: Shown) -> None:
        """Track one frame and keep of it what the plan says."""
        rgb = shown.rgb()
        if self._tracker is None:
            self._tracker = Tracker(self.network, self.crop)
        crop = self._tracker.crop
        gray = np.asarray(cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY), dtype=np.uint8)
        matrix = self._steadier.align(gray, crop)
        points = self._tracker.step(rgb)
        self._points.append(replace(points, xy=move(matrix, points.xy)))
        self._frames.append(frame)
        self._times.append(time_s)
        self._moves[frame] = matrix
        if frame in self.plan.keep_gray:
            self._grays[frame] = Shaken(gray, matrix)
        if frame in self.plan.keep_patch:
            self._patches[frame] = Patch.cut(rgb, crop)

    def finish(self) -> SwingFrames:
        """The swing's frames."""
        track = track_of(self._frames, self._times, self._points)
        return SwingFrames(track, self._grays, self._patches, self._moves)
