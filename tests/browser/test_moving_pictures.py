"""What the desk's pictures show, read off the pictures: the strip, loops, two clips in step, the ghost."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from api.http.deps import SESSION_COOKIE
from tests.browser.accessible import assert_accessible
from tests.browser.acts import device
from tests.browser.conftest import DESK
from tests.browser.desk import DeskPage
from tests.browser.frames.clips import FIELD_PX, fields
from tests.browser.house import open_house, waits_for
from tests.browser.numbered import BEHIND, seed

pytestmark = [pytest.mark.browser, pytest.mark.slow]

_READ = """(video, places) => {
  const canvas = new OffscreenCanvas(video.videoWidth, video.videoHeight);
  const pen = canvas.getContext("2d");
  pen.drawImage(video, 0, 0);
  const light = ([left, top]) => pen.getImageData(left, top, 1, 1).data[1];
  let number = 0;
  for (let bit = 0; bit < places.length / 2; bit += 1) {
    const [one, other] = [light(places[2 * bit]), light(places[2 * bit + 1])];
    if (Math.abs(one - other) < 120) return -1;
    if (one > other) number += 2 ** bit;
  }
  return number;
}"""
_PLACES = [[left + FIELD_PX // 2, top + FIELD_PX // 2] for left, top, _ in fields(0)]
MINE, NEXT, GHOST = "The student's clip", "Down-the-line, without", "Ghost of the last"


class Pictures(DeskPage):
    """The desk, and the numbers in its pictures."""

    def number(self, name: str) -> int:
        """The frame number in a video's picture, by the beginning of its name."""
        video = self.page.locator(f'video[aria-label^="{name}"]')
        return int(video.evaluate(_READ, _PLACES))

    def shows(self, frame: int, name: str = MINE) -> None:
        """Wait until a picture shows a frame."""
        assert waits_for(lambda: self.number(name) == frame, 10), (name, self.number(name), frame)

    def marks(self) -> dict[str, int]:
        """The instants that the server has from the coach."""
        return {mark["keyframe"]: mark["frame"] for mark in self.server()["draft"]["marks"]}

    def go(self, keyframe: str) -> None:
        """By the list of instants."""
        self.page.get_by_role("button", name=keyframe, exact=False).first.click()


@pytest.fixture(scope="module")
def desk(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Pictures]:
    folder: Path = tmp_path_factory.mktemp("pictures")
    films = folder / "films"
    films.mkdir()
    with open_house(folder / "house") as house:
        seeded = seed(house, films)
        with device(browser, DESK) as page:
            page.context.add_cookies(
                [{"name": SESSION_COOKIE, "value": seeded.cookie, "url": house.base_url}]
            )
            page.goto(f"{house.base_url}/desk/#/reviews/{seeded.review_id}")
            yield Pictures(page, house)


def test_the_desk_shows_what_it_says(desk: Pictures) -> None:
    """One page from top to bottom: each part begins where the one before it ended."""
    desk.wait_for_picture()
    desk.shows(60)
    _steps(desk)
    _an_instant_is_moved_by_keys(desk)
    _an_instant_is_dragged(desk)
    _a_loop_stays_inside(desk)
    _both_views_go_in_step(desk)
    _the_last_answer_lies_over_it(desk)
    _keys_are_listed_and_can_be_switched_off(desk)


def _steps(desk: Pictures) -> None:
    for frame in (61, 62, 63):
        desk.page.keyboard.press(".")
        desk.shows(frame)
    desk.page.keyboard.press("]")
    desk.shows(75)
    assert desk.frame() == 75
    assert_accessible(desk.page, "strip")


def _an_instant_is_moved_by_keys(desk: Pictures) -> None:
    top = desk.page.get_by_role("slider", name="Top")
    top.focus()
    for _ in range(2):
        desk.page.keyboard.press("ArrowRight")
    expect(top).to_have_attribute("aria-valuetext", "Top, frame 77, 1.283 s; the machine found 75")
    desk.shows(77)
    assert waits_for(lambda: desk.marks() == {"top": 77}, 10)
    expect(desk.page.locator("[data-found=top]")).to_be_attached()
    desk.page.keyboard.press("Control+z")
    assert waits_for(lambda: desk.marks() == {}, 10), "a run of keys is one step back"
    desk.page.keyboard.press("Control+y")
    assert waits_for(lambda: desk.marks() == {"top": 77}, 10)
    top.press("Home")
    assert waits_for(lambda: desk.marks() == {}, 10)
    expect(desk.page.locator("[data-found=top]")).to_have_count(0)


