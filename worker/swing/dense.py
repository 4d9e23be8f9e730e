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
START_S = 0.35
"""After the first look's start: when the hands leave for good is found within it."""
NEAR_TOP_S = 0.15
"""Before the first look's top: two looks of it."""
DOWN_S = 0.6
"""Before impact, at most: twice a usual downswing. The first look's top may lie anywhere in a pause before it."""
SLOWED_BORNE = 1.5
"""A swing that plays slower than this is looked at less often a second: its own seconds are longer by as much."""
TRACK_MAX = 512
"""Most frames tracked in one swing; a long pause is thinned out instead."""
KEPT_MAX = 256
"""Most pictures kept of one swing: at 1080p, 2 073 600 bytes each, 531 MB."""
NEAREST = 2.0 / 3.0
"""Frames come at whole steps: the nearest to a gap are no nearer to one another than this much of it."""
TIE = 0.05
"""Of a gap: two frames whose distances from it differ by less are as near; files round times of frames."""
BALL_GONE_S = 0.65
"""After impact: pictures of the ground without the ball."""
IMPACT_REACH_S = 0.18
"""All frames this near the sparse look's impact are kept: two looks and a little."""
AHEAD = 4
"""Most pictures that wait for the swing network: no more are held in memory."""
ARM_WINDOW_S = (-0.30, 0.35)
"""Around the hands coming up: where lead arm parallel must lie, and the shaft is looked for."""

