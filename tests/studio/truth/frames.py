"""The truth of each frame: where points are in space, and where their own row of pixels saw them.

A rolling shutter exposes row ``r`` of ``H`` from ``r / H`` of the read-out on. A point is seen where it
is when the row it falls on is exposed: ``t(r) = start + r / H * readout + exposure / 2``, solved for
the point's own ``r`` by fixed point. Positions within a frame are the polynomial through five exact
projections; over 20 ms of a clubhead at 40 m/s that is true to a hundredth of a pixel (to a twentieth
across a corner of the motion).
"""

from dataclasses import dataclass

import numpy as np

from tests.studio.dials import FilmDials
from tests.studio.pose import Array, ClubPoint, Joint
from tests.studio.truth.contents import BALL, Frames
from tests.studio.truth.sights import Camera
from tests.studio.truth.track import Figure, Track

NODES = 5
STILL_PX = 0.01
BENT_M = 0.02
"""A way shorter than this is straight to a hundredth of a millimetre."""
ROUNDS = 12
"""Of the fixed point; a row moves by (picture speed x readout / H) of itself a round, under a third
for anything in a swing."""


@dataclass(frozen=True, slots=True)
class Shutter:
    """Seconds; ``rows`` of the upright picture."""

    exposure_s: float
    readout_s: float
    rows: int

    @classmethod
    def of(cls, film: FilmDials, rows: int) -> "Shutter":
        """The shutter a film was dialled with."""
        return cls(film.exposure_s, film.rolling_shutter_s, rows)

    def middle(self, start_s: float, row: Array) -> Array:
        """Mid-exposure of rows, for a frame whose first row starts at ``start_s``."""
        share = np.clip(row, -0.5, self.rows - 0.5) / self.rows
        return np.asarray(start_s + share * self.readout_s + self.exposure_s / 2.0)


def frame_truths(
    track: Track, camera: Camera, shutter: Shutter, starts_s: Array, file_s: Array
) -> Frames:
    """Every frame; not mirrored. ``starts_s`` (n,): life time at which row 0 starts."""
    middle = shutter.middle(0.0, np.array(shutter.rows / 2.0))
    life_s = np.asarray(starts_s + middle)
    names = point_names(track.figures[0])
    figures = [track.at(float(time_s)) for time_s in life_s]
    seen = [_Frame(track, camera, shutter, float(start)) for start in starts_s]
    return Frames(
        points=names,
        life_s=life_s,
        file_s=np.asarray(file_s),
        world_m=np.array([places(figure) for figure in figures]),
        pixels=np.array([frame.pixels for frame in seen]),
        blur_px=np.array([frame.blur() for frame in seen]),
    )


def point_names(figure: Figure) -> tuple[str, ...]:
    """Names of ``places``, in its order."""
    ball = () if figure.ball is None else (BALL,)
    return (*(one.value for one in Joint), *(one.value for one in ClubPoint), *ball)


def places(figure: Figure) -> Array:
    """(p, 3) every point of a figure."""
    points = [figure.joints[one] for one in Joint] + [figure.club[one] for one in ClubPoint]
    return np.array(points if figure.ball is None else [*points, figure.ball])


class _Frame:
    """One frame: projections at a few times, and what lies between them."""

    def __init__(self, track: Track, camera: Camera, shutter: Shutter, start_s: float) -> None:
        self.track, self.camera, self.shutter, self.start_s = track, camera, shutter, start_s
        self.pixels = self._pixels()

    def _projected(self, time_s: float) -> Array:
        return self.camera.project(places(self.track.at(time_s)), time_s)

    def _pixels(self) -> Array:
        """(p, 2) where each point's row sees it."""
        middle_s = self.shutter.middle(self.start_s, np.array(self.shutter.rows / 2.0))
        seen = self._projected(float(middle_s))
        if self.shutter.readout_s == 0.0:
            return seen
        times = self.shutter.middle(self.start_s, np.linspace(0, self.shutter.rows, NODES))
        nodes = np.array([self._projected(float(one)) for one in times])
        for _ in range(ROUNDS):
            when = self.shutter.middle(self.start_s, seen[:, 1])
            seen = through(times, nodes, when)
        if self.track.figures[0].ball is not None:
            seen[-1] = self._ball(seen[-1], nodes[:, -1])
        return seen

    def _ball(self, seen: Array, nodes: Array) -> Array:
        """A ball's path has a corner where it is struck: no polynomial, but the motion itself."""
        if not np.isfinite(nodes).all():  # it has flown past the lens: in no picture
            return np.full(2, np.nan)
        if np.ptp(nodes, axis=0).max() < STILL_PX:
            return np.asarray(nodes[0])
        for _ in range(ROUNDS):
            seen = self._projected(float(self.shutter.middle(self.start_s, seen[1])))[-1]
        return seen

    def blur(self) -> float:
        """Way of the hosel through the picture during its row's exposure, pixels."""
        hosel = len(Joint) + list(ClubPoint).index(ClubPoint.HOSEL)
        middle_s = float(self.shutter.middle(self.start_s, self.pixels[hosel, 1]))
        half = self.shutter.exposure_s / 2.0
        ends = self.track.at(middle_s - half), self.track.at(middle_s + half)
        way_m = np.linalg.norm(ends[1].club[ClubPoint.HOSEL] - ends[0].club[ClubPoint.HOSEL])
        times = np.linspace(middle_s - half, middle_s + half, NODES if way_m > BENT_M else 2)
        way = np.array([self._projected(float(one))[hosel] for one in times])
        return float(np.linalg.norm(np.diff(way, axis=0), axis=1).sum())


def through(times: Array, nodes: Array, when: Array) -> Array:
    """(p, 2) the polynomial through ``nodes`` (k, p, 2) at ``times`` (k,), at each point's time (p,)."""
    total = np.zeros(nodes.shape[1:])
    for index in range(len(times)):
        others = np.delete(times, index)
        weights = np.prod([(when - other) / (times[index] - other) for other in others], axis=0)
        total += weights[:, None] * nodes[index]
    return total


def mirrored(frames: Frames, width_px: int) -> Frames:
    """A left-hander's film: x -> (width - 1) - x."""
    pixels = frames.pixels.copy()
    pixels[..., 0] = (width_px - 1) - pixels[..., 0]
    return Frames(
        frames.points, frames.life_s, frames.file_s, frames.world_m, pixels, frames.blur_px
    )
