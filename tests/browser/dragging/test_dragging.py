"""The angle is in the frame painted next after a move of the point, and the measure sees where a number is not."""

from pathlib import Path

import pytest
from playwright.sync_api import Browser

from api.http.deps import SESSION_COOKIE
from tests.browser.conftest import DESK
from tests.browser.desk import DeskPage
from tests.browser.dragging.watching import Drag, drag, drag_clubhead
from tests.browser.house import open_house
from tests.browser.numbered import seed

pytestmark = [pytest.mark.browser, pytest.mark.slow]

MOVES = 120
PAGE = """<main style="width:600px;height:600px" ><p class="n">0</p></main><script>
  let count = 0;
  const say = () => { document.querySelector(".n").textContent = String(++count); };
  document.querySelector("main").addEventListener("pointermove", event => { if (event.buttons) { %s } });
</script>"""


def _on(browser: Browser, reacts: str) -> Drag:
    page = browser.new_context(viewport=DESK).new_page()
    page.set_content(PAGE % reacts)
    return drag(page, (300, 300), pane="main", number=".n", moves=MOVES)


@pytest.mark.parametrize("reacts", ["say();", "queueMicrotask(say);"])
def test_what_changes_before_the_frame_is_painted_is_in_it(browser: Browser, reacts: str) -> None:
    found = _on(browser, reacts)
    assert len(found.telling) > MOVES / 2
    assert found.share_in_next_frame == 1.0


def test_a_number_that_follows_later_is_seen_to(browser: Browser) -> None:
    found = _on(browser, "setTimeout(say, 25);")
    assert len(found.telling) > MOVES / 4
    assert found.share_in_next_frame < 0.5
    assert found.share_within_a_frame < 0.5


def test_a_frame_that_comes_late_is_seen_to(browser: Browser) -> None:
    found = _on(
        browser, "const end = performance.now() + 30; while (performance.now() < end); say();"
    )
    assert found.share_in_next_frame == 1.0
    assert found.share_within_a_frame == 0.0
    assert found.spread("work_ms")[0] >= 30


def test_a_number_that_never_moves_tells_nothing(browser: Browser) -> None:
    found = _on(browser, "")
    assert found.moves
    assert found.telling == []


def test_the_desks_angle_is_in_the_frame_painted_next(browser: Browser, tmp_path: Path) -> None:
    with open_house(tmp_path / "house") as house:
        seeded = seed(house, tmp_path)
        context = browser.new_context(viewport=DESK)
        cookie = {"name": SESSION_COOKIE, "value": seeded.cookie, "url": house.base_url}
        context.add_cookies([cookie])  # type: ignore[list-item]  # Playwright's own TypedDict
        page = context.new_page()
        page.goto(f"{house.base_url}/desk/#/reviews/{seeded.review_id}")
        desk = DeskPage(page, house)
        desk.wait_for_picture()
        page.wait_for_load_state("networkidle")
        found = drag_clubhead(desk, moves=MOVES)
    assert len(found.telling) > MOVES / 2
    # However busy the machine: not one move waits for a second frame. How long a frame takes is the bench's.
    assert found.share_in_next_frame == 1.0
