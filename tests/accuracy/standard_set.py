"""The report set's clips: rendered where they are missing, with their truth."""

from collections.abc import Sequence

from rich.console import Console

from tests.accuracy.studio_truth import true_clip
from tests.accuracy.truths import Absent, TrueClip
from tests.studio.clip import made_already
from tests.studio.making import make_clips
from tests.studio.render import gl_reason
from tests.studio.sets import Set, quick, scoring, standard
from tests.studio.truth.schema import load_truth

BLOCK = 10
"""Which 64 clips of the report seeds the report scores. Take the next number before the first report
of a pipeline that was changed after looking at clips of this one. Block 0 is spent: it was scored
while the studio was still being mended, and its quick clips are scored at every ``make test``. So is
block 1: its pictures showed moving clubs through the body. Block 2 was scored with pipeline 2026.11.28-1, and its
errors said what to mend next. Block 3 was scored with 2026.11.29-3, when no phone was tilted, block 4 with 2026.11.29-4: what it showed about
the horizon led to the network of the next. Block 5 was scored with 2026.11.29-5, and four swings that it missed were
looked at. Block 6 was scored with 2026.11.29-8, and a swing that it invented was looked at. Block 7 was scored with
2026.11.29-11: of its clips one broke the pipeline and two were not found, and what its tops and pauses said was mended.
Block 8 was scored with 2026.11.29-12, and is spent since: of its clips two stops that were read at half their length and a
square golfer who was taken for one from behind were looked at and mended. Block 9 was scored with 2026.11.30-1; that
it gave no top to its four swings that stop there was mended, and its clips from behind were taken apart for the
grip end, so it is spent too. Block 10 was first scored with 2026.11.30-3, then with
2026.12.01-1, whose changes came of other clips; only sums of it were read.
"""


def standard_clips(*, only_quick: bool = False) -> Sequence[TrueClip] | Absent:
    """The report's block of 64, or the quick clips of block 0; or why it cannot be rendered on this machine.

    Raises ``ClipsNotMade`` when some could not be: a report that leaves clips out is none.
    """
    with scoring():
        clips = quick(Set.REPORT) if only_quick else standard(Set.REPORT, BLOCK)
        if any(made_already(dials) is None for dials in clips):
            reason = gl_reason()
            if reason is not None:
                return Absent(f"The studio cannot draw on this machine: {reason}")
        made = make_clips(clips, console=Console(stderr=True))
        return [true_clip(load_truth(one.truth), one.video) for one in made]
