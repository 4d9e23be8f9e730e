"""Filming inside the student's page, with a camera that sees a golfer: the live check, takes, cutting, sending.

The camera plays frames of a kept clip (``tests/browser/fake_camera.py``).
"""

import hashlib
import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import av
import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.accessible import assert_accessible
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
)
from tests.browser.conftest import DESK, PHONE
from tests.browser.fake_camera import RATE, film_from, switches
from tests.browser.house import House, open_house
from tests.chromium import launch

pytestmark = [pytest.mark.browser, pytest.mark.slow]

ON_ITS_SIDE = {"width": PHONE["height"], "height": PHONE["width"]}
CHECKED_WITHIN_MS = 60_000
"""The networks start in about two seconds on a quiet machine."""
LEAST_CONTRAST = 7.0

SHA256_OF_TAKES = """async () => {
  const database = await new Promise((tell, fail) => {
    const asked = indexedDB.open("fairlead-takes", 1);
    asked.onsuccess = () => tell(asked.result);
    asked.onerror = () => fail(asked.error);
  });
  const takes = await new Promise((tell) => {
    const asked = database.transaction("takes").objectStore("takes").getAll();
    asked.onsuccess = () => tell(asked.result);
  });
  database.close();
  return Promise.all(takes.map(async (take) => {
    const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", await take.file.arrayBuffer()));
    return Array.from(digest, (byte) => byte.toString(16).padStart(2, "0")).join("");
  }));
}"""

COLOURS = """element => {
  const style = getComputedStyle(element);
  return [style.color, style.backgroundColor].map((colour) => colour.match(/[0-9.]+/g).slice(0, 3).map(Number));
}"""


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    """The whole service, as on a laptop."""
    with open_house(tmp_path_factory.mktemp("filming")) as house:
        yield house


@pytest.fixture(scope="module")
def cookies(house: House, browser: Browser) -> list[Any]:
    """Of a student who is signed in, for browsers with cameras of their own."""
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
        invite(admin, "Ana Horvat", "ana@heron.example", "student")
    with device(browser, PHONE, phone=True) as page:
        accept_invitation(page, mailed_link(page, house, "ana@heron.example"))
        expect(page.get_by_role("heading", name="My clips")).to_be_visible()
        return list(page.context.cookies())


@contextmanager
def phone_with_camera(
    browser: Browser, house: House, cookies: list[Any], *more: str
) -> Iterator[Page]:
    """A signed-in phone on the page for a new clip, in a browser of its own with switches."""
    own = launch(browser.browser_type, *more)
    try:
        with device(own, PHONE, phone=True) as page:
            page.context.add_cookies(cookies)
            page.goto(f"{house.base_url}/student/#/new")
            expect(page.get_by_role("heading", name="Send a clip")).to_be_visible()
            yield page
    finally:
        own.close()


def open_camera(page: Page, view: str = "face-on") -> None:
    page.get_by_role("button", name=f"Film {view} here").click()
    expect(page.get_by_role("dialog", name=f"Film {view}")).to_be_visible()


def headline(page: Page) -> Any:  # noqa: ANN401 - Playwright's locator
    return page.get_by_role("dialog").locator(".band")


def contrast(page: Page) -> float:
    """Of the headline's letters on its band, by WCAG's formula."""
    lights = []
    words, ground = (
        headline(page).locator("p").evaluate(COLOURS)[0],
        headline(page).evaluate(COLOURS)[1],
    )
    for colour in (words, ground):
        parts = [part / 255.0 for part in colour]
        red, green, blue = (
            p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts
        )
        lights.append(0.2126 * red + 0.7152 * green + 0.0722 * blue)
    light, dark = max(lights), min(lights)
    return (light + 0.05) / (dark + 0.05)


def film_for(page: Page, seconds: float) -> None:
    page.get_by_label("Countdown").select_option("5")
    page.get_by_role("button", name="Start").click()
    expect(page.get_by_role("timer", name="Seconds until filming")).to_be_visible()
    stop = page.get_by_role("button", name="Stop")
    expect(stop).to_be_visible(timeout=15_000)
    assert_accessible(page, "filming")
    page.wait_for_timeout(seconds * 1000)
    stop.click()
    expect(page.get_by_role("heading", name="Takes, face-on")).to_be_visible(timeout=30_000)