def _an_instant_is_dragged(desk: Pictures) -> None:
    top = desk.page.get_by_role("slider", name="Top")
    box = top.bounding_box()
    assert box is not None
    assert min(box["width"], box["height"]) >= 24
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    mouse = desk.page.mouse
    mouse.move(x, y)
    mouse.down()
    mouse.move(x + 60, y + 5, steps=6)
    held = int(top.get_attribute("aria-valuenow") or "-1")
    assert held > 80
    desk.shows(held)
    assert desk.marks() == {}, "sent before it was let go"
    mouse.up()
    assert waits_for(lambda: desk.marks() == {"top": held}, 10)
    desk.page.keyboard.press("Control+z")
    assert waits_for(lambda: desk.marks() == {}, 10)


def _a_loop_stays_inside(desk: Pictures) -> None:
    page = desk.page
    page.get_by_label("Speed").select_option(label="Life speed")
    page.get_by_role("button", name="Loop", exact=True).click()
    _comes_round_within(desk, range(20, 76))
    seen = {desk.number(MINE) for _ in range(120)}
    assert len(seen) > 5
    assert seen <= set(range(20, 76)), seen
    page.keyboard.press(".")
    expect(page.get_by_role("button", name="Loop", exact=True)).to_have_attribute(
        "aria-pressed", "false"
    )
    page.wait_for_timeout(500)
    stopped = desk.frame()
    desk.shows(stopped)
    page.wait_for_timeout(500)
    assert desk.frame() == stopped == desk.number(MINE), "it went on after a step"
    desk.go("Lead arm parallel")
    desk.shows(60)
    page.keyboard.press("o")
    _comes_round_within(desk, range(57, 64))
    seen = {desk.number(MINE) for _ in range(60)}
    assert len(seen) > 1
    assert seen <= set(range(57, 64)), seen
    page.keyboard.press("o")
    page.get_by_role("button", name="Stop", exact=True).click()


def _comes_round_within(desk: Pictures, frames: range) -> None:
    """Wait for a loop that has begun: a slow machine cannot count on meeting one frame of it."""
    assert waits_for(lambda: desk.number(MINE) in frames, 10), (desk.number(MINE), frames)


def _both_views_go_in_step(desk: Pictures) -> None:
    page = desk.page
    page.get_by_role("button", name="Both views").click()
    for keyframe, mine, theirs in (("Address", 20, 10), ("Top", 75, 70), ("Lead arm", 60, 40)):
        desk.go(keyframe)
        desk.shows(mine)
        desk.shows(theirs, NEXT)
    page.keyboard.press(".")
    expect(page.get_by_text("7 % of the way from lead arm parallel to top")).to_be_visible()
    beside = page.get_by_role("region", name="Down-the-line")
    # One of the fifteen frames between lead arm parallel and top: a fifteenth of the other's way.
    ticks = BEHIND.cadence.ticks()
    there = ticks[40] + (ticks[70] - ticks[40]) / 15
    nearest = min(range(len(ticks)), key=lambda frame: abs(ticks[frame] - there))
    desk.shows(nearest, NEXT)
    expect(beside).to_have_attribute("data-beside", str(nearest))
    assert_accessible(page, "both views")
    desk.go("Lead arm")
    desk.shows(40, NEXT)
    page.keyboard.press("x")
    desk.shows(40)
    desk.shows(60, "Face-on, without")
    page.keyboard.press("x")
    desk.shows(60)


def _the_last_answer_lies_over_it(desk: Pictures) -> None:
    page = desk.page
    page.get_by_role("button", name="Ghost").click()
    desk.shows(50, GHOST)
    expect(
        page.get_by_text("Frame 50 of the last answer's clip lies over frame 60")
    ).to_be_visible()
    sizes = [
        page.locator(f'video[aria-label^="{name}"]').evaluate("video => video.clientHeight")
        for name in (MINE, GHOST)
    ]
    assert sizes[1] == pytest.approx(sizes[0] * 300 / 200, rel=0.01)
    page.get_by_role("button", name="Last answer").click()
    desk.go("Top")
    desk.shows(90, GHOST)
    desk.shows(90, "Last answer, ")
    assert_accessible(page, "ghost")


def _keys_are_listed_and_can_be_switched_off(desk: Pictures) -> None:
    page = desk.page
    page.keyboard.press("?")
    sheet = page.get_by_role("dialog", name="Keys")
    expect(sheet.get_by_text("Loop round this frame, three either side")).to_be_visible()
    assert_accessible(page, "keys")
    sheet.get_by_label("Single keys").uncheck()
    sheet.get_by_role("button", name="Close").click()
    at = desk.frame()
    page.keyboard.press(".")
    page.get_by_role("button", name="One frame on").click()
    desk.shows(at + 1)
