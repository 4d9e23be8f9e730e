"""Drawing on stills and judging by eye: by mouse, by keys alone, by taps; and what the student gets of it."""

import math
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Locator, Page, ViewportSize, expect

from api.domain.drawings import MOST_PLACES
from api.http.deps import SESSION_COOKIE
from tests.browser.accessible import assert_accessible
from tests.browser.acts import device
from tests.browser.conftest import DESK, PHONE
from tests.browser.desk import DeskPage
from tests.browser.frames.clips import HEIGHT, WIDTH
from tests.browser.house import House, open_house, waits_for
from tests.browser.numbered import UNSURE_PX, Seeded, seed

pytestmark = [pytest.mark.browser, pytest.mark.slow]

TABLET: ViewportSize = {"width": 1024, "height": 768}
LEAST_TARGET_PX = 24
"""WCAG 2.2, 2.5.8."""
FINGERTIP_PX = 38
SPARE_PX, LEAST_PICTURE_PX = 16, 260
LEVEL, TOP = 60, 75
Place = tuple[float, float]


class Drawn(DeskPage):
    """The desk, its picture, and what is drawn on it."""

    def open(self, seeded: Seeded) -> None:
        """The review, at lead arm parallel."""
        self.page.goto(f"{self._base_url}/desk/#/reviews/{seeded.review_id}")
        self.wait_for_picture()

    def drawings(self) -> list[dict[str, Any]]:
        """As the server has them."""
        found: list[dict[str, Any]] = self.server()["draft"]["drawings"]
        return found

    def kept(self, *shapes: str) -> list[dict[str, Any]]:
        """Wait until the server has drawings of these shapes, in this order."""
        has = [*shapes]
        assert waits_for(lambda: [one["shape"] for one in self.drawings()] == has, 10), has
        return self.drawings()

    def tool(self, name: str) -> Locator:
        return self.page.get_by_role("group", name="Tools").get_by_role(
            "button", name=name, exact=True
        )

    def pen(self) -> Locator:
        return self.page.locator("#point-pen")

    def spot(self, at: Place) -> Place:
        """Where a place of the clip is on the screen."""
        box = self.page.locator("video").first.bounding_box()
        assert box is not None
        return box["x"] + at[0] * box["width"] / WIDTH, box["y"] + at[1] * box["height"] / HEIGHT

    def pixel(self) -> float:
        """A pixel of the screen in pixels of the clip."""
        box = self.page.locator("video").first.bounding_box()
        assert box is not None
        return WIDTH / box["width"]


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    with open_house(tmp_path_factory.mktemp("drawing") / "house") as house:
        yield house


@pytest.fixture
def seeded(house: House, tmp_path: Path) -> Seeded:
    return seed(house, tmp_path, elbow=True)


def signed_in(page: Page, house: House, cookie: str) -> Page:
    page.context.add_cookies([{"name": SESSION_COOKIE, "value": cookie, "url": house.base_url}])
    return page


def near(drawing: dict[str, Any], *places: Place, within: float) -> None:
    for got, wanted in zip(drawing["places"], places, strict=True):
        assert math.dist(got, wanted) <= within, (drawing, places)


def test_by_mouse_and_then_as_the_student_gets_it(
    browser: Browser, house: House, seeded: Seeded
) -> None:
    with device(browser, DESK) as page:
        desk = Drawn(signed_in(page, house, seeded.cookie), house)
        desk.open(seeded)
        _what_moves_the_picture_is_on_the_screen_with_it(desk)
        _an_unsure_point_looks_unsure(desk)
        _the_frames_other_number_is_a_press_away(desk)
        _the_finger_hides_neither_loupe_nor_number(desk)
        _a_drag_draws_an_arrow(desk)
        _two_clicks_draw_a_circle(desk)
        _it_is_moved_recoloured_and_deleted(desk)
        _a_hand_draws_a_free_line(desk)
        _an_instant_leaves_its_drawings(desk)
        _ticks_are_kept(desk)
        _the_preview_shows_it(desk)
        page.get_by_role("button", name="Send to ").click()
        expect(page.get_by_text("You can call it back.")).to_be_visible()
    with device(browser, PHONE, phone=True) as page:
        _the_student_sees_it(signed_in(page, house, seeded.student_cookie), house, seeded)


