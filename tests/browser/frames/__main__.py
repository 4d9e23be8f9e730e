"""Whether the desk shows the frame it is asked for: ``python -m tests.browser.frames``.

Films with their frame number in the picture, at constant and variable rates, go through the worker's
transcoding and are played in Chromium by the desk's own player. 3,000 random frames are asked for and read back
off the picture. Prints how many were wrong and how long a seek takes; ends with 1 if any was wrong.
"""

import random
import statistics
import sys
import tempfile
from pathlib import Path

from rich.console import Console
from rich.table import Table

from tests.browser.frames.asking import Answer, open_asking
from tests.browser.frames.clips import CADENCES
from tests.chromium import open_chromium

SEEKS = 3000
SEED = 11


def main() -> int:
    """Ask, count, print."""
    console = Console()
    table = Table(
        "clip", "seeks", "wrong", "median ms", "95 % ms", "worst ms", title="Exact frames"
    )
    chosen = random.Random(SEED)
    share = SEEKS // len(CADENCES)
    wrong: list[Answer] = []
    with (
        tempfile.TemporaryDirectory(prefix="fl-frames-") as folder,
        open_chromium() as browser,
        open_asking(browser, Path(folder)) as asking,
    ):
        for cadence in CADENCES:
            asking.open(cadence)
            console.print(f"{cadence.name}: asking for {share} frames ...")
            answers = asking.ask([chosen.randrange(cadence.frames) for _ in range(share)])
            missed = [answer for answer in answers if not answer.right]
            table.add_row(cadence.name, str(len(answers)), str(len(missed)), *_times(answers))
            wrong += missed
    console.print(table)
    for answer in wrong[:20]:
        console.print(answer)
    console.print(f"{len(wrong)} wrong of {share * len(CADENCES)}.")
    return 1 if wrong else 0


def _times(answers: list[Answer]) -> list[str]:
    took = [answer.took_ms for answer in answers]
    figures = [statistics.median(took), statistics.quantiles(took, n=20)[-1], max(took)]
    return [f"{figure:.0f}" for figure in figures]


if __name__ == "__main__":
    sys.exit(main())
