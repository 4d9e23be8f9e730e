"""A clip and its truth: from dials to two files."""

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import NamedTuple

from tests.studio.cache import cached, place_of, write_whole
from tests.studio.dials import ClipDials
from tests.studio.filming import film_clip, set_up
from tests.studio.guard import require_open
from tests.studio.sources import digest_of
from tests.studio.truth.compute import compute_truth
from tests.studio.truth.schema import save_truth

FILMING = ("tests.studio.filming",)
TRUTH = (
    "tests.studio.camera",
    "tests.studio.swing.motion",
    "tests.studio.times",
    "tests.studio.truth.compute",
    "tests.studio.truth.schema",
)
"""The modules whose code decides a video, and a truth file."""
_DIGITS = 12


class MadeClip(NamedTuple):
    """The two files of a clip."""

    video: Path
    truth: Path


def make_clip(
    dials: ClipDials,
    folder: Path | None = None,
    *,
    filmed: Callable[[int], None] = lambda _frames: None,
) -> MadeClip:
    """Film a clip and compute its truth, or take both from the cache.

    With ``folder`` the files are written there afresh as ``NAME.mp4`` and ``NAME.json``.
    ``filmed`` is told how many frames are done, after each. Raises ``SetIsClosed`` for a clip of a
    set that is not open, ``ValueError`` for dials that cannot be filmed.
    """
    require_open(dials.seed)
    film = partial(film_clip, dials, filmed=filmed)
    tell = partial(write_truth, dials)
    if folder is None:
        return MadeClip(cached(dials, ".mp4", FILMING, film), cached(dials, ".json", TRUTH, tell))
    made = MadeClip(folder / f"{dials.name}.mp4", folder / f"{dials.name}.json")
    write_whole(made.video, film)
    write_whole(made.truth, tell)
    return made


def made_already(dials: ClipDials) -> MadeClip | None:
    """The clip in the cache, if both files are there. Raises ``SetIsClosed`` as ``make_clip``."""
    made = MadeClip(place_of(dials, ".mp4", FILMING), place_of(dials, ".json", TRUTH))
    return made if made.video.is_file() and made.truth.is_file() else None


def write_truth(dials: ClipDials, path: Path) -> None:
    """Compute a clip's truth and write it to ``path``."""
    scene = set_up(dials)
    told_by = digest_of(*TRUTH)[:_DIGITS]  # not the film's: a film drawn anew leaves truth as it is
    truth = compute_truth(dials, scene.motion, scene.camera, scene.times, studio=told_by)
    save_truth(truth, path)


def studio_version() -> str:
    """Twelve hexadecimal digits that change with anything that makes clips or their truth."""
    return digest_of(*FILMING, *TRUTH)[:_DIGITS]
