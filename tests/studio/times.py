"""When the frames of a clip are taken in life, and when they show in its file.

Two clocks. Life: seconds of the motion, in which the golfer moves. File: presentation seconds, in
which a player shows the frames. They differ by a shift (the file starts with its first frame) and,
in a slowed file, by the factor ``slow_motion``. The map between them is exact, also at a variable
rate: a file's time stamps are the true times of capture, on a clock of 90 000 ticks a second, and
the times in life are computed back from the ticks, not rounded towards them.
"""

from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from tests.studio.dials import ClipDials, FilmDials

Array = NDArray[np.float64]

CLOCK = Fraction(1, 90_000)
"""Seconds a tick. Whole ticks a frame at 24, 25, 30, 60, 120 and 240 frames a second."""

SLOWEST_RATE, FASTEST_RATE = 24.0, 240.0
_JITTER = 0.12
"""Half width of the jitter of a variable rate, as a share of the gap between frames."""
_DROPPED = 0.04
"""Share of frames that a variable rate loses."""
_STREAM = 0x71
"""Keeps these random numbers apart from those of the other parts that use the clip's seed."""


@dataclass(frozen=True, slots=True)
class FrameTimes:
    """Times of ``n`` frames.

    ``capture_s`` (n,): life seconds at which the exposure of the picture's first row starts.
    ``file_s`` (n,): presentation seconds; the first is 0; whole multiples of ``CLOCK``.
    ``middle_after_s``: from a frame's capture to its nominal instant, the middle of the exposure
    of the picture's middle row. ``slow_motion``: file seconds a life second.
    """

    capture_s: Array
    file_s: Array
    middle_after_s: float
    slow_motion: float

    @property
    def middle_s(self) -> Array:
        """Life seconds of each frame's nominal instant, (n,)."""
        return self.capture_s + self.middle_after_s

    @property
    def duration_s(self) -> float:
        """File seconds from the first frame's start to the last one's end."""
        return float(2 * self.file_s[-1] - self.file_s[-2])

    def to_file(self, life_s: float) -> float:
        """The file time of an instant in life: a frame taken exactly then shows exactly there."""
        return (life_s - float(self.middle_s[0])) * self.slow_motion

    def to_life(self, file_s: float) -> float:
        """The life time of a file time; undoes ``to_file``."""
        return file_s / self.slow_motion + float(self.middle_s[0])


def frame_times(dials: ClipDials, duration_s: float) -> FrameTimes:
    """Times of every frame that can be exposed wholly inside ``duration_s`` seconds of life.

    The first frame starts a random share of a gap after 0, so that no instant of the motion falls
    on a frame by design. With ``variable_rate`` starts jitter evenly within 12 % of a gap (less
    where the exposure leaves less room) and 4 % of the frames, at least one, are missing.
    Raises ``ValueError`` for dials no phone could film with.
    """
    film = dials.film
    _refuse_impossible(film)
    random = np.random.default_rng((dials.seed, _STREAM))
    gap_s = 1.0 / film.fps
    phase_s = float(random.uniform(0.0, gap_s))
    room_s = duration_s - phase_s - film.exposure_s - film.rolling_shutter_s
    count = int(np.floor(room_s / gap_s)) + 1
    if count < 2:
        raise ValueError(f"{dials.name}: no two frames fit into {duration_s:.3f} s")
    life_s: Array = np.arange(count, dtype=np.float64) * gap_s
    if film.variable_rate:
        life_s = _uneven(life_s, gap_s, film.exposure_s, random)
    ticks = np.rint(life_s * film.slow_motion / float(CLOCK))
    file_s = ticks * float(CLOCK)
    return FrameTimes(
        capture_s=phase_s + file_s / film.slow_motion,
        file_s=file_s,
        middle_after_s=(film.exposure_s + film.rolling_shutter_s) / 2,
        slow_motion=film.slow_motion,
    )


def _refuse_impossible(film: FilmDials) -> None:
    if not SLOWEST_RATE <= film.fps <= FASTEST_RATE:
        raise ValueError(f"{film.fps} frames a second: filmed are 24 to 240")
    if film.slow_motion < 1.0:
        raise ValueError("a file is slowed, never quickened")
    longest_s = 1.0 / film.fps + 1e-9
    if not 0.0 < film.exposure_s <= longest_s or not 0.0 <= film.rolling_shutter_s <= longest_s:
        raise ValueError("exposure and rolling shutter must fit between two frames")


def _uneven(life_s: Array, gap_s: float, exposure_s: float, random: np.random.Generator) -> Array:
    """Jittered times with some left out; the first and the last frame stay."""
    half_s = min(_JITTER * gap_s, (gap_s - exposure_s) / 2)
    jitter_s = random.uniform(-half_s, half_s, len(life_s))
    jitter_s[0] = 0.0
    jitter_s[-1] = min(jitter_s[-1], 0.0)  # not past the end of the motion
    inner = np.arange(1, len(life_s) - 1)
    lost = random.choice(inner, max(1, round(_DROPPED * len(inner))), replace=False)
    return np.asarray(np.delete(life_s + jitter_s, lost), dtype=np.float64)
