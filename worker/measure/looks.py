"""Two ways of seeing one swing's points: as they lie in the picture, and as the ideal camera would show them.

Every ``Album`` holds the same points over the same frames; a checkpoint's formula runs on any of them. All
pixels here are steadied working pixels of the normalised picture, or the ideal camera's.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from api.domain.measurement import Point
from api.domain.names import PointName, View
from worker.body.joints import BodyTrack, Joint
from worker.body.swing_track import SwingTrack
from worker.measure.ideal import POINTS, Space, Stand
from worker.measure.setting import Setting

Array = NDArray[np.float64]
Rows = NDArray[np.bool_]
Pair = tuple[PointName, ...]

BODY_SIGMA_STATURE = 0.01
"""One sigma of a joint of the general network against the joint's own centre, share of stature: points
move one to two hundredths of body height between refinements."""
BODY_POINTS: Mapping[PointName, Joint] = {
    PointName[joint.name]: joint for joint in Joint if joint.name in PointName.__members__
}
"""Points of a picture that the general body network finds."""


@dataclass(frozen=True)
class Album:
    """One way of seeing.

    ``places``: (n, 2) pixels of each point; ``metre_px``: pixels per metre at each point's distance from
    the lens at address; ``still`` (n,): frames of the address.
    """

    places: Mapping[PointName, Array]
    metre_px: Mapping[PointName, float]
    still: Rows

    def at(self, row: int) -> Mapping[PointName, Point]:
        """Every point of one frame."""
        return self._frames[row]

    @cached_property
    def _frames(self) -> Sequence[Mapping[PointName, Point]]:
        """The points by frame: every checkpoint's formula asks for each frame."""
        tracks = {name: list(map(tuple, xy.tolist())) for name, xy in self.places.items()}
        return [
            dict(zip(tracks, points, strict=True)) for points in zip(*tracks.values(), strict=True)
        ]

    def address(self, pair: Pair) -> Array:
        """(2,) the middle of one or two points at address: median over its frames."""
        chosen = np.mean([self.places[name][self.still] for name in pair], axis=0)
        return np.asarray(np.median(chosen, axis=0))

    def middle(self, pair: Pair) -> Array:
        """(n, 2) the middle of one or two points."""
        return np.asarray(np.mean([self.places[name] for name in pair], axis=0))


@dataclass(frozen=True, slots=True)
class Looks:
    """One swing, seen in several ways.

    ``here``: as it lies in the picture. ``ideal``: as the ideal camera would show it; ``moved``: as it would
    if azimuth or roll were one sigma more (empty where nothing is known of depth).
    ``rest`` (n,): frames in which the body has not begun to shift. ``sigma`` (n,) pixels, each axis, of every
    point. ``space`` and ``points``: where depths are known.
    """

    times_s: Array
    here: Album
    ideal: Album
    moved: tuple[Album, ...]
    sigma: Mapping[PointName, Array]
    stature_px: float
    rest: Rows
    stand: Stand | None = None
    space: Space | None = None
    points: SwingTrack | None = None

    @property
    def still(self) -> Rows:
        """(n,) frames of the address."""
        return self.here.still

    def address_sigma(self, pair: Pair) -> float:
        """One sigma of the middle of points at address, pixels: frames share most of their error."""
        sigmas = [float(np.median(self.sigma[name][self.still])) for name in pair]
        return float(np.hypot.reduce(sigmas)) / len(pair)


def looks_of_points(
    points: SwingTrack,
    setting: Setting,
    view: View,
    middle: Point,
    still: Rows,
    rest: Rows,
    *,
    stature_px: float,
    until_s: float,
) -> Looks:
    """From the swing network's points. ``middle``: the pixel that the line of sight meets."""
    space = Space.of(points, setting, view, middle, still)
    stand = Stand.judged(points, until_s)
    ideal, *moved = (_album_in_space(space, turn, still) for turn in stand.variants())
    z = np.median(setting.distance_m.value + points.depth_m[still], axis=0)
    return Looks(
        times_s=points.times_s,
        here=Album(
            {name: points.xy[:, index] for name, index in POINTS.items()},
            {name: setting.focal_px / float(z[index]) for name, index in POINTS.items()},
            still,
        ),
        ideal=ideal,
        moved=tuple(moved),
        sigma={name: points.sigma_px[:, index] for name, index in POINTS.items()},
        stature_px=stature_px,
        rest=rest,
        stand=stand,
        space=space,
        points=points,
    )


def _album_in_space(space: Space, turn: tuple[float, float], still: Rows) -> Album:
    seen, placed = space.seen(*turn), space.turned(*turn)
    z = np.median(placed[still][..., 2], axis=0)
    return Album(
        {name: seen[:, index] for name, index in POINTS.items()},
        {name: space.focal_px / float(z[index]) for name, index in POINTS.items()},
        still,
    )


def looks_of_body(
    track: BodyTrack, still: Rows, rest: Rows, *, stature_px: float, px_per_m: float
) -> Looks:
    """From the general network's joints alone: what they show is taken for what the ideal camera shows."""
    album = Album(
        {name: track.of(joint) for name, joint in BODY_POINTS.items()},
        dict.fromkeys(BODY_POINTS, px_per_m),
        still,
    )
    spread = np.full(len(track), BODY_SIGMA_STATURE * stature_px)
    return Looks(
        times_s=track.times_s,
        here=album,
        ideal=album,
        moved=(),
        sigma=dict.fromkeys(BODY_POINTS, spread),
        stature_px=stature_px,
        rest=rest,
    )
