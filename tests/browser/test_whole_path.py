"""From a phone clip to an answer, with a real browser against real server processes.

Once as on a laptop (SQLite, a polling worker), once as in production (PostgreSQL, Celery on Redis).
"""

import signal
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from tests.browser.accessible import assert_accessible, assert_readable_enlarged
from tests.browser.acts import (
    CLIPS,
    MEASURED_WITHIN_MS,
    accept_invitation,
    device,
    fill_new_clip,
    found_academy,
    invite,
    mailed_link,
    press_send,
    say_of_age_and_agree,
)
from tests.browser.conftest import DESK, PHONE
from tests.browser.desk import ANGLE, LEAD_ARM_PARALLEL, DeskPage
from tests.browser.house import House, waits_for
from tests.browser.line import Line

pytestmark = [pytest.mark.browser, pytest.mark.slow]

STUDENT, STUDENT_MAIL = "Ana Horvat", "ana@heron.example"
COACH, COACH_MAIL = "Tom Byrne", "tom@heron.example"
QUESTION = "My irons start left and stay low. Is it the wrists?"
MAIN_THING = "Let the chest carry the arms a little longer."
ANSWER = f"{MAIN_THING}\n\nYour set-up is sound: leave it alone."
FROM_OTHER_TAB = "Written in another tab."
DRILL = "Stop with the lead arm level"
DRAGGED_PX = 12
TARGET = {
    "Just off, from": "78",
    "On target, from": "85",
    "On target, to": "95",
    "Just off, to": "105",
}
WHY = "A little less suits your wrists."


@pytest.fixture
def phone(browser: Browser) -> Iterator[Page]:
    with device(browser, PHONE, phone=True) as page:
        yield page


@pytest.fixture
def laptop(browser: Browser) -> Iterator[Page]:
    with device(browser, DESK) as page:
        yield page


def test_a_clip_goes_in_from_a_phone_and_an_answer_comes_back(
    browser: Browser, house: House, phone: Page, laptop: Page
) -> None:
    trouble = _listen(phone, laptop)
    _academy_invites(browser, house)
    _student_sends_over_a_bad_line(phone, house)
    _student_watches(phone)
    desk = _coach_claims(laptop, house)
    _coach_steps_and_moves_a_keyframe(desk)
    _coach_drags_a_point(desk)
    _coach_sets_a_target(desk)
    _coach_writes(desk)
    _two_tabs_cannot_overwrite_each_other(desk)
    _coach_sends(desk)
    _student_reads(phone, desk)
    _coach_sees_what_was_learnt(laptop)
    if house.environment["FAIRLEAD_DATABASE_URL"]:
        return
    # What the databases do with the rest is tried without a browser.
    _student_practises_and_films_the_proof(phone, house)
    _coach_answers_the_proof(laptop, house)
    _student_sees_whether_the_stop_was_held(phone)
    assert trouble == []


def _listen(*pages: Page) -> list[str]:
    """Collect what scripts complain about. Cut lines and refusals are meant, and not counted."""
    heard: list[str] = []
    for page in pages:
        page.on("pageerror", lambda error: heard.append(str(error)))
        page.on(
            "console",
            lambda message: (
                heard.append(message.text)
                if message.type == "error" and "Failed to load resource" not in message.text
                else None
            ),
        )
    return heard


def _academy_invites(browser: Browser, house: House) -> None:
    link = found_academy(
        house,
        name="Heron Links",
        admin="Mara Kovac",
        email="mara@heron.example",
        zone="Europe/Dublin",
    )
    with device(browser, DESK) as admin:
        accept_invitation(admin, link)
        expect(admin.get_by_role("heading", name="Heron Links")).to_be_visible()
        invite(admin, STUDENT, STUDENT_MAIL, "student")
        invite(admin, COACH, COACH_MAIL, "coach")
        assert_accessible(admin, "office")


