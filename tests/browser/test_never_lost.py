"""Work on the desk outlives a cut line, a reload, another tab and an ended session; an answer is corrected later."""

import re
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Route, expect

from api.db.models import Answer, Review, SignInSession
from api.db.session import make_engine, make_session_factory, transaction
from api.domain.names import KeyframeId
from api.http.deps import SESSION_COOKIE
from api.settings import Settings
from tests.browser.accessible import assert_accessible
from tests.browser.acts import device
from tests.browser.conftest import DESK, PHONE
from tests.browser.desk import LEAD_ARM_PARALLEL, DeskPage
from tests.browser.house import House, open_house, waits_for
from tests.browser.numbered import FACE_ON, Seeded, seed

pytestmark = [pytest.mark.browser, pytest.mark.slow]

_API = re.compile(r"/api/v1/")
WORDS = "Hold it for two seconds."
CHANGED = "I had looked at the wrong moment."
STUDENT = re.compile("^Send to ")


@pytest.fixture(scope="module")
def one_house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    with open_house(tmp_path_factory.mktemp("house")) as house:
        yield house


@pytest.fixture
def place(one_house: House, tmp_path: Path) -> tuple[House, Seeded]:
    """An academy of the test's own in the house that all of them share."""
    return one_house, seed(one_house, tmp_path)


@pytest.fixture
def coach(browser: Browser, place: tuple[House, Seeded]) -> Iterator[DeskPage]:
    house, seeded = place
    with device(browser, DESK) as page:
        signed_in(page.context, house, seeded.cookie)
        page.goto(f"{house.base_url}/desk/#/reviews/{seeded.review_id}")
        desk = DeskPage(page, house)
        desk.wait_for_picture()
        yield desk


def signed_in(context: BrowserContext, house: House, cookie: str) -> None:
    context.add_cookies([{"name": SESSION_COOKIE, "value": cookie, "url": house.base_url}])


class Cut:
    """Nothing of the service gets through until mended; the pages themselves do."""

    def __init__(self, page: Page) -> None:
        self._page = page
        page.route(_API, self._break)

    @staticmethod
    def _break(route: Route) -> None:
        route.abort("internetdisconnected")

    def mend(self) -> None:
        self._page.unroute(_API)


def words(page: Page) -> str:
    return page.get_by_role("textbox", name="Your answer").input_value()


def agreed(coach: DeskPage) -> None:
    """The page and the server say the same number, and the page the same after a reload."""
    assert waits_for(lambda: coach.reading()["source"] == "coach", 10.0)
    moved = coach.reading()["value"]
    coach.page.reload()
    coach.wait_for_picture()
    assert coach.shown_value() == pytest.approx(moved, abs=1e-6)


def test_a_nudged_point_is_kept_when_the_coach_goes_on_at_once(coach: DeskPage) -> None:
    """The number stayed on the page, and the machine's went out."""
    page = coach.page
    _an_instant_moved_by_keys_is_where_they_left_it(coach)
    for onward in (".", "]", "Control+Enter"):
        before = coach.shown_value()
        coach.point("Clubhead").focus()
        page.keyboard.press("Shift+ArrowRight")
        page.keyboard.press(onward)
        assert waits_for(lambda: coach.reading()["value"] != pytest.approx(before, abs=0.1), 10.0)  # noqa: B023 - asked in this round
        agreed(coach)
    page.get_by_role("textbox", name="Your answer").fill(WORDS)
    coach.saved()
    coach.point("Clubhead").focus()
    page.keyboard.press("Shift+ArrowRight")
    shown = coach.shown_value()
    page.get_by_role("button", name=STUDENT).click()
    expect(page.get_by_text(re.compile("^Sent"))).to_be_visible()
    assert coach.reading()["value"] == pytest.approx(shown, abs=1e-6)
    assert coach.reading()["source"] == "coach"