def _what_moves_the_picture_is_on_the_screen_with_it(desk: Drawn) -> None:
    """Without scrolling, at both sizes, and the picture takes what is left."""
    page = desk.page
    for size in (TABLET, DESK):
        page.set_viewport_size(size)
        pane, controls = page.locator(".pane").first, page.get_by_role("group", name="Frames")
        assert waits_for(lambda: 0 <= size["height"] - _under(controls) < SPARE_PX, 10), size  # noqa: B023 - called here
        assert page.evaluate("scrollY") == 0
        box = pane.bounding_box()
        assert box is not None
        assert box["height"] >= LEAST_PICTURE_PX


def _under(thing: Locator) -> float:
    box = thing.bounding_box()
    assert box is not None
    return box["y"] + box["height"]


def _an_unsure_point_looks_unsure(desk: Drawn) -> None:
    ring = desk.page.locator("[data-unsure]")
    expect(ring).to_have_attribute("data-unsure", "clubhead")
    doubt = UNSURE_PX * math.sqrt(-2 * math.log(0.05))
    assert float(ring.get_attribute("r") or 0) == pytest.approx(
        max(15, doubt / desk.pixel()), rel=0.01
    )
    expect(
        desk.page.get_by_role("button", name="unsure: give or take 49 pixels")
    ).to_have_accessible_name("Clubhead, 300 across, 20 down, unsure: give or take 49 pixels")
    desk.point("Clubhead").press("ArrowRight")
    expect(ring).to_have_count(0)
    desk.saved()
    desk.page.keyboard.press("Control+z")
    expect(ring).to_have_count(1)


def _the_frames_other_number_is_a_press_away(desk: Drawn) -> None:
    page = desk.page
    quiet = page.get_by_role(
        "button", name="Lead elbow: take Lead elbow bend with the lead arm level in hand"
    )
    expect(page.locator("[data-quiet-line]")).to_have_count(2)
    box = quiet.bounding_box()
    assert box is not None
    assert min(box["width"], box["height"]) >= LEAST_TARGET_PX
    quiet.click()
    expect(desk.point("Lead elbow")).to_be_focused()
    expect(desk.point("Clubhead")).to_have_count(0)
    picker = page.get_by_role("group", name="Numbers of this frame")
    expect(picker.get_by_role("status")).to_contain_text("Lead elbow bend with the lead arm level")
    # The grip end lies on the lead wrist, which the elbow's number has too: it is reached all the same.
    page.keyboard.press("n")
    expect(desk.point("Lead shoulder")).to_be_focused()
    expect(desk.point("Grip end")).to_be_visible()
    page.keyboard.press("Shift+N")
    expect(desk.point("Lead elbow")).to_be_visible()
    picker.get_by_role("button", name="Next number").click()
    expect(desk.point("Clubhead")).to_be_visible()
    # One press takes the number and moves its point.
    page.mouse.move(*desk.spot((400.0, 310.0)))
    page.mouse.down()
    page.mouse.move(*desk.spot((400.0, 330.0)), steps=3)
    page.mouse.up()
    assert waits_for(lambda: [one["point"] for one in _placed(desk)] == ["lead_elbow"], 10)
    page.keyboard.press("Control+z")
    assert waits_for(lambda: _placed(desk) == [], 10)
    page.keyboard.press("n")


def _placed(desk: Drawn) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = desk.server()["draft"]["points"]
    return found


def _the_finger_hides_neither_loupe_nor_number(desk: Drawn) -> None:
    """While a point is dragged both stand by the finger, clear of it, and the number changes."""
    page = desk.page
    figure, loupe = page.locator(".pane .figure"), page.locator(".pane .loupe")
    expect(figure).to_contain_text("target 80 to 100°")
    for at in ((300.0, 300.0), (600.0, 1000.0)):
        before = figure.inner_text()
        box = desk.point("Clubhead").bounding_box()
        assert box is not None
        page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        page.mouse.down()
        finger = desk.spot((at[0] + 40, at[1] + 60))
        page.mouse.move(*finger, steps=4)
        expect(figure).not_to_have_text(before)
        for shown in (figure, loupe):
            assert waits_for(lambda: _far(shown, finger) >= FINGERTIP_PX, 5), shown  # noqa: B023 - called here
        assert _far(loupe, finger) <= 2 * FINGERTIP_PX
        page.mouse.up()
        desk.saved()
    for _ in range(2):
        page.keyboard.press("Control+z")
    expect(page.locator("[data-unsure]")).to_have_count(1)