Stretch = tuple[float, float, float]
"""Two times and the gap between looks from one to the other, seconds."""


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
    in four. No more than ``TRACK_MAX`` frames are tracked and no more than ``KEPT_MAX`` pictures kept (531 MB at
    1080p), however long the clip: about the start, the hands coming up, the top, the downswing and impact the gaps
    stay what they are at the swing's pace; what lies between (a pause, a slow way back) is thinned to what is left.
    """
    times = np.array(times_s)
    arm = _arm_window(rough)
    track = _tracked(rough, times)
    at_arm = frozenset(i for i in track if arm[0] <= times[i] <= arm[1])
    still = frozenset(i for i in track if times[i] <= rough.start_s + 0.1)
    return FramePlan(
        track=track,
        keep_gray=_gray(rough, times, track, at_arm),
        keep_patch=at_arm | still,
        first_s=rough.start_s - BEFORE_S * rough.slowed,
        last_s=_end(rough),
    )


def _end(rough: RoughSwing) -> float:
    if rough.impact_s is not None:
        return rough.impact_s + AFTER_IMPACT_S * rough.slowed
    # A swing that stops holds its position: as long as the hands are up, but for a while only.
    held = min(rough.end_s, rough.top_s + HELD_MAX_S)
    return max(rough.top_s + AFTER_TOP_S, held)


def _fine(rough: RoughSwing) -> tuple[float, float]:
    """From before the start to just past impact, or the top where there is none; seconds."""
    end_s = rough.top_s if rough.impact_s is None else rough.impact_s
    return rough.start_s - FINE_BEFORE_S * rough.slowed, end_s + FINE_AFTER_S * rough.slowed


def _arm_window(rough: RoughSwing) -> tuple[float, float]:
    before_s, after_s = (rough.raised_s + aside * rough.slowed for aside in ARM_WINDOW_S)
    return before_s, after_s


def _pace(rough: RoughSwing) -> float:
    """How many times longer gaps may be than in a usual swing, at least 1."""
    return max(1.0, rough.slowed / SLOWED_BORNE)


def _sharp(rough: RoughSwing) -> tuple[Stretch, ...]:
    """Where an instant lies: never thinned for the length of the rest."""
    fine_from, fine_end = _fine(rough)
    back_s, down_s = BACK_GAP_S * _pace(rough), DOWN_GAP_S * _pace(rough)
    near_top = rough.top_s - NEAR_TOP_S
    down_from = near_top
    if rough.impact_s is not None:
        down_from = max(near_top, rough.impact_s - DOWN_S * rough.slowed)
    return (
        (fine_from, rough.start_s + START_S * rough.slowed, back_s),
        (*_arm_window(rough), back_s),
        (near_top, rough.top_s + FINE_AFTER_S, back_s),
        (down_from, fine_end, down_s),
    )


def _tracked(rough: RoughSwing, times: NDArray[np.float64]) -> frozenset[int]:
    fine_from, fine_end = _fine(rough)
    coarse_s = COARSE_GAP_S * rough.slowed
    sure = (
        (rough.start_s - BEFORE_S * rough.slowed, fine_from, coarse_s),
        *_sharp(rough),
        (fine_end, _end(rough), coarse_s),
    )
    left = TRACK_MAX - len(_chosen(times, sure))
    return _chosen(times, (*sure, *_between(sure, BACK_GAP_S, left)))


def _gray(
    rough: RoughSwing,
    times: NDArray[np.float64],
    track: frozenset[int],
    at_arm: frozenset[int],
) -> frozenset[int]:
    """All at the arm window, address and impact, and the whole path thinly (background, ball)."""
    kept = {i for i in track if rough.start_s - 0.3 <= times[i] <= rough.start_s + 0.1} | at_arm
    path = [(start_s, end_s, THIN_GAP_S * _pace(rough)) for start_s, end_s, _ in _sharp(rough)]
    if rough.impact_s is not None:
        kept |= {i for i in track if abs(times[i] - rough.impact_s) <= IMPACT_REACH_S}
        path.append((rough.impact_s, rough.impact_s + BALL_GONE_S, THIN_GAP_S))
    tracked = np.array(sorted(track))
    kept |= {int(tracked[i]) for i in _chosen(times[tracked], path)}
    path.append((_end(rough), _end(rough), THIN_GAP_S))
    rest = _between(path, THIN_GAP_S, KEPT_MAX - len(kept))
    return frozenset(kept | {int(tracked[i]) for i in _chosen(times[tracked], rest)})


def _between(stretches: Sequence[Stretch], gap_s: float, most: int) -> tuple[Stretch, ...]:
    """What lies between stretches, to be looked at with a gap, or a longer one: so that it is no more than ``most``."""
    free: list[tuple[float, float]] = []
    reached = min(start_s for start_s, _, _ in stretches)
    for start_s, end_s, _ in sorted(stretches):
        if start_s > reached:
            free.append((reached, start_s))
        reached = max(reached, end_s)
    # A frame more at each end of each.
    most = max(1, most - 2 * (len(free) + len(stretches)))
    gap_s = max(gap_s, sum(end_s - start_s for start_s, end_s in free) / (NEAREST * most))
    return tuple((start_s, end_s, gap_s) for start_s, end_s in free)


def _chosen(times: NDArray[np.float64], stretches: Sequence[Stretch]) -> frozenset[int]:
    """Indices about as far apart as the finest of the stretches asks in which they lie.

    One walk over all of them: chosen each by itself, they would fall between one another and be looked at for
    nothing. A frame is taken when the next would be farther from the gap that is asked; where the two are about as
    far from it, the later: at 120 a second 12.5 ms are two steps, at 100 one.
    """
    gaps = np.full(len(times), np.inf)
    for start_s, end_s, gap_s in stretches:
        inside = (times >= start_s) & (times <= end_s)
        gaps[inside] = np.minimum(gaps[inside], gap_s)
    after = np.append(times[1:], np.inf)
    chosen: list[int] = []
    for i in np.flatnonzero(np.isfinite(gaps)):
        if chosen and not _is_due(times[i] - times[chosen[-1]], after[i] - times[i], gaps[i]):
            continue
        chosen.append(int(i))
    return frozenset(chosen)


def _is_due(since_s: float, step_s: float, gap_s: float) -> bool:
    """Whether a frame ``since_s`` after the last is nearer to the gap than the next, ``step_s`` later."""
    short_s = gap_s - since_s
    return since_s >= NEAREST * gap_s and step_s - short_s > short_s + TIE * gap_s


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