def _an_instant_moved_by_keys_is_where_they_left_it(coach: DeskPage) -> None:
    """Undo came before the move it was meant for; with the other clip taken up at once, that clip's instant was moved."""
    page = coach.page
    face_on = coach.server()["submission"]["clips"][0]["id"]
    for onward, left in (("Control+z", []), ("x", [(face_on, FACE_ON.frames[1] + 1)])):
        page.get_by_role("slider", name="Lead arm parallel").focus()
        page.keyboard.press("ArrowRight")
        page.keyboard.press(onward)
        page.wait_for_timeout(700)  # a run of keys that was not sent yet is sent by now
        coach.saved()
        marks = [(one["clip_id"], one["frame"]) for one in coach.server()["draft"]["marks"]]
        assert marks == left, onward
    page.keyboard.press("Control+z")
    assert waits_for(lambda: coach.server()["draft"]["marks"] == [], 5.0)
    page.reload()
    coach.wait_for_picture()


def test_what_a_tablet_and_a_bad_line_do_to_a_review(coach: DeskPage) -> None:
    page = coach.page
    before = coach.shown_value()
    box = coach.point("Clubhead").bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    touch = page.context.new_cdp_session(page)
    at = [{"x": x, "y": y}]
    touch.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": at})
    for step in range(1, 6):
        at = [{"x": x + 8 * step, "y": y}]
        touch.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": at})
    assert waits_for(lambda: coach.shown_value() != before, 5.0), "it is dragged"
    touch.send("Input.dispatchTouchEvent", {"type": "touchCancel", "touchPoints": []})
    assert waits_for(lambda: coach.shown_value() == before, 5.0)
    assert coach.reading()["source"] == "machine"
    _moves_the_picture_by_buttons(page)
    _undo_is_by_the_picture_on_a_phone(page)
    _is_told_beside_the_button_what_was_not_sent(coach)


def _is_told_beside_the_button_what_was_not_sent(coach: DeskPage) -> None:
    page = coach.page
    page.get_by_role("textbox", name="Your answer").fill(WORDS)
    coach.saved()
    _can_let_a_slow_send_be(page)
    cut = Cut(page)
    page.get_by_role("button", name=STUDENT).click()
    told = page.locator("[data-part=finish]").get_by_text("It was not sent")
    expect(told).to_be_in_viewport()
    assert_accessible(page, "a send that did not happen")
    cut.mend()
    page.get_by_role("button", name=STUDENT).click()
    expect(page.get_by_text(re.compile("^Sent"))).to_be_visible()


def _can_let_a_slow_send_be(page: Page) -> None:
    def no_answer(_: Route) -> None:
        """The line is there, and nothing comes back."""

    page.route("**/renew", no_answer)
    send = page.get_by_role("button", name=STUDENT)
    send.scroll_into_view_if_needed()
    stays = [send, page.get_by_role("region", name="Keyframes").get_by_role("list")]
    stood = [one.bounding_box() for one in stays]
    send.click()
    row = page.locator("[data-part=finish] [data-part=ending]")
    expect(row).to_contain_text("Sending …")
    assert [one.bounding_box() for one in stays] == stood, "nothing moves under the hand"
    expect(row).to_contain_text("It waits for the connection.")
    expect(row).to_be_in_viewport(ratio=1)
    row.get_by_role("button", name="Not yet").click()
    expect(row).to_have_text("")
    expect(page.get_by_role("textbox", name="Your answer")).to_be_editable()
    page.unroute("**/renew")


def _moves_the_picture_by_buttons(page: Page) -> None:
    page.get_by_role("button", name="Nearer").click()
    page.get_by_role("button", name="Nearer").click()
    group = page.get_by_role("group", name="Move the picture")
    stood = _top(page)
    group.get_by_role("button", name="Down").click()
    assert waits_for(lambda: _top(page) < stood, 5.0), "further down comes into view"
    assert_accessible(page, "a picture that is larger than its pane")


def _undo_is_by_the_picture_on_a_phone(page: Page) -> None:
    """It lay below the list of instants, a screen away from what it takes back."""
    as_before = page.viewport_size
    assert as_before is not None
    page.set_viewport_size(PHONE)
    undo = page.get_by_role("button", name="Undo").bounding_box()
    pane = page.locator(".pane").bounding_box()
    assert undo is not None
    assert pane is not None
    below = undo["y"] - pane["y"] - pane["height"]
    assert 0 < below < PHONE["height"] / 2
    page.set_viewport_size(as_before)