def _far(thing: Locator, at: Place) -> float:
    box = thing.bounding_box()
    assert box is not None
    nearest = (
        min(max(at[0], box["x"]), box["x"] + box["width"]),
        min(max(at[1], box["y"]), box["y"] + box["height"]),
    )
    return math.dist(at, nearest)


def _a_drag_draws_an_arrow(desk: Drawn) -> None:
    desk.tool("Arrow").click()
    expect(desk.page.get_by_text("Draw from tail to tip")).to_be_visible()
    tail, tip = (120.0, 1000.0), (280.0, 420.0)
    mouse = desk.page.mouse
    mouse.move(*desk.spot(tail))
    mouse.down()
    mouse.move(*desk.spot((200.0, 700.0)), steps=3)
    assert desk.drawings() == [], "kept before it was let go"
    mouse.move(*desk.spot(tip), steps=3)
    mouse.up()
    (arrow,) = desk.kept("arrow")
    near(arrow, tail, tip, within=desk.pixel())
    assert (arrow["frame"], arrow["keyframe"], arrow["stroke"]) == (
        LEVEL,
        "lead_arm_parallel",
        "full",
    )
    expect(desk.page.get_by_role("button", name="Arrow 1, tip, ")).to_be_visible()


def _a_hand_draws_a_free_line(desk: Drawn) -> None:
    """Through where the hand was; with a tap for each place it is drawn too, and taken back it is gone."""
    page, mouse = desk.page, desk.page.mouse
    desk.tool("Free line").click()
    bow = [(200.0 + 4 * step, 900.0 + 90 * math.sin(step / 16)) for step in range(60)]
    mouse.move(*desk.spot(bow[0]))
    mouse.down()
    for at in bow[1:]:
        mouse.move(*desk.spot(at))
    mouse.up()
    free = desk.kept("arrow", "free")[1]
    assert 4 <= len(free["places"]) <= MOST_PLACES
    near({**free, "places": [free["places"][0], free["places"][-1]]}, bow[0], bow[-1], within=4)
    for place in free["places"]:
        assert min(math.dist(place, at) for at in bow) <= 4 * desk.pixel()
    expect(page.locator("[data-drawing=free] path").last).to_have_attribute("d", re.compile("C"))
    page.keyboard.press("Control+z")
    desk.kept("arrow")
    desk.tool("Free line").click()
    for at in ((200.0, 900.0), (300.0, 1000.0), (400.0, 900.0)):
        mouse.click(*desk.spot(at))
    page.get_by_role("button", name="The free line is done").click()
    near(desk.kept("arrow", "free")[1], (200, 900), (300, 1000), (400, 900), within=desk.pixel())
    page.get_by_role("button", name="Delete free line 1").click()
    desk.kept("arrow")


def _two_clicks_draw_a_circle(desk: Drawn) -> None:
    page = desk.page
    page.get_by_role("group", name="Stroke").get_by_role("button", name="Broken").click()
    assert waits_for(lambda: desk.drawings()[0]["stroke"] == "broken", 10)
    desk.tool("Line").click()
    page.mouse.click(*desk.spot((300.0, 900.0)))
    desk.tool("Line").focus()
    page.keyboard.press("Escape")
    expect(page.get_by_text("Draw it, or tap both ends.")).to_be_visible()
    desk.tool("Circle").click()
    centre, rim = (500.0, 300.0), (500.0, 420.0)
    page.mouse.click(*desk.spot(centre))
    expect(page.get_by_text("Now the rim")).to_be_visible()
    page.mouse.click(*desk.spot(rim))
    circle = desk.kept("arrow", "circle")[1]
    near(circle, centre, rim, within=desk.pixel())
    assert circle["stroke"] == "broken", "the stroke last chosen"
    assert_accessible(page, "drawings on a still")