def test_a_student_films_here_cuts_a_take_and_sends_it(
    browser: Browser, house: House, cookies: list[Any], tmp_path: Path
) -> None:
    film = film_from(CLIPS / "face_on_neutral.mp4", tmp_path / "good.y4m")
    with phone_with_camera(browser, house, cookies, *switches(film)) as page:
        trouble: list[str] = []
        page.on("pageerror", lambda error: trouble.append(str(error)))
        open_camera(page)
        expect(headline(page)).to_contain_text("Good. You can film.", timeout=CHECKED_WITHIN_MS)
        expect(page.get_by_text("The camera gives 30 pictures a second here")).to_be_visible()
        assert contrast(page) >= LEAST_CONTRAST
        assert_accessible(page, "the camera")
        film_for(page, 6.0)
        take = page.get_by_role("listitem").filter(has_text="Take 1")
        expect(take.get_by_text("This phone gave 30 pictures a second")).to_be_visible()
        assert_accessible(page, "takes")

        # A reload loses nothing.
        page.reload()
        open_camera(page)
        page.get_by_role("button", name="Takes (1)").click()
        film_another(page)
        page.get_by_role("button", name="Delete take 1").click()
        page.get_by_role("button", name="Yes, delete it").click()
        expect(page.get_by_role("button", name="Use take 2")).to_have_count(0)
        whole = seconds_of(page)
        cut_take(page)
        assert seconds_of(page) < whole - 1.0
        (local,) = page.evaluate(SHA256_OF_TAKES)

        page.get_by_role("button", name="Use take 1").click()
        expect(page.get_by_role("dialog")).to_have_count(0)
        expect(page.locator(".pick.has")).to_contain_text("-cut.")
        assert_accessible(page, "a take is chosen")
        press_send(page)
        expect(page.get_by_role("region", name="Sending face-on")).to_have_count(0, timeout=60_000)
        assert page.evaluate(SHA256_OF_TAKES) == [], "a sent take was kept twice"
        original = arrived(house, local)
        assert_whole_film(original, whole)
        page.get_by_role("link", name=re.compile("Full swing|Another club|Face-on")).first.click()
        now = page.get_by_role("region", name="Where it is").locator("[aria-current=step]")
        expect(now).to_contain_text("Waiting for a coach", timeout=MEASURED_WITHIN_MS)
        assert trouble == []


def film_another(page: Page) -> None:
    page.get_by_role("button", name="Film another").click()
    expect(headline(page)).to_contain_text("Good. You can film.", timeout=CHECKED_WITHIN_MS)
    film_for(page, 6.0)
    expect(page.get_by_role("button", name="Use take 2")).to_be_visible()


def seconds_of(page: Page) -> float:
    found = re.search(r"([\d.]+) s, ", page.get_by_role("listitem").first.inner_text())
    assert found
    return float(found[1])


def cut_take(page: Page) -> None:
    page.get_by_role("button", name="Cut take 1").click()
    region = page.get_by_role("region", name="Cut the film")
    expect(region.get_by_role("slider", name="End")).to_be_visible(timeout=20_000)
    expect(region.locator(".strip img")).to_have_count(8, timeout=30_000)
    region.get_by_role("slider", name="Start").fill("0.8")
    region.get_by_role("slider", name="End").fill("4.5")
    assert_accessible(page, "cutting")
    region.get_by_role("button", name="Cut it so").click()
    expect(region).to_have_count(0, timeout=20_000)


def arrived(house: House, digest: str) -> Path:
    """The stored original with these bytes."""
    originals = [path for path in house.folder.rglob("original") if path.is_file()]
    same = [path for path in originals if hashlib.sha256(path.read_bytes()).hexdigest() == digest]
    assert len(same) == 1, (digest, originals)
    return same[0]


def assert_whole_film(path: Path, whole_s: float) -> None:
    """It decodes from its first picture to the last, begins at zero and ends where it was asked to."""
    with av.open(str(path)) as container:
        times = [frame.time for frame in container.decode(video=0)]
    assert all(time is not None for time in times)
    shown = [float(time) for time in times if time is not None]
    assert shown == sorted(shown)
    assert shown[0] == pytest.approx(0.0, abs=0.05)
    # It may begin earlier than at 0.8 s, at a picture that stands by itself.
    assert 3.6 <= shown[-1] <= 4.6 < whole_s
    assert len(shown) == pytest.approx(RATE * shown[-1], rel=0.1)


