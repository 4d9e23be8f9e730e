"""A block of 64 clips: half face-on and half down-the-line, each half spreading every dial over its
whole range. The clips of a set are drawn in such blocks.

Columns are independent except where life couples them: dim places are filmed with long exposures,
more noise and fewer frames a second; a fast rate goes with short films; an early roll points the
butt end out and an arm lift points it in; a far phone has a narrow lens. Clips that cost much to
render (240 frames a second, 1080, several swings) are few and short.

Columns use one stream of random numbers a half, and one more for how lenses are aimed. A column put
in between others changes all that are drawn after it, in every clip of every set: reports made before
and after then differ in their clips.
"""

from functools import lru_cache

from api.domain.names import View
from tests.studio.design.cameras import cameras
from tests.studio.design.columns import Columns
from tests.studio.design.films import films
from tests.studio.design.golfers import golfers
from tests.studio.design.light import draw_light
from tests.studio.design.scenes import scenes
from tests.studio.design.swings import swings
from tests.studio.dials import ClipDials
from tests.studio.guard import require_open, set_of

BLOCK = 64
_HALF = BLOCK // 2
_AIMS = 1
"""Stream of the columns that say how lenses are aimed: they came last and move no other."""


def block(first_seed: int) -> tuple[ClipDials, ...]:
    """The clips of seeds ``first_seed`` to ``first_seed + 63``, face-on and down-the-line in turn.

    Raises ``SetIsClosed`` for seeds of a set that is not open.
    """
    require_open(first_seed)
    return _drawn(first_seed)


@lru_cache(maxsize=8)
def _drawn(first_seed: int) -> tuple[ClipDials, ...]:
    face_on = _half(View.FACE_ON, first_seed)
    down_the_line = _half(View.DOWN_THE_LINE, first_seed + 1)
    return tuple(clip for pair in zip(face_on, down_the_line, strict=True) for clip in pair)


def _half(view: View, first_seed: int) -> list[ClipDials]:
    columns = Columns(first_seed, _HALF)
    light = draw_light(columns)
    who = golfers(columns)
    how = swings(columns, light)
    where = cameras(columns, Columns((first_seed, _AIMS), _HALF), view, how)
    written = films(columns, light, how, where, slowed_most=view is View.FACE_ON)
    around = scenes(columns, light)
    seeds = range(first_seed, first_seed + BLOCK, 2)
    return [
        ClipDials(_name(seed, view), seed, *dials)
        for seed, *dials in zip(seeds, who, how, where, written, around, strict=True)
    ]


def _name(seed: int, view: View) -> str:
    return f"{set_of(seed) or 'free'}-{seed % 1_000_000:03d}-{view}"
