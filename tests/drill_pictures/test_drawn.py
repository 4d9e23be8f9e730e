"""The drawings in the pages are those that the studio's golfer gives today, one at least for every drill."""

import itertools
import json
import re
from collections.abc import Callable, Sequence

import pytest

from api.domain.drill_library import DRILLS
from tests.drill_pictures.drawn import FOLDER, WORDS, drawings, words
from tests.drill_pictures.figure import ARM, LEG, Figure, at
from tests.studio.pose import Joint
from tests.studio.swing.keys import Phase

_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


def test_every_drill_has_pictures() -> None:
    assert set(words()) == set(DRILLS)


def test_the_pages_have_them_as_they_are_drawn() -> None:
    """``python -m tests.drill_pictures`` draws them anew. Last digits may differ between machines."""
    assert json.loads(WORDS.read_text(encoding="utf-8")) == words()
    drawn = drawings()
    assert {path.name for path in FOLDER.glob("*.svg")} == set(drawn)
    for name, wanted in drawn.items():
        kept = (FOLDER / name).read_text(encoding="utf-8")
        assert _NUMBER.sub("", kept) == _NUMBER.sub("", wanted), name
        assert _numbers(kept) == pytest.approx(_numbers(wanted), abs=1.0), name


def _feet_together(figure: Figure) -> Figure:
    return figure.with_foot_at("lead", figure[Joint.TRAIL_ANKLE])


@pytest.mark.parametrize("change", [Figure.crossed_arms, Figure.upright, _feet_together])
def test_a_changed_pose_keeps_the_limbs_lengths(change: Callable[[Figure], Figure]) -> None:
    before = at(Phase.ADDRESS)
    after = change(before)
    for side in ("lead", "trail"):
        for chain in (ARM[side], LEG[side]):
            assert _lengths(after, chain) == pytest.approx(_lengths(before, chain), abs=0.02)


def _lengths(figure: Figure, chain: Sequence[str]) -> list[float]:
    places = [figure[Joint(name)] for name in chain]
    return [
        float(sum((first - second) ** 2) ** 0.5) for first, second in itertools.pairwise(places)
    ]


def _numbers(text: str) -> list[float]:
    return [float(one) for one in _NUMBER.findall(text)]
