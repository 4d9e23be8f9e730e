"""A few of the bench's seeks (``make bench-frames`` asks 3,000), and what a loop and a scrub let through."""

import random
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.browser.frames.asking import Asking, open_asking
from tests.browser.frames.clips import CADENCES, Cadence

pytestmark = [pytest.mark.browser, pytest.mark.slow]

SHORT = [
    Cadence(one.name, 60, one.gaps_s) for one in CADENCES if one.name in {"60 a second", "variable"}
]


@pytest.fixture(params=SHORT, ids=lambda cadence: cadence.name)
def asking(browser: Browser, tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[Asking]:
    with open_asking(browser, tmp_path) as asking:
        asking.open(request.param)
        yield asking


def test_the_picture_shows_the_frame_that_was_asked_for(asking: Asking) -> None:
    chosen = random.Random(3)
    frames = [0, 59, 59, 0, *(chosen.randrange(60) for _ in range(36))]
    assert [answer for answer in asking.ask(frames) if not answer.right] == []


def test_a_hand_on_the_strip_never_sees_a_frame_under_another_number(asking: Asking) -> None:
    answers = asking.scrub([*range(60), *range(59, -1, -1)])
    assert answers[-1].asked == 0
    assert [answer for answer in answers if not answer.right] == []


@pytest.mark.parametrize("back", [False, True], ids=["again", "there and back"])
def test_a_loop_stays_between_its_ends(asking: Asking, *, back: bool) -> None:
    shown = asking.go_round(21, 27, back=back, seconds=3)
    assert None not in shown
    assert {21, 27} <= shown <= set(range(21, 28))
