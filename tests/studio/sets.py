"""The clips of each set, by index: ``dials_of(Set.PRACTICE, 3)``.

Practice is free; calibration and report clips are handed out only inside ``calibrating()`` and
``scoring()`` (see ``tests.studio.guard``). Clip ``i`` of a set has the set's first seed plus ``i``.
"""

from collections.abc import Iterable

import numpy as np

from api.domain.names import View
from tests.studio.design.block import BLOCK, block
from tests.studio.dials import ClipDials
from tests.studio.guard import SEEDS, Set, SetIsClosed, calibrating, scoring, set_of
from tests.studio.swing.timing import make_schedule
from tests.studio.times import frame_times

__all__ = [
    "SEEDS",
    "STANDARD",
    "Set",
    "SetIsClosed",
    "calibrating",
    "cost_of",
    "dials_of",
    "frames_of",
    "quick",
    "scoring",
    "set_of",
    "standard",
]

STANDARD = BLOCK
"""How many clips a set has unless more are asked for."""

_QUICK_RATES = (30.0, 60.0)
"""Frames a second of the quick clips of each view."""


def dials_of(which: Set, index: int) -> ClipDials:
    """Clip ``index`` of a set, from 0. Every 64 clips are a design of their own.

    Raises ``SetIsClosed`` when the set is not open, ``IndexError`` past its seeds.
    """
    first = index // BLOCK * BLOCK
    return block(SEEDS[which][first])[index - first]


def standard(which: Set, number: int = 0) -> tuple[ClipDials, ...]:
    """Block ``number`` of a set: 64 clips, which between them exercise every dial."""
    first = number * STANDARD
    return tuple(dials_of(which, index) for index in range(first, first + STANDARD))


def quick(which: Set) -> tuple[ClipDials, ...]:
    """Four small clips of the first block: of each view the shortest at 30 frames a second and the
    shortest at 60 that hold one swing through to its finish, at 720, in real time.
    """
    clips = sorted(filter(_is_small, standard(which)), key=frames_of)
    chosen: list[ClipDials] = []
    for view in View:
        for fps in _QUICK_RATES:
            chosen.append(next(c for c in _others(clips, chosen) if _is(c, view, fps)))
    return tuple(chosen)


def frames_of(dials: ClipDials) -> int:
    """How many frames the clip's file holds."""
    return len(frame_times(dials, make_schedule(dials.swing).duration_s).file_s)


def cost_of(dials: ClipDials) -> float:
    """Frames weighted by their pixels: 1 a frame at 720."""
    return float(frames_of(dials) * np.square(dials.film.short_side / 720))


def _is_small(dials: ClipDials) -> bool:
    whole = not dials.swing.stop_at_top and dials.swing.swings == 1
    return whole and dials.film.short_side == 720 and dials.film.slow_motion == 1.0


def _is(dials: ClipDials, view: View, fps: float) -> bool:
    return dials.camera.view is view and dials.film.fps == fps


def _others(clips: Iterable[ClipDials], taken: Iterable[ClipDials]) -> Iterable[ClipDials]:
    return (clip for clip in clips if clip not in taken)
