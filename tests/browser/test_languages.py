"""A student chooses a language; the coach writes to them, looks at the preview, and the student reads just that."""

import os
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from api.http.deps import SESSION_COOKIE
from tests.browser.accessible import assert_accessible
from tests.browser.acts import device
from tests.browser.conftest import DESK, PHONE
from tests.browser.desk import ANGLE, DeskPage
from tests.browser.house import House, open_house
from tests.browser.numbered import Seeded, seed

pytestmark = [pytest.mark.browser, pytest.mark.slow]


@dataclass(frozen=True, slots=True)
class Reads:
    """A language, its name on the pages, how a degree and a date look in it, and words of a coach."""

    tag: str
    name: str
    number: str
    moment: str
    words: str
    way: str = "ltr"


_DIGIT = "[\u0660-\u0669]"
"""Arabic-Indic."""
GERMAN = Reads(
    "de-AT", "German (Austria)", r"\d+,\d°", r"\d{1,2}\. [A-Z]\w+\.?.* \d\d:\d\d", "Langsam."
)
ARABIC = Reads(
    "ar-EG",
    "Arabic (Egypt)",
    f"{_DIGIT}+\u066b{_DIGIT}°",
    rf"{_DIGIT}+ \w+",
    "ببطء، ثم توقف.",
    "rtl",
)
_ISOLATES = str.maketrans("", "", "\u2068\u2069")


@pytest.fixture(scope="module")
def one_house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    with open_house(tmp_path_factory.mktemp("house")) as house:
        yield house


@pytest.fixture
def seeded(one_house: House, tmp_path: Path) -> tuple[House, Seeded]:
    return one_house, seed(one_house, tmp_path)


def _open(page: Page, house: House, cookie: str, path: str) -> None:
    page.context.add_cookies([{"name": SESSION_COOKIE, "value": cookie, "url": house.base_url}])
    page.goto(f"{house.base_url}{path}")


def _look(page: Page, name: str) -> None:
    """Keep a picture for who asked for one."""
    folder = os.environ.get("FAIRLEAD_PICTURES")
    if folder:
        page.screenshot(path=Path(folder) / f"{name}.png", full_page=True)


def _words(part: Locator) -> str:
    return re.sub(r"\s+", " ", part.inner_text().translate(_ISOLATES)).strip()


@pytest.mark.parametrize("reads", [GERMAN, ARABIC], ids=["German", "Arabic"])
def test_what_the_coach_sees_in_the_preview_is_what_the_student_reads(
    browser: Browser, seeded: tuple[House, Seeded], reads: Reads
) -> None:
    house, review = seeded
    with device(browser, PHONE, phone=True) as student, device(browser, DESK) as coach:
        _open(student, house, review.student_cookie, "/student/")
        _choose(student, reads)
        _open(coach, house, review.cookie, f"/desk/#/reviews/{review.review_id}")
        _write_from_a_phrase(coach, DeskPage(coach, house), reads)
        numbers, main_thing = _look_and_send(coach, reads)
        student.locator("a.clip").first.click()
        expect(student.get_by_role("heading", name="The numbers")).to_be_visible()
        page = student.locator("main")
        assert _words(_part(page, "The numbers")) == numbers
        # Who and when follow once it is sent.
        read = _words(_part(page, "Your one main thing"))
        assert read.startswith(main_thing.split(", not sent yet")[0])
        assert re.search(reads.moment, read), read
        assert _direction(student.locator(".lead.words")) == reads.way
        assert_accessible(student, "answer")
        _look(student, f"{reads.tag}-answer")


def _choose(student: Page, reads: Reads) -> None:
    student.get_by_role("link", name="Your language").click()
    student.get_by_label("You read").select_option(reads.tag)
    sample = student.locator(f"[lang={reads.tag}]").last
    assert re.search(reads.number, _words(sample)), _words(sample)
    student.get_by_role("button", name="Keep it").click()
    expect(student.get_by_role("status")).to_contain_text("Kept.")
    assert_accessible(student, "language")
    _look(student, f"{reads.tag}-settings")
    student.get_by_role("link", name="All my clips").click()
    sent = student.locator("time").first
    expect(sent).to_have_attribute("lang", reads.tag)
    assert re.search(reads.moment, _words(sent)), _words(sent)
    _look(student, f"{reads.tag}-clips")


def _write_from_a_phrase(coach: Page, desk: DeskPage, reads: Reads) -> None:
    desk.wait_for_picture()
    expect(coach.locator("[data-reads]")).to_contain_text(f"Reads {reads.name}")
    shown = _words(coach.locator(f"[data-checkpoint={ANGLE}]").first)
    assert re.search(r"\d+\.\d°", shown), "the coach's own numbers stay the coach's"
    coach.get_by_role("button", name="Phrases").click()
    coach.get_by_role("button", name="New phrase").click()
    coach.get_by_label("Name", exact=True).fill("Angle")
    coach.get_by_label("Words", exact=True).fill(f"{reads.words}\n{{{ANGLE}}}")
    coach.get_by_role("button", name="Keep it").click()
    coach.locator(".pick").filter(has_text="Angle").click()
    field = coach.get_by_role("textbox", name="Your answer")
    expect(field).to_have_attribute("lang", reads.tag)
    written = field.input_value().translate(_ISOLATES)
    assert re.fullmatch(rf"{reads.words}\s{reads.number}", written), written
    assert _direction(field) == reads.way
    desk.saved()
    _look(coach, f"{reads.tag}-desk")


def _look_and_send(coach: Page, reads: Reads) -> tuple[str, str]:
    """The numbers and the main thing as the preview shows them."""
    coach.get_by_role("button", name="Preview").click()
    preview = coach.locator("dialog .phone")
    numbers = _words(_part(preview, "The numbers"))
    main_thing = _words(_part(preview, "Your one main thing"))
    assert re.search(reads.number, numbers)
    assert not re.search(r"\d\.\d", numbers, re.ASCII)
    _look(coach, f"{reads.tag}-preview")
    coach.get_by_role("button", name="Close").last.click()
    coach.get_by_role("button", name="Send to").click()
    expect(coach.get_by_role("status").filter(has_text="Sent,")).to_be_visible()
    return numbers, main_thing


def _direction(part: Locator) -> str:
    way: str = part.evaluate("element => getComputedStyle(element).direction")
    return way


def _part(page: Locator, heading: str) -> Locator:
    return page.locator("section").filter(has=page.page.get_by_role("heading", name=heading)).last
