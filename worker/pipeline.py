"""The whole measuring path of one clip: file in, ``Measurement`` and point tracks out."""

import time
from collections import deque
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import closing
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from api.domain.findings import find
from api.domain.measurement import Measurement, Swing
from api.domain.names import Hand, View
from worker.body.agreement import AGREE_STATURE, disagreement
from worker.body.crops import Crop
from worker.body.detector import PersonDetector
from worker.body.joints import BodyTrack
from worker.body.networks import LandmarkNetwork
from worker.body.square import Square
from worker.body.swing_network import NAME, SwingNetwork, SwingPoints, weights_sha256
from worker.body.swing_track import SwingTrack
from worker.body.weights import SHA256, Network
from worker.measure.filming import picture_problems, swing_problems
from worker.measure.seen import see, withheld_if_contradicted
from worker.measure.setting import stature_px
from worker.measure.swing_reading import SwingContext, SwingResult, read_swing
from worker.measure.tracks import Tracks
from worker.swing.cycles import RoughSwing, find_swings
from worker.swing.dense import AHEAD, DENSE_SIDE, DenseLook, FramePlan, SwingLook, plan_frames
from worker.swing.scan import SCAN_SIDE, Held, Scanner, found_anew, looks, scaled_crop
from worker.video.frames import iter_shown, shrunk_size
from worker.video.probe import ClipProbe, probe_clip
from worker.video.shown import Shown
from worker.video.sound import strikes_heard

PIPELINE_VERSION = "2026.12.01-1"

Picture = NDArray[np.uint8]
Progress = Callable[[str, float], None]

HELD_BYTES = 96 * 1024**2
"""Most memory for the first look's pictures: those of nine seconds. A longer clip is decoded once more for each
use of them."""
NETWORK_THREADS = 2
"""Frames that our own network looks at side by side, while the next are decoded: two cores are kept busy."""
STILL_S = 1.0
"""The first second shows the golfer as large as at address."""
_PEOPLE_LOOKS = 5
_TRIAL_LOOKS = 6
"""Frames of a swing on which the two networks are compared first."""


@dataclass(frozen=True, slots=True)
class MeasureRequest:
    """What the student said about the clip. Lengths in metres; None where not said.

    ``swings_slowly``: the swing itself may be slow, so a slow one is not taken for a file stretched in time.
    """

    view: View
    handed: Hand
    club_length_m: float | None = None
    stature_m: float | None = None
    swings_slowly: bool = False


@dataclass(frozen=True, slots=True)
class MeasureResult:
    """The measurement, the points of every frame looked at, and the probe of the file."""

    measurement: Measurement
    tracks: Tracks
    probe: ClipProbe


def measure_clip(
    path: Path, request: MeasureRequest, *, on_progress: Progress | None = None
) -> MeasureResult:
    """Measure a clip from its file.

    ``on_progress(stage, share)``: stage ``probe``, ``scan``, ``track`` or ``measure``; share of the
    whole in [0, 1]. Raises ``ClipRefused`` when the student must film again, ``PipelineFault``
    when the fault is ours. Never holds more than one swing's pictures in memory.
    """
    return _Run(path, request, on_progress or (lambda _stage, _share: None)).measure()


class _Networks:
    """The networks and the threads they run in.

    Those that every clip needs are loaded in the threads while the file is still probed, the large ones of
    the general network's second look when first asked for.
    """

    def __init__(self, threads: ThreadPoolExecutor) -> None:
        self.threads = threads
        self._detector = threads.submit(PersonDetector)
        self._lite = threads.submit(LandmarkNetwork, Network.LITE, NETWORK_THREADS)
        self._swing = threads.submit(SwingNetwork)

    @property
    def detector(self) -> PersonDetector:
        return self._detector.result()

    @property
    def lite(self) -> LandmarkNetwork:
        return self._lite.result()

    @property
    def swing(self) -> SwingNetwork:
        return self._swing.result()

    @cached_property
    def full(self) -> LandmarkNetwork:
        return LandmarkNetwork(Network.FULL)

    @cached_property
    def heavy(self) -> LandmarkNetwork:
        return LandmarkNetwork(Network.HEAVY)