def _it_is_moved_recoloured_and_deleted(desk: Drawn) -> None:
    page = desk.page
    whole = page.get_by_role("button", name="Circle 1, centre, ")
    box = whole.bounding_box()
    assert box is not None
    assert min(box["width"], box["height"]) >= LEAST_TARGET_PX
    before = desk.drawings()[1]["places"][0]
    for _ in range(3):
        whole.press("Shift+ArrowDown")
    moved = [before[0], before[1] + 30]
    assert waits_for(lambda: desk.drawings()[1]["places"][0] == moved, 10)
    page.keyboard.press("Control+z")
    assert waits_for(lambda: desk.drawings()[1]["places"][0] == before, 10), "three keys, one step"
    listed = page.get_by_role("list", name="Drawn on this still")
    page.get_by_role("button", name="Delete circle 1").click()
    desk.kept("arrow")
    page.keyboard.press("Control+z")
    desk.kept("arrow", "circle")
    page.keyboard.press("Control+y")
    desk.kept("arrow")
    listed.get_by_role("button", name="Arrow 1").click()
    page.get_by_role("group", name="Stroke").get_by_role("button", name="Full").click()
    assert waits_for(lambda: desk.drawings()[0]["stroke"] == "full", 10)
    page.get_by_role("button", name="Arrow 1, tip, ").press("Escape")
    expect(desk.point("Lead wrist")).to_be_visible()


def _an_instant_leaves_its_drawings(desk: Drawn) -> None:
    page = desk.page
    page.keyboard.press(".")
    desk.expect_frame(LEVEL + 1)
    page.keyboard.press("i")
    left = page.locator(f"[data-left-frame='{LEVEL}']")
    expect(left).to_contain_text(
        f"One drawing stays on frame {LEVEL}, where lead arm parallel was; it is on frame {LEVEL + 1} now."
    )
    desk.saved()
    left.get_by_role("button", name=f"Show frame {LEVEL}").click()
    expect(page.locator("[data-drawing=arrow]")).to_be_visible()
    expect(desk.tool("Arrow")).to_be_disabled()
    assert_accessible(page, "a drawing that its instant left")


def _ticks_are_kept(desk: Drawn) -> None:
    page = desk.page
    page.get_by_text("Judged by eye", exact=True).click()
    face = page.get_by_role("group", name="Clubface at top")
    face.get_by_role("button", name="Open").click()
    face.get_by_role("button", name="Closed").click()
    face.get_by_label("A word on it for the student").fill("It looks at the sky")

    def told() -> Any:  # noqa: ANN401 - any JSON value
        return [(one["seen"], one["words"]) for one in desk.server()["draft"]["by_eye"]]

    assert waits_for(lambda: told() == [("closed", "It looks at the sky")], 10)
    page.get_by_role("button", name="Undo").click()
    assert waits_for(lambda: told() == [("closed", "")], 10)
    page.get_by_role("button", name="Undo").click()
    assert waits_for(lambda: told() == [("open", "")], 10)
    for _ in range(2):
        page.get_by_role("button", name="Redo").click()
    assert waits_for(lambda: told() == [("closed", "It looks at the sky")], 10)
    assert_accessible(page, "judged by eye")


def _the_preview_shows_it(desk: Drawn) -> None:
    page = desk.page
    answer = page.get_by_role("textbox", name="Your answer")
    answer.press_sequentially("Set it a little earlier.")
    desk.saved()
    answer.press("Control+z")
    expect(answer).to_have_value("")
    expect(page.get_by_role("status").filter(has_text="Undone: the words.")).to_be_visible()
    answer.press("Control+Shift+Z")
    expect(answer).to_have_value("Set it a little earlier.")
    assert waits_for(lambda: desk.server()["draft"]["text"] == "Set it a little earlier.", 10)
    page.get_by_role("button", name="Preview").click()
    preview = page.get_by_role("dialog")
    expect(preview.get_by_role("heading", name="Judged by eye by your coach")).to_be_visible()
    expect(preview.locator("[data-drawing=arrow]")).to_have_count(1)
    assert_accessible(page, "preview with drawings")
    preview.get_by_role("button", name="Close").click()