def _student_sends_over_a_bad_line(phone: Page, house: House) -> None:
    """The line breaks after a third; the API is killed and the page reloaded; it goes on."""
    accept_invitation(phone, mailed_link(phone, house, STUDENT_MAIL))
    say_of_age_and_agree(phone)
    expect(phone.get_by_role("heading", name="My clips")).to_be_visible()
    phone.get_by_role("link", name="What to film").first.click()
    expect(phone.get_by_role("heading", name="Down-the-line")).to_be_visible()
    assert_accessible(phone, "what to film")
    phone.get_by_role("link", name="My clips").click()
    fill_new_clip(phone, view="Face-on", clip=CLIPS / "face_on_neutral.mp4", note=QUESTION)
    assert_accessible(phone, "new clip")

    _throttle(phone)
    line = Line(phone, pieces=1)
    press_send(phone)
    sending = phone.get_by_role("region", name="Sending face-on")
    expect(sending.get_by_text("The connection dropped", exact=True)).to_be_visible()
    arrived = _share(sending)
    assert 25 <= arrived <= 65, arrived
    assert_accessible(phone, "the connection dropped")

    house.stop("api", signal.SIGKILL)
    house.start("api")
    broken = line.broken
    phone.reload()
    # The page has found the file again by itself, and tries; the line is still cut.
    expect(sending.get_by_text("The connection dropped", exact=True)).to_be_visible()
    assert line.broken > broken
    assert _share(sending) == arrived

    line.let(1)
    sending.get_by_role("button", name="Try now").click()
    expect(sending.get_by_text("The connection dropped", exact=True)).to_be_visible()
    assert waits_for(lambda: _share(sending) > arrived, 10), "nothing more arrived"

    line.mend()
    sending.get_by_role("button", name="Try now").click()
    expect(sending).to_have_count(0, timeout=60_000)
    assert line.offsets == sorted(set(line.offsets)), "what had arrived was sent again"
    assert _kept_films(house) == {_sum(CLIPS / "face_on_neutral.mp4")}


def _throttle(phone: Page) -> None:
    """One bar of signal: 750 kbit a second up, twice that down, a tenth of a second late."""
    phone.context.new_cdp_session(phone).send(
        "Network.emulateNetworkConditions",
        {
            "offline": False,
            "latency": 100,
            "downloadThroughput": 1_500_000 / 8,
            "uploadThroughput": 750_000 / 8,
        },
    )


def _sum(path: Path) -> str:
    return sha256(path.read_bytes()).hexdigest()


def _kept_films(house: House) -> set[str]:
    """Checksums of the films that the service keeps as they were sent."""
    return {_sum(path) for path in house.folder.rglob("original")}


def _share(sending: Locator) -> int:
    return int(float(sending.get_by_role("progressbar").get_attribute("value") or "nan"))


def _student_watches(phone: Page) -> None:
    phone.get_by_role("link", name="7-iron").first.click()
    where = phone.get_by_role("region", name="Where it is")
    now = where.locator("[aria-current=step]")
    expect(now).to_contain_text("being measured")
    expect(phone.get_by_role("progressbar", name="Measuring")).to_be_visible()
    assert_accessible(phone, "being measured")
    expect(now).to_contain_text("Waiting for a coach", timeout=MEASURED_WITHIN_MS)
    expect(now).to_contain_text("Dublin time")
    expect(phone.get_by_text("One swing was found.")).to_be_visible()
    assert_accessible(phone, "measured")
    assert_readable_enlarged(phone, "measured")


def _coach_claims(laptop: Page, house: House) -> DeskPage:
    accept_invitation(laptop, mailed_link(laptop, house, COACH_MAIL))
    row = laptop.get_by_role("row").filter(has_text=STUDENT)
    expect(row).to_be_visible()
    assert_accessible(laptop, "queue")
    row.get_by_role("button", name="Take this").click()
    desk = DeskPage(laptop, house)
    expect(laptop.get_by_text(QUESTION)).to_be_visible()
    desk.wait_for_picture()
    assert_accessible(laptop, "review")
    return desk


def _coach_steps_and_moves_a_keyframe(desk: DeskPage) -> None:
    start = desk.frame()
    assert start == desk.reading()["frame"]
    desk.expect_frame(start)
    for step in (1, 2, 3):
        desk.page.keyboard.press(".")
        desk.expect_frame(start + step)
    # A renewed claim brings the review again: the picture stays where the coach has put it.
    with desk.page.expect_response(lambda answer: answer.url.endswith("/renew")):
        desk.page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    desk.expect_frame(start + 3)
    desk.page.keyboard.press(",")
    desk.expect_frame(start + 2)
    desk.page.keyboard.press("Shift+Comma")
    desk.expect_frame(start - 8)
    desk.page.get_by_role("button", name="Lead arm parallel", exact=False).first.click()
    desk.expect_frame(start)

    desk.page.keyboard.press(".")
    desk.expect_frame(start + 1)
    machine = desk.shown_value()
    desk.page.get_by_role("button", name="Set here").click()
    desk.saved()
    assert [(mark["keyframe"], mark["frame"]) for mark in desk.server()["draft"]["marks"]] == [
        (LEAD_ARM_PARALLEL, start + 1)
    ]
    desk.wait_for_picture()
    reading = desk.reading()
    assert (reading["source"], reading["frame"]) == ("coach", start + 1)
    assert desk.shown_value() == pytest.approx(reading["value"], abs=1e-9)
    assert desk.shown_value() != machine