@pytest.mark.parametrize(
    ("down", "dark", "view", "said"),
    [
        (0.33, 1.0, "face-on", "Feet cut off"),
        (0.0, 0.12, "face-on", "Too dark"),
        (0.0, 1.0, "down-the-line", "Looks face-on"),
    ],
)
def test_what_is_wrong_is_said_and_filming_goes_on_all_the_same(
    browser: Browser,
    house: House,
    cookies: list[Any],
    tmp_path: Path,
    down: float,
    dark: float,
    view: str,
    said: str,
) -> None:
    clip = CLIPS / "face_on_neutral.mp4"
    film = film_from(clip, tmp_path / "bad.y4m", down=down, dark=dark, address_only=True)
    with phone_with_camera(browser, house, cookies, *switches(film)) as page:
        open_camera(page, view)
        expect(headline(page)).to_contain_text(said, timeout=CHECKED_WITHIN_MS)
        assert contrast(page) >= LEAST_CONTRAST
        expect(page.get_by_role("button", name="Start")).to_be_enabled()
        assert_accessible(page, said)
        page.set_viewport_size(ON_ITS_SIDE)
        expect(page.get_by_role("button", name="Start")).to_be_in_viewport()
        expect(headline(page)).to_be_in_viewport()


def test_where_the_networks_cannot_run_an_outline_stands_in(
    browser: Browser, house: House, cookies: list[Any], tmp_path: Path
) -> None:
    film = film_from(CLIPS / "face_on_neutral.mp4", tmp_path / "good.y4m", address_only=True)
    with phone_with_camera(browser, house, cookies, *switches(film)) as page:
        page.route("**/*.tflite", lambda route: route.abort())
        open_camera(page)
        expect(headline(page)).to_contain_text("outline", timeout=CHECKED_WITHIN_MS)
        expect(page.get_by_text("This phone cannot run the live check.")).to_be_visible()
        expect(page.locator("dialog svg .outline")).to_have_count(1)
        expect(page.get_by_role("button", name="Start")).to_be_enabled()


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ((), "No camera was found."),
        (("--use-fake-device-for-media-stream",), "The browser may not use the camera."),
    ],
)
def test_without_a_camera_the_picker_is_what_remains(
    browser: Browser, house: House, cookies: list[Any], more: tuple[str, ...], said: str
) -> None:
    with phone_with_camera(browser, house, cookies, *more) as page:
        open_camera(page)
        expect(page.get_by_role("alert")).to_contain_text(said)
        assert_accessible(page, said)
        page.get_by_role("button", name="Choose a video instead").click()
        expect(page.get_by_role("dialog")).to_have_count(0)
        page.get_by_label("Face-on clip").set_input_files(CLIPS / "face_on_neutral.mp4")
        expect(page.locator(".pick.has")).to_contain_text("face_on_neutral.mp4")


def test_with_the_script_for_filming_gone_a_clip_is_chosen_and_sent(
    browser: Browser, house: House, cookies: list[Any]
) -> None:
    with phone_with_camera(browser, house, cookies) as page:
        asked: list[str] = []
        page.route(
            re.compile(r"/assets/(FilmDialog|CutFilm|workers/)"),
            lambda route: (asked.append(route.request.url), route.abort())[1],
        )
        page.get_by_role("button", name="Film face-on here").click()
        expect(page.get_by_role("status")).to_contain_text("Filming help could not be loaded.")
        assert asked
        page.get_by_role("link", name="My clips").click()
        fill_new_clip(
            page, view="Face-on", clip=CLIPS / "face_on_hands_first.mp4", note="From the library."
        )
        press_send(page)
        expect(page.get_by_role("region", name="Sending face-on")).to_have_count(0, timeout=60_000)
        arrived(house, hashlib.sha256((CLIPS / "face_on_hands_first.mp4").read_bytes()).hexdigest())


def test_nothing_of_filming_is_fetched_before_it_is_opened(
    browser: Browser, house: House, cookies: list[Any], tmp_path: Path
) -> None:
    film = film_from(CLIPS / "face_on_neutral.mp4", tmp_path / "good.y4m", address_only=True)
    heavy = re.compile(r"FilmDialog|CutFilm|workers/|\.wasm|\.tflite|\.data|litert")
    with phone_with_camera(browser, house, cookies, *switches(film)) as page:
        fetched: list[str] = []
        page.on("request", lambda request: fetched.append(request.url))
        page.reload()
        expect(page.get_by_role("heading", name="Send a clip")).to_be_visible()
        page.wait_for_load_state("networkidle")
        assert [url for url in fetched if heavy.search(url)] == []
        open_camera(page)
        expect(headline(page)).to_contain_text("Good", timeout=CHECKED_WITHIN_MS)
        assert [url for url in fetched if heavy.search(url)]
        strange = [url for url in fetched if not url.startswith((house.base_url, "blob:"))]
        assert strange == [], "something left the phone for elsewhere"
        assert not any("/api/v1/uploads" in url for url in fetched)