class _Ahead:
    """The first look, begun while the file is probed: decoding alone leaves half a core idle.

    Pictures are taken by a thread of its own, in order.
    """

    def __init__(self, networks: _Networks, normalised: Callable[[Picture], Picture]) -> None:
        self._thread = ThreadPoolExecutor(1, "first look")
        self._normalised = normalised
        self._scanner = self._thread.submit(lambda: Scanner(networks.detector, networks.lite))
        self._steps: list[Future[None]] = []

    def take(self, index: int, time_s: float, picture: Picture) -> None:
        """Look at a picture some time soon."""
        self._steps.append(self._thread.submit(self._look, index, time_s, picture))

    def _look(self, index: int, time_s: float, picture: Picture) -> None:
        self._scanner.result().look_ahead(index, time_s, self._normalised(picture))

    def done(self) -> Scanner:
        """The scanner, when all that was taken has been looked at."""
        for step in self._steps:
            step.result()
        return self._scanner.result()

    def close(self) -> None:
        """Look at nothing more: the clip may have been refused meanwhile."""
        self._thread.shutdown(cancel_futures=True)


def _ended(swings: list[RoughSwing]) -> int:
    """How many of them have a downswing."""
    return sum(swing.impact_s is not None for swing in swings)


class _Run:
    """State of one measurement; steps in order."""

    def __init__(self, path: Path, request: MeasureRequest, progress: Progress) -> None:
        self.path, self.request, self.progress = path, request, progress
        self.timing: dict[str, float] = {}

    def measure(self) -> MeasureResult:
        started = time.perf_counter()
        self.progress("probe", 0.0)
        with ThreadPoolExecutor(NETWORK_THREADS, "network") as threads:
            networks = _Networks(threads)
            with closing(_Ahead(networks, self._normalised)) as ahead:
                self._held = Held(HELD_BYTES, ahead.take)
                self.probe = probe_clip(self.path, on_frame=self._held.take)
                self._held.done()
                self._strikes = strikes_heard(self.path) if self.probe.facts.has_audio else ()
                self._lap("probe_s", started)
                self.progress("scan", 0.1)
                sparse, crop = self._scan(ahead)
            rough, sparse = self._rough_swings(sparse, networks)
            self._starts_s = tuple(swing.start_s for swing in rough)
            swings = self._swings(rough, crop, sparse, networks)
        self.timing["total_s"] = time.perf_counter() - started
        self.progress("measure", 1.0)
        return self._result(sparse, swings)

    def _lap(self, name: str, since: float) -> float:
        now = time.perf_counter()
        self.timing[name] = self.timing.get(name, 0.0) + now - since
        return now

    def _shown(self, indices: frozenset[int], max_side: int) -> Iterator[tuple[int, Shown]]:
        """Index and frame; a left-hander's is mirrored."""
        mirrored = self.request.handed is Hand.LEFT
        for index, frame, aspect in iter_shown(self.path, self.probe, indices):
            yield index, Shown(frame, aspect, max_side, mirrored)

    def _normalised(self, rgb: Picture) -> Picture:
        """A left-hander's picture is mirrored."""
        return np.ascontiguousarray(rgb[:, ::-1] if self.request.handed is Hand.LEFT else rgb)

    def _small(self, indices: frozenset[int]) -> Iterator[tuple[int, Picture, float]]:
        """Pictures of the first look's size: those that are held, or from the file again.

        Index, normalised RGB picture, and original pixels per pixel of it.
        """
        held = self._held.pictures
        if not indices <= held.keys():
            for index, shown in self._shown(indices, SCAN_SIDE):
                picture = shown.rgb()
                yield index, picture, self.probe.facts.width / picture.shape[1]
            return
        for index in sorted(indices):
            picture = self._normalised(held[index])
            yield index, picture, self.probe.facts.width / picture.shape[1]

    def _scan(self, ahead: _Ahead) -> tuple[BodyTrack, Crop]:
        """First look. The golfer is sought on a few spread frames; what was tracked ahead counts if it is them."""
        since = time.perf_counter()
        times = self.probe.frame_times_s
        sparse = sorted(looks(times))
        spread = frozenset(
            sparse[int(row)] for row in np.linspace(0, len(sparse) - 1, _PEOPLE_LOOKS)
        )
        people = list(self._small(spread))
        scale = people[0][2]
        scanner = ahead.done()
        crop = scanner.look_for_people([picture for _, picture, _ in people])
        self._light = picture_problems([picture for _, picture, _ in people])
        self._golfers = [
            (index, picture, here)
            for (index, picture, _), here in zip(people, scanner.golfers, strict=True)
            if here is not None
        ]
        for index, picture, _ in self._small(frozenset(sparse)):
            scanner.add(index, times[index], picture)
        self._lap("scan_s", since)
        return scanner.finish(scale), scaled_crop(crop, scale)

    def _rough_swings(
        self, sparse: BodyTrack, networks: _Networks
    ) -> tuple[list[RoughSwing], BodyTrack]:
        """The swings by the first look; where it finds none, or one without an end, by our own network too.

        The quick network loses hands that are dark, blurred or behind the body, and sometimes the golfer; ours was
        taught on them, but is only asked where the two agree on the rest of the body. Where they do not, the
        golfer is sought anew on a few frames: agrees our network with that, its track stands for the first look's
        from then on. Returns the track with the swings.
        """
        first = find_swings(sparse, self.request.view)
        if first and all(swing.impact_s is not None for swing in first):
            return first, sparse
        since = time.perf_counter()
        still = sparse.part(float(sparse.times_s[0]), float(sparse.times_s[0]) + STILL_S)
        again, kept = self._scan_again(sparse, still, sparse.frames, networks), sparse
        if again is None:
            anew = self._found_anew(networks)
            again = None if anew is None else self._scan_again(anew, anew, sparse.frames, networks)
            kept = sparse if again is None else again
        self._lap("scan_s", since)
        second = [] if again is None else find_swings(again, self.request.view)
        better = (_ended(second), len(second)) > (_ended(first), len(first))
        return (second, kept) if better else (first, sparse)

    def _found_anew(self, networks: _Networks) -> BodyTrack | None:
        """The golfer on the few frames on which they were sought, each looked at by itself."""
        times = self.probe.frame_times_s
        looks = [(index, times[index], rgb, here) for index, rgb, here in self._golfers]
        scale = self.probe.facts.width / looks[0][2].shape[1]
        return found_anew(networks.full, looks, scale)

    def _scan_again(
        self,
        general: BodyTrack,
        still: BodyTrack,
        frames: NDArray[np.int64],
        networks: _Networks,
    ) -> BodyTrack | None:
        """The frames as our own network sees them; ``None`` where it is not believed.

        ``general``: what it must agree with; ``still``: the part of it that tells where the golfer stands.
        """
        stature = stature_px(still)
        square = Square.around(still, stature)
        times = self.probe.frame_times_s
        looks = self._swing_looks(frames, square, networks)
        if not disagreement(general, looks, stature) <= AGREE_STATURE:
            return None
        frames_seen = sorted(looks)
        return SwingTrack.of_frames(
            frames_seen,
            [times[frame] for frame in frames_seen],
            [looks[frame] for frame in frames_seen],
        ).as_body()

    def _swing_looks(
        self, frames: NDArray[np.int64], square: Square, networks: _Networks
    ) -> dict[int, SwingPoints]:
        """What our own network sees on pictures of the first look's size; full-size pixels."""
        looks: dict[int, SwingPoints] = {}
        asked: deque[tuple[int, float, Future[SwingPoints]]] = deque()

        def take() -> None:
            index, ratio, look = asked.popleft()
            looks[index] = look.result().scaled(ratio)

        for index, picture, ratio in self._small(frozenset(frames.tolist())):
            here = square.scaled(1.0 / ratio)
            asked.append(
                (index, ratio, networks.threads.submit(networks.swing.find, picture, here))
            )
            if len(asked) > AHEAD:
                take()
        while asked:
            take()
        return looks

    def _swings(
        self,
        rough: list[RoughSwing],
        crop: Crop,
        sparse: BodyTrack,
        networks: _Networks,
    ) -> list[SwingResult]:
        """Second look, one swing at a time, so that only one swing's pictures are kept."""
        since = time.perf_counter()
        squares = [self._trusted_square(swing, sparse, networks) for swing in rough]
        self._lap("track_s", since)
        self._held.pictures.clear()
        results: list[SwingResult] = []
        for number, (swing, square) in enumerate(zip(rough, squares, strict=True)):
            share = 0.3 + 0.6 * number / len(rough)
            self.progress("track", share)
            results.append(self._one_swing(swing, crop, square, networks))
        return results

    def _trusted_square(
        self, rough: RoughSwing, sparse: BodyTrack, networks: _Networks
    ) -> Square | None:
        """The square for the swing network, full-size pixels.

        ``None`` where the two networks see two different people.
        """
        still = sparse.part(rough.start_s - 0.5, rough.start_s)
        still = still if len(still) else sparse.part(rough.start_s, rough.raised_s)
        if not len(still):
            return None
        stature = stature_px(still)
        square = Square.around(still, stature)
        part = sparse.part(rough.start_s - 0.2, rough.top_s)
        if not len(part):
            return None
        rows = np.unique(np.linspace(0, len(part) - 1, _TRIAL_LOOKS).astype(int))
        looks = self._swing_looks(part.frames[rows], square, networks)
        apart = disagreement(sparse, looks, stature)
        return square if apart <= AGREE_STATURE else None

    def _look(
        self,
        plan: FramePlan,
        crop: Crop,
        square: Square | None,
        networks: _Networks,
        ratio: float,
    ) -> SwingLook | DenseLook:
        here = scaled_crop(crop, 1.0 / ratio)
        if square is None:
            return DenseLook(plan, networks.full, here)
        return SwingLook(plan, networks.swing, networks.threads, here, square.scaled(1.0 / ratio))

    def _one_swing(
        self, rough: RoughSwing, crop: Crop, square: Square | None, networks: _Networks
    ) -> SwingResult:
        since = time.perf_counter()
        times = self.probe.frame_times_s
        plan = plan_frames(rough, times)
        facts = self.probe.facts
        width, height = shrunk_size(facts.width, facts.height, DENSE_SIDE)
        scale = facts.width / width
        look = self._look(plan, crop, square, networks, scale)
        for index, shown in self._shown(plan.track, DENSE_SIDE):
            look.add(index, times[index], shown)
        frames = look.finish()
        since = self._lap("track_s", since)
        self.progress("measure", 0.7)
        context = SwingContext(
            view=self.request.view,
            handed=self.request.handed,
            width_px=width,
            height_px=height,
            scale=scale,
            original_width_px=facts.width,
            frame_times_s=times,
            club_length_m=self.request.club_length_m,
            stature_m=self.request.stature_m,
            heavy=networks.heavy if square is None else None,
            strikes=self._strikes,
            swings_slowly=self.request.swings_slowly,
        )
        result = read_swing(frames, rough, context)
        self._lap("read_s", since)
        return result

    def _result(self, sparse: BodyTrack, results: list[SwingResult]) -> MeasureResult:
        facts = self.probe.facts
        swings: tuple[Swing, ...] = tuple(result.swing for result in results)
        stand = next((result.stand for result in results if result.stand is not None), None)
        azimuth = next(
            (result.filmed.azimuth_deg for result in results if result.filmed.azimuth_deg), None
        )
        filming = [*self._light, *swing_problems(result.filmed for result in results)]
        seen = see(
            sparse, self.request.view, facts, swings, stand, azimuth, filming, self._starts_s
        )
        measurement = Measurement(
            clip=facts,
            view=seen,
            swings=tuple(
                replace(swing, findings=find(swing.checkpoints))
                for swing in withheld_if_contradicted(swings, seen)
            ),
            timing={name: round(value, 3) for name, value in self.timing.items()},
            pipeline=PIPELINE_VERSION,
            models={network.value: SHA256[network] for network in Network}
            | {NAME: weights_sha256()},
        )
        tracks: Tracks = {}
        for result in results:
            tracks.update(result.points)
        return MeasureResult(measurement, tracks, self.probe)
