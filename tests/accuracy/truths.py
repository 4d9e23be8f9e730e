"""The truth of a clip as the report needs it, whichever renderer made the clip.

``tests.accuracy.strangers`` and ``tests.accuracy.studio_truth`` make these; nothing else in the
report knows how a truth file looks.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from api.domain.names import Hand, KeyframeId, View

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Absent:
    """Truth says that there is none (no impact in a swing that stops at the top), and why."""

    reason: str


@dataclass(frozen=True, slots=True)
class TrueInstant:
    """An instant, seconds of the file. Where something stops there, any time of the stay would be
    as right: ``from_s`` to ``to_s``, else both equal ``time_s``."""

    time_s: float
    from_s: float
    to_s: float

    @property
    def stays(self) -> bool:
        """Whether the motion stops there."""
        return self.to_s > self.from_s

    def nearest(self, found_s: float) -> float:
        """The right time nearest to a found one: the found one itself inside the stay."""
        return min(max(found_s, self.from_s), self.to_s)


def at_once(time_s: float) -> TrueInstant:
    """An instant without a stay."""
    return TrueInstant(time_s, time_s, time_s)


@dataclass(frozen=True, slots=True)
class TrueValue:
    """A checkpoint's true value for the ideal camera and for the one that filmed, in its unit."""

    ideal: float
    actual: float | None


@dataclass(frozen=True, slots=True)
class TrueSwing:
    """One swing. An id that is not there is not known to this truth. ``moments``: instants that no
    keyframe names, by the truth's own id; nothing is looked for at them.
    """

    instants: Mapping[KeyframeId, TrueInstant | Absent]
    checkpoints: Mapping[str, TrueValue | Absent]
    moments: Mapping[str, TrueInstant | Absent] = field(default_factory=dict)

    @property
    def span_s(self) -> tuple[float, float]:
        """First and last known instant, seconds of the file."""
        times = [at.time_s for at in self.instants.values() if isinstance(at, TrueInstant)]
        return min(times), max(times)


@dataclass(frozen=True, slots=True)
class Factors:
    """What may make a clip hard. Degrees, seconds, pictures a second at capture.

    ``build`` is body and girth in words. ``dials`` holds everything else worth a table, as text.
    """

    frame_rate: float
    exposure_s: float
    azimuth_deg: float
    build: str
    dials: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class TrueClip:
    """A clip, what its student would say about it, and what is true in it.

    ``frame_times_s``: file time of each shown frame. ``points``: for each frame, names as in
    ``api.domain.names.PointName``, upright display pixels of the original, never mirrored.
    ``slowed``: file seconds a second of life; more than 1 in a slow-motion file.
    """

    name: str
    video: Path
    view: View
    handed: Hand
    club_length_m: float
    frame_times_s: tuple[float, ...]
    swings: tuple[TrueSwing, ...]
    factors: Factors
    points: tuple[Mapping[str, Point], ...] = ()
    slowed: float = 1.0

    def life_ms(self, file_s: float) -> float:
        """Seconds of the file as milliseconds of life."""
        return 1000.0 * file_s / self.slowed

    def nearest_frame(self, time_s: float) -> int:
        """Index of the shown frame nearest to a time of the file."""
        times = self.frame_times_s
        return min(range(len(times)), key=lambda index: abs(times[index] - time_s))
