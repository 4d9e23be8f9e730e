"""The report set's clips: rendered where they are missing, with their truth."""

from collections.abc import Sequence
from importlib.util import find_spec

from tests.accuracy.running import Bars
from tests.accuracy.truths import Absent, TrueClip


def standard_clips(bars: Bars, *, quick: bool = False) -> Sequence[TrueClip] | Absent:
    """The standard report set, or its quick part; or why it cannot be had on this machine."""
    if find_spec("tests.studio.clip") is None:
        return Absent("The studio cannot make clips yet.")
    raise NotImplementedError


def studio_version() -> str:
    """Version of the studio that makes the clips."""
    return "none"
