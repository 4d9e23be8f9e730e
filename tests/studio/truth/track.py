"""A motion sampled densely over what was filmed, and evaluated exactly wherever it matters."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from tests.studio.pose import Array, ClubPoint, Joint, Motion
from tests.studio.truth.points import Points
from tests.studio.truth.roots import Signal

STEP_S = 0.012
"""Between samples while the club moves slowly; every instant is then refined on the motion itself."""
FINE = 3
"""Parts into which a step is split where the clubhead travels more than ``FAR_M`` in it. A shaft
at 40 rad/s turns 9 degrees in a part: no crossing can hide."""
FAR_M = 0.04
SPEED_SPAN_S = 0.001
"""Over which a speed is taken where its time matters."""

Reading = Callable[["Figure"], float]


@dataclass(frozen=True, slots=True)
class Figure(Points):
    """Golfer, club and ball at one time, metres in the right-hander's world. Bones left out."""

    time_s: float
    joints: dict[Joint, Array]
    club: dict[ClubPoint, Array]
    ball: Array | None

    @property
    def arm(self) -> Array:
        """Lead shoulder -> lead wrist."""
        return np.asarray(self.joints[Joint.LEAD_WRIST] - self.joints[Joint.LEAD_SHOULDER])

    @property
    def torso_m(self) -> float:
        """Mid-hips to mid-shoulders."""
        return float(np.linalg.norm(self.shoulders - self.hips))


def elevation(vector: Array) -> float:
    """How far a vector points above level: degrees in [-90, 90], up positive."""
    return float(np.degrees(np.arctan2(vector[2], np.hypot(vector[0], vector[1]))))


def lead_arm_elevation(figure: Figure) -> float:
    """Elevation in space of lead shoulder -> lead wrist; 0 where both are equally high."""
    return elevation(figure.arm)


def shaft_elevation(figure: Figure) -> float:
    """Elevation in space of butt end -> hosel; positive with the clubhead above the hands."""
    return elevation(figure.shaft)


class Track:
    """A motion between two times: ``times`` (n,), ``figures`` (n), and ``at`` for any time.

    Raises ``ValueError`` when the end is not after the start.
    """

    def __init__(self, motion: Motion, start_s: float, end_s: float) -> None:
        if not end_s > start_s:
            message = f"a track needs an end after its start: {start_s} to {end_s} s"
            raise ValueError(message)
        self._motion = motion
        self._known: dict[float, Figure] = {}
        self.times: Array = self._sample_times(start_s, end_s)
        self.figures = [self.at(float(time_s)) for time_s in self.times]

    def _sample_times(self, start_s: float, end_s: float) -> Array:
        """Even steps, finer where the clubhead is fast; both ends inside."""
        count = int(np.ceil((end_s - start_s) / STEP_S)) + 1
        coarse = np.linspace(start_s, end_s, max(count, 3))
        heads = np.array([self.at(float(one)).club[ClubPoint.FACE] for one in coarse])
        far = np.linalg.norm(np.diff(heads, axis=0), axis=1) > FAR_M
        wanted = far | np.append(far[1:], False) | np.append(False, far[:-1])
        step = coarse[1] - coarse[0]
        inner = [coarse[:-1][wanted] + step * part / FINE for part in range(1, FINE)]
        return np.sort(np.concatenate([coarse, *inner]))

    def at(self, time_s: float) -> Figure:
        """The motion itself at a time, remembered."""
        known = self._known.get(time_s)
        if known is None:
            pose = self._motion.at(time_s)
            known = Figure(time_s, pose.joints, pose.club, pose.ball)
            self._known[time_s] = known
        return known

    def signal(self, reading: Reading) -> Signal:
        """A reading of the figure as a function of time, exact."""
        return lambda time_s: reading(self.at(time_s))

    def values(self, reading: Reading) -> Array:
        """(n,) a reading at every sample."""
        return np.array([reading(figure) for figure in self.figures])

    def speeds(self, point: Callable[[Figure], Array]) -> Array:
        """(n,) speed of a point at every sample, m/s, by central differences."""
        places = np.array([point(figure) for figure in self.figures])
        return np.asarray(np.linalg.norm(np.gradient(places, self.times, axis=0), axis=1))

    def speed(self, point: Callable[[Figure], Array], time_s: float) -> float:
        """Speed of a point at any time inside the track, m/s, over ``SPEED_SPAN_S``."""
        low = max(float(self.times[0]), time_s - SPEED_SPAN_S / 2.0)
        high = min(float(self.times[-1]), time_s + SPEED_SPAN_S / 2.0)
        return float(np.linalg.norm(point(self.at(high)) - point(self.at(low)))) / (high - low)

    def signal_of_speed(self, point: Callable[[Figure], Array], limit: float) -> Signal:
        """Speed of a point above a limit, as a function of time."""
        return lambda time_s: self.speed(point, time_s) - limit

    def index(self, time_s: float) -> int:
        """The last sample not after a time, inside the track."""
        found = int(np.searchsorted(self.times, time_s, side="right")) - 1
        return min(max(found, 0), len(self.times) - 1)