def _the_student_sees_it(page: Page, house: House, seeded: Seeded) -> None:
    page.goto(f"{house.base_url}/student/#/clips/{seeded.submission_id}")
    expect(page.get_by_role("heading", name="Judged by eye by your coach")).to_be_visible()
    face = page.locator("[data-by-eye='top/face']")
    expect(face.get_by_role("term")).to_have_text("Clubface at top")
    expect(face.get_by_role("definition")).to_contain_text("Closed")
    expect(face.get_by_role("definition")).to_contain_text("It looks at the sky")
    drawn = page.get_by_role("img", name="Your coach drew on it: an arrow pointing up, its tip at")
    expect(drawn).to_be_visible()
    expect(page.get_by_text("the frame your coach drew on")).to_be_visible()
    arrow = page.locator("[data-drawing=arrow] path").last
    expect(arrow).to_be_visible()
    loaded = "image => image.complete && image.naturalWidth"
    assert waits_for(lambda: drawn.evaluate(loaded) == WIDTH, 10)
    assert_accessible(page, "the student's answer with a drawing")


def test_by_keys_alone(browser: Browser, house: House, seeded: Seeded) -> None:
    with device(browser, DESK) as page:
        desk = Drawn(signed_in(page, house, seeded.cookie), house)
        desk.open(seeded)
        keys = page.keyboard
        keys.press("]")
        desk.expect_frame(TOP)
        keys.press("t")
        expect(desk.tool("Line")).to_be_focused()
        keys.press("Enter")
        expect(desk.pen()).to_be_focused()
        for key in ("Shift+ArrowUp", "ArrowLeft", "Enter", "Shift+ArrowDown", "Enter"):
            keys.press(key)
        (line,) = desk.kept("line")
        (x, y), (further_x, further_y) = line["places"]
        assert (further_x - x, further_y - y) == (pytest.approx(WIDTH / 8), pytest.approx(50))
        assert (line["frame"], line["keyframe"]) == (TOP, "top")
        expect(page.get_by_role("button", name="Line 1, all of it, ")).to_be_focused()
        keys.press("ArrowRight")
        assert waits_for(lambda: desk.drawings()[0]["places"][0] == [x + 1, y], 10)
        keys.press("t")
        for _ in range(4):
            keys.press("Tab")
        expect(desk.tool("Label")).to_be_focused()
        keys.press("Enter")
        keys.type("Look here: upright L")
        for key in ("Enter", "Shift+ArrowDown", "Enter"):
            keys.press(key)
        assert desk.kept("line", "label")[1]["label"] == "Look here: upright L"
        keys.press("Delete")
        desk.kept("line")
        keys.press("Control+z")
        desk.kept("line", "label")
        keys.press("t")
        keys.press("Enter")
        keys.press("Enter")
        keys.press("Escape")
        keys.press("Escape")
        expect(desk.pen()).to_have_count(0)
        assert len(desk.drawings()) == len(("line", "label"))


def test_by_taps_alone(browser: Browser, house: House, seeded: Seeded) -> None:
    with device(browser, TABLET, phone=True) as page:
        desk = Drawn(signed_in(page, house, seeded.cookie), house)
        desk.open(seeded)
        desk.tool("Line").tap()
        one, other = (100.0, 900.0), (600.0, 950.0)
        page.touchscreen.tap(*desk.spot(one))
        page.touchscreen.tap(*desk.spot(other))
        (line,) = desk.kept("line")
        near(line, one, other, within=2 * desk.pixel())
        end = page.get_by_role("button", name="Line 1, other end, ")
        end.tap()
        expect(page.get_by_text("Tap where it belongs.")).to_be_visible()
        there = (600.0, 700.0)
        page.touchscreen.tap(*desk.spot(there))
        assert waits_for(
            lambda: math.dist(desk.drawings()[0]["places"][1], there) <= 2 * desk.pixel(), 10
        )
        # Beside every stroke: the drawing is laid down, and the number's points are back.
        page.touchscreen.tap(*desk.spot((650.0, 1250.0)))
        expect(desk.point("Lead wrist")).to_be_visible()
        page.touchscreen.tap(*desk.spot((350.0, 800.0)))
        expect(page.get_by_role("button", name="Line 1, all of it, ")).to_be_visible()
        assert_accessible(page, "tablet with a drawing in hand")
        desk.tool("Circle").tap()
        page.touchscreen.tap(*desk.spot((300.0, 600.0)))
        page.get_by_role("button", name="A step back").tap()
        expect(page.get_by_text("Draw from the middle outwards")).to_be_visible()
        page.get_by_role("button", name="A step back").tap()
        expect(desk.pen()).to_have_count(0)
        page.get_by_role("list", name="Drawn on this still").get_by_role("button").tap()
        page.get_by_role("button", name="Delete the drawing in hand").tap()
        desk.kept()