def _coach_drags_a_point(desk: DeskPage) -> None:
    before = desk.shown_value()
    box = desk.point("Clubhead").bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    mouse = desk.page.mouse
    mouse.move(x, y)
    mouse.down()
    mouse.move(x + DRAGGED_PX, y, steps=4)
    live = desk.shown_value()
    assert abs(live - before) > 1, "the number did not follow the finger"
    assert desk.server()["draft"]["points"] == [], "sent before it was let go"
    mouse.up()
    assert waits_for(lambda: len(desk.server()["draft"]["points"]) == 1, 10)
    reading = desk.reading()
    assert reading["value"] == pytest.approx(live, abs=1e-9)
    assert desk.shown_value() == pytest.approx(live, abs=1e-9)

    # The keyboard does the same, and undo takes a run of arrow keys back in one step.
    desk.point("Clubhead").focus()
    for _ in range(3):
        desk.page.keyboard.press("ArrowRight")
    nudged = desk.shown_value()
    assert nudged != live
    assert waits_for(lambda: bool(desk.reading()["value"] == pytest.approx(nudged, abs=1e-9)), 10)
    desk.page.get_by_role("button", name="Undo").click()
    assert waits_for(lambda: bool(desk.reading()["value"] == pytest.approx(live, abs=1e-9)), 10)


def _coach_sets_a_target(desk: DeskPage) -> None:
    """For this student alone; what is typed wrongly is said in words and not sent."""
    card = desk.page.locator(f"[data-checkpoint={ANGLE}]").first
    card.get_by_text(f"Set a target for {STUDENT}").click()
    assert_accessible(desk.page, "a target")
    card.get_by_label("On target, to").fill("75")
    card.get_by_role("button", name="Set this target").click()
    expect(card.get_by_role("alert")).to_contain_text("“On target, from” lies above")
    assert desk.reading()["own_bands"] is None
    for name, number in TARGET.items():
        card.get_by_label(name).fill(number)
    card.get_by_label("Why").fill(WHY)
    card.get_by_role("button", name="Set this target").click()
    expect(card.get_by_text("Own target: 85 to 95°")).to_be_visible()
    assert desk.reading()["own_bands"]["good_low"] == 85.0


def _coach_writes(desk: DeskPage) -> None:
    page = desk.page
    expect(page.get_by_role("button", name=f"Send to {STUDENT}")).to_be_disabled()
    page.get_by_role("textbox", name="Your answer").fill(ANSWER)
    page.get_by_label("Drill", exact=True).select_option(label=DRILL)
    page.get_by_role("button", name="Add", exact=True).click()
    page.get_by_role("group", name=DRILL).get_by_label("Sets").fill("4")
    assert waits_for(lambda: [one["sets"] for one in desk.server()["draft"]["drills"]] == [4], 10)
    page.reload()
    desk.wait_for_picture()
    expect(page.get_by_role("textbox", name="Your answer")).to_have_value(ANSWER)


def _two_tabs_cannot_overwrite_each_other(desk: DeskPage) -> None:
    page = desk.page
    other = page.context.new_page()
    # As on another device: tabs of one browser know of each other (``test_never_lost.py``).
    other.add_init_script("delete window.BroadcastChannel")
    other.goto(page.url)
    box = other.get_by_role("textbox", name="Your answer")
    expect(box).to_have_value(ANSWER)
    box.fill(FROM_OTHER_TAB)
    assert waits_for(lambda: bool(desk.server()["draft"]["text"] == FROM_OTHER_TAB), 10)
    other.close()

    words = page.get_by_role("textbox", name="Your answer")
    words.fill(f"{ANSWER}\nTwice.")
    expect(page.get_by_text("changed in another tab")).to_be_visible()
    assert desk.server()["draft"]["text"] == FROM_OTHER_TAB
    page.get_by_role("button", name="Reload").click()
    expect(words).to_have_value(FROM_OTHER_TAB)
    assert_accessible(page, "words that were never saved")
    page.get_by_role("button", name="Put them back").click()
    expect(words).to_have_value(f"{ANSWER}\nTwice.")
    words.fill(ANSWER)
    assert waits_for(lambda: bool(desk.server()["draft"]["text"] == ANSWER), 10)