def _top(page: Page) -> float:
    box = page.locator(".pane .picture").bounding_box()
    assert box is not None
    return box["y"]


def test_a_cut_line_and_a_reload_lose_nothing(
    browser: Browser, coach: DeskPage, place: tuple[House, Seeded]
) -> None:
    house, seeded = place
    page = coach.page
    start = coach.frame()
    cut = Cut(page)
    coach.point("Clubhead").focus()
    for _ in range(3):
        page.keyboard.press("ArrowRight")
    page.wait_for_timeout(700)  # a run of nudges is one change, sent when it rests
    page.get_by_role("button", name="Top", exact=False).first.click()
    coach.expect_frame(FACE_ON.keyframes[KeyframeId.TOP])
    page.keyboard.press(".")
    page.get_by_role("button", name="Set here").click()
    page.get_by_role("textbox", name="Your answer").fill(WORDS)
    expect(page.get_by_text("No connection. Kept in this browser")).to_be_visible()
    assert_accessible(page, "no connection")

    page.reload()
    again = page.get_by_role("button", name="Try again")
    expect(again).to_be_visible()
    cut.mend()
    assert coach.server()["draft"]["text"] == ""
    assert coach.server()["draft"]["marks"] == []
    again.click()
    coach.wait_for_picture()
    expect(page.get_by_text("was put back")).to_be_visible()
    coach.saved()
    draft = coach.server()["draft"]
    assert draft["text"] == WORDS == words(page)
    top = FACE_ON.keyframes[KeyframeId.TOP]
    assert [(one["keyframe"], one["frame"]) for one in draft["marks"]] == [("top", top + 1)]
    (moved,) = draft["points"]
    assert (moved["keyframe"], moved["point"]) == (LEAD_ARM_PARALLEL, "clubhead")
    assert moved["frame"] == start
    assert_accessible(page, "put back")

    page.get_by_role("button", name=STUDENT).click()
    expect(page.get_by_role("button", name="Call it back")).to_be_visible()
    assert coach.server()["state"] == "answered"
    _corrected_later(browser, coach, house, seeded)


def _corrected_later(browser: Browser, coach: DeskPage, house: House, seeded: Seeded) -> None:
    """After the minutes of calling back; the student reads on, then sees what has changed and what it said."""
    page = coach.page
    _let_time_pass(house, timedelta(hours=1))
    page.reload()
    page.get_by_role("button", name="Correct it").click()
    expect(page.get_by_text("You are correcting an answer")).to_be_visible()
    expect(page.get_by_text("Say what has changed")).to_be_visible()
    # The button that was pressed is gone: who works by keys goes on where it stood.
    expect(page.get_by_role("textbox", name="What has changed?")).to_be_focused()
    page.get_by_role("textbox", name="Your answer").fill("Hold it for one second.")
    page.get_by_role("textbox", name="What has changed?").fill(CHANGED)
    coach.saved()
    assert_accessible(page, "correcting")
    with device(browser, PHONE, phone=True) as phone:
        signed_in(phone.context, house, seeded.student_cookie)
        phone.goto(f"{house.base_url}/student/#/clips/{seeded.submission_id}")
        expect(phone.get_by_text(WORDS)).to_be_visible()
        page.get_by_role("button", name=re.compile("^Send the correction to ")).click()
        expect(page.get_by_role("button", name="Call it back")).to_be_visible()
        phone.reload()
        corrected = phone.get_by_role("region", name=re.compile("^Corrected on "))
        expect(corrected.get_by_text(CHANGED)).to_be_visible()
        expect(phone.get_by_text("Hold it for one second.")).to_be_visible()
        expect(phone.get_by_text(WORDS)).to_be_hidden()
        corrected.get_by_text("What it said before").click()
        expect(phone.get_by_text(WORDS)).to_be_visible()
        assert_accessible(phone, "a corrected answer")


def _let_time_pass(house: House, by: timedelta) -> None:
    settings = Settings(data_dir=house.folder, base_url=house.base_url)
    engine = make_engine(settings.effective_database_url)
    with transaction(make_session_factory(engine)) as session:
        for answer in session.query(Answer):
            answer.sent_at -= by
            answer.first_sent_at -= by
        for review in session.query(Review).filter(Review.answered_at.is_not(None)):
            assert review.answered_at is not None
            review.answered_at -= by
    engine.dispose()


def test_two_tabs_know_of_each_other_and_the_one_at_rest_follows(coach: DeskPage) -> None:
    page = coach.page
    other = page.context.new_page()
    other.goto(page.url)
    expect(other.get_by_text("Open in another tab too")).to_be_visible()
    expect(page.get_by_text("Open in another tab too")).to_be_visible()
    assert_accessible(page, "open in another tab")
    other.get_by_role("textbox", name="Your answer").fill(WORDS)
    expect(page.get_by_role("textbox", name="Your answer")).to_have_value(WORDS)
    other.close()
    expect(page.get_by_text("Open in another tab too")).to_have_count(0)


def test_signed_out_in_the_middle_of_a_word(coach: DeskPage, place: tuple[House, Seeded]) -> None:
    house, seeded = place
    page = coach.page
    _end_sessions(house)
    page.get_by_role("textbox", name="Your answer").fill(WORDS)
    expect(page.get_by_text("You are signed out", exact=True)).to_be_visible()
    assert words(page) == WORDS
    assert_accessible(page, "signed out")
    _end_sessions(house, again=True)
    coach.saved()
    expect(page.get_by_text("You are signed out", exact=True)).to_have_count(0)
    assert waits_for(lambda: bool(coach.server()["draft"]["text"] == WORDS), 5)
    assert seeded.review_id == coach.review_id


def _end_sessions(house: House, *, again: bool = False) -> None:
    """End every session, or let them go on: what a sign-in in another tab does for this one."""
    settings = Settings(data_dir=house.folder, base_url=house.base_url)
    engine = make_engine(settings.effective_database_url)
    with transaction(make_session_factory(engine)) as session:
        for row in session.query(SignInSession):
            row.ended_at = None if again else row.created_at
    engine.dispose()


def test_a_new_film_is_asked_for_with_a_marked_frame(
    browser: Browser, coach: DeskPage, place: tuple[House, Seeded]
) -> None:
    house, seeded = place
    page = coach.page
    page.get_by_role("button", name="Ask for a new clip instead").click()
    form = page.get_by_role("form", name="Ask for a new clip")
    form.get_by_role("checkbox", name="Something is cut off").check()
    form.get_by_role("checkbox", name="Dark or blurred").check()
    expect(form.get_by_label("What the student reads")).to_have_value(
        re.compile("out of the picture.*too dark", re.DOTALL)
    )
    page.reload()
    coach.wait_for_picture()
    page.get_by_role("button", name="Go on asking for a new clip").click()
    expect(form.get_by_role("checkbox", name="Dark or blurred")).to_be_checked()
    form.get_by_role("button", name="Mark a spot").click()
    spot = form.get_by_role("button", name="The marked spot")
    spot.focus()
    page.keyboard.press("ArrowUp")
    form.get_by_label("What is there to see?").fill("The clubhead has left the picture.")
    assert_accessible(page, "asking for a new clip")
    form.get_by_role("button", name="Ask for a new clip").click()
    expect(page.get_by_role("heading", name="Queue")).to_be_visible()
    with device(browser, PHONE, phone=True) as phone:
        signed_in(phone.context, house, seeded.student_cookie)
        phone.goto(f"{house.base_url}/student/#/clips/{seeded.submission_id}")
        again = phone.get_by_role("region", name="Film again")
        expect(again.get_by_text("It costs you nothing.")).to_be_visible()
        expect(again.get_by_role("img", name=re.compile("feet cut off"))).to_be_visible()
        expect(
            again.get_by_role("img", name=re.compile("circle. The clubhead has left"))
        ).to_be_visible()
        # The frame is one of which a still is kept: the student sees that very picture.
        still = again.locator("img[src*='/media/']")
        assert waits_for(lambda: bool(still.evaluate("image => image.naturalWidth > 0")), 10)
        assert_accessible(phone, "film again")