def _coach_sends(desk: DeskPage) -> None:
    page = desk.page
    page.get_by_role("button", name="Preview").click()
    preview = page.get_by_role("dialog")
    expect(preview.get_by_text(MAIN_THING)).to_be_visible()
    expect(preview.get_by_text("4 sets of")).to_be_visible()
    assert_accessible(page, "preview")
    preview.get_by_role("button", name="Close").click()
    page.get_by_role("button", name=f"Send to {STUDENT}").click()
    expect(page.get_by_role("button", name="Call it back")).to_be_visible()
    assert desk.server()["state"] == "answered"
    assert_accessible(page, "sent")


def _student_reads(phone: Page, desk: DeskPage) -> None:
    reading = desk.reading()
    phone.get_by_role("link", name="All my clips").click()
    phone.get_by_role("link", name="Answered").click()
    expect(phone.get_by_text(MAIN_THING)).to_be_visible()
    # Once as the number, and again where it is the reason of what stood out.
    expect(phone.get_by_text(f"{reading['value']:.1f}°, give or take").first).to_be_visible()
    expect(phone.get_by_text(f"Your coach's own target for you: 85 to 95°. {WHY}")).to_be_visible()
    picture = phone.get_by_role("img", name="at lead arm parallel, with lines through")
    expect(picture).to_be_visible()
    assert picture.evaluate("async image => (await image.decode(), image.naturalWidth > 0)")
    drill = phone.get_by_role("article").filter(has_text=DRILL)
    expect(drill.get_by_text("4 sets of")).to_be_visible()
    expect(drill.get_by_text("Take care.")).to_be_visible()
    assert_accessible(phone, "answer")
    assert_readable_enlarged(phone, "answer")


def _coach_sees_what_was_learnt(laptop: Page) -> None:
    """One correction teaches nothing yet; it is counted, with the clips that it was made on."""
    laptop.get_by_role("link", name="Corrections").click()
    expect(laptop.get_by_role("heading", name="What corrections teach")).to_be_visible()
    row = laptop.get_by_role("row").filter(has_text="Lead arm to shaft angle")
    expect(row.get_by_text("1 correction: nothing learnt yet. It takes 3.")).to_be_visible()
    assert_accessible(laptop, "corrections")


def _student_practises_and_films_the_proof(phone: Page, house: House) -> None:
    phone.get_by_role("link", name="Practice").click()
    today = phone.get_by_role("article").filter(has_text=DRILL)
    today.get_by_role("button", name="Set 1").click()
    expect(today).to_contain_text("1 of 5 days this week")
    today.get_by_role("link", name="Film it for your coach").click()
    proof = CLIPS / "face_on_pause.mp4"
    phone.get_by_label("Face-on clip").set_input_files(proof)
    phone.get_by_label("With a pause").check()
    phone.get_by_label("Left-handed").check()
    press_send(phone)
    sending = phone.get_by_role("region", name="Sending face-on")
    expect(sending).to_have_count(0, timeout=60_000)
    assert _sum(proof) in _kept_films(house)
    phone.get_by_role("link", name="7-iron").first.click()
    now = phone.get_by_role("region", name="Where it is").locator("[aria-current=step]")
    expect(now).to_contain_text("Waiting for a coach", timeout=MEASURED_WITHIN_MS)


def _coach_answers_the_proof(laptop: Page, house: House) -> None:
    laptop.get_by_role("link", name="Queue").click()
    row = laptop.get_by_role("row").filter(has_text=STUDENT)
    expect(row).to_contain_text(f"Proof of {DRILL}")
    row.get_by_role("button", name="Take this").click()
    desk = DeskPage(laptop, house)
    desk.wait_for_picture()
    laptop.get_by_role("textbox", name="Your answer").fill("That is a stop. Keep it.")
    desk.saved()
    laptop.get_by_role("button", name=f"Send to {STUDENT}").click()
    expect(laptop.get_by_role("button", name="Call it back")).to_be_visible()


def _student_sees_whether_the_stop_was_held(phone: Page) -> None:
    phone.reload()
    last = phone.get_by_role("region", name="Your last drill")
    expect(last.get_by_role("heading", name=DRILL)).to_be_visible()
    pause = last.locator("[data-checkpoint=pause_length]")
    expect(pause).to_contain_text("It asked for a pause")
    expect(pause.locator(".figures")).to_contain_text("second")
