"""Filming inside the student's page, with a camera that sees a golfer: the live check, takes, cutting, sending.

The camera plays frames of a kept clip (``tests/browser/fake_camera.py``).
"""

import base64
import hashlib
import io
import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import av
import pytest
from playwright.sync_api import Browser, Locator, Page, Route, ViewportSize, expect

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
    say_of_age_and_agree,
)
from tests.browser.conftest import DESK, PHONE
from tests.browser.fake_camera import RATE, film_from, switches
from tests.browser.house import House, open_house
from tests.chromium import launch

pytestmark = [pytest.mark.browser, pytest.mark.slow]

ON_ITS_SIDE: ViewportSize = {"width": PHONE["height"], "height": PHONE["width"]}
CHECKED_WITHIN_MS = 60_000
"""The networks start in about two seconds on a quiet machine."""
LEAST_CONTRAST = 7.0
CUT_S = (1.2, 4.5)
"""Start and end that are asked for, seconds."""

TAKES = """async () => {
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
  takes.sort((one, other) => other.madeMs - one.madeMs);
  return Promise.all(takes.map((take) => new Promise((tell) => {
    const reader = new FileReader();
    reader.onload = () => tell(reader.result.split(",")[1]);
    reader.readAsDataURL(take.file);
  })));
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
        say_of_age_and_agree(page)
        expect(page.get_by_role("heading", name="My clips")).to_be_visible()
        return list(page.context.cookies())


@contextmanager
def phone_with_camera(
    browser: Browser, house: House, cookies: list[Any], *more: str, keeps: bool = True
) -> Iterator[Page]:
    """A signed-in phone on the page for a new clip, in a browser of its own with switches.

    ``keeps``: it has a service worker, whose requests a test cannot stop.
    """
    own = launch(browser.browser_type, *more)
    try:
        with device(own, PHONE, phone=True) as page:
            page.context.add_cookies(cookies)
            if not keeps:
                page.add_init_script("delete Navigator.prototype.serviceWorker")
            page.goto(f"{house.base_url}/student/#/new")
            expect(page.get_by_role("heading", name="Send a clip")).to_be_visible()
            yield page
    finally:
        own.close()


def open_camera(page: Page, view: str = "face-on") -> None:
    page.get_by_role("button", name=f"Film {view} here").click()
    expect(page.get_by_role("dialog", name=f"Film {view}")).to_be_visible()


def headline(page: Page) -> Locator:
    return page.get_by_role("dialog").locator(".band")


def light(colour: list[float]) -> float:
    """Relative luminance by WCAG's formula, of red, green and blue up to 255."""
    parts = [part / 255.0 for part in colour]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(page: Page) -> float:
    """Of the headline's letters on its band."""
    words, ground = (
        headline(page).locator("p").evaluate(COLOURS)[0],
        headline(page).evaluate(COLOURS)[1],
    )
    bright, dark = sorted((light(words), light(ground)), reverse=True)
    return (bright + 0.05) / (dark + 0.05)


def start_filming(page: Page, length: str) -> None:
    page.get_by_label("Countdown").select_option("5")
    page.get_by_label("Film", exact=True).select_option(length)
    page.get_by_role("button", name="Start").click()
    expect(page.get_by_role("timer", name="Seconds until filming")).to_be_visible()
    expect(page.get_by_role("button", name="Stop")).to_be_visible(timeout=CHECKED_WITHIN_MS)


def filmed(page: Page) -> None:
    heading = page.get_by_role("heading", name="Takes, face-on")
    expect(heading).to_be_visible(timeout=CHECKED_WITHIN_MS)


def assert_seen_in_large_type(page: Page) -> None:
    """Whoever needs large type still sees the picture, and what is said lies over nothing."""
    page.evaluate("document.documentElement.style.fontSize = '212.5%'")
    said, seen = (
        page.get_by_role("dialog").locator(at).bounding_box() for at in (".band", "video")
    )
    page.evaluate("document.documentElement.style.fontSize = ''")
    assert said
    assert seen
    assert seen["height"] > PHONE["height"] / 4
    assert said["y"] + said["height"] <= seen["y"]


def test_a_student_films_here_cuts_a_take_and_sends_it(
    browser: Browser, house: House, cookies: list[Any], tmp_path: Path
) -> None:
    film = film_from(CLIPS / "face_on_neutral.mp4", tmp_path / "good.y4m")
    with phone_with_camera(browser, house, cookies, *switches(film)) as page:
        trouble: list[str] = []
        page.on("pageerror", lambda error: trouble.append(str(error)))
        open_camera(page)
        expect(headline(page)).to_contain_text("Good. You can film.", timeout=CHECKED_WITHIN_MS)
        expect(page.get_by_text(re.compile(r"gives \d+ pictures a second here"))).to_be_visible()
        assert contrast(page) >= LEAST_CONTRAST
        assert_accessible(page, "the camera")
        assert_seen_in_large_type(page)
        start_filming(page, "8")
        assert_accessible(page, "filming")
        filmed(page)  # it ends by itself
        assert_accessible(page, "takes")
        (first,) = takes(page)
        times, _keys = pictures_of(first)
        counted = (len(times) - 1) / (times[-1] - times[0])
        assert 15 < counted < RATE + 1
        told = f"This phone gave {counted:.0f} pictures a second here."
        expect(page.get_by_role("listitem").get_by_text(told)).to_be_visible()

        # A reload loses nothing.
        page.reload()
        open_camera(page)
        page.get_by_role("button", name="Takes (1)").click()
        film_another(page)
        page.get_by_role("button", name="Delete take 1").click()
        page.get_by_role("button", name="Yes, delete it").click()
        expect(page.get_by_role("button", name="Use take 2")).to_have_count(0)
        (whole,) = takes(page)
        cut_take(page)
        (cut,) = takes(page)
        assert_cut(whole, cut)

        page.get_by_role("button", name="Use take 1").click()
        expect(page.get_by_role("dialog")).to_have_count(0)
        expect(page.locator(".pick.has")).to_contain_text("-cut.")
        assert_accessible(page, "a take is chosen")
        press_send(page)
        expect(page.get_by_role("region", name="Sending face-on")).to_have_count(0, timeout=60_000)
        assert takes(page) == [], "a sent take was kept twice"
        arrived(house, cut)
        page.get_by_role("link", name=re.compile("Full swing|Another club|Face-on")).first.click()
        now = page.get_by_role("region", name="Where it is").locator("[aria-current=step]")
        expect(now).to_contain_text("Waiting for a coach", timeout=MEASURED_WITHIN_MS)
        assert trouble == []


def film_another(page: Page) -> None:
    page.get_by_role("button", name="Film another").click()
    expect(headline(page)).to_contain_text("Good. You can film.", timeout=CHECKED_WITHIN_MS)
    start_filming(page, "20")
    page.wait_for_timeout(6_000)
    page.get_by_role("button", name="Stop").click()
    filmed(page)
    expect(page.get_by_role("button", name="Use take 2")).to_be_visible()


def takes(page: Page) -> list[bytes]:
    """The films that the browser keeps, newest first."""
    return [base64.b64decode(packed) for packed in page.evaluate(TAKES)]


def pictures_of(film: bytes) -> tuple[list[float], list[float]]:
    """Times of all pictures, decoded, and of those that stand by themselves."""
    with av.open(io.BytesIO(film), "r") as container:
        shown = [(float(frame.time), frame.key_frame) for frame in container.decode(video=0)]
    return [time for time, _key in shown], [time for time, key in shown if key]


def assert_cut(whole: bytes, cut: bytes) -> None:
    """The cut decodes into the whole film's own pictures from the key picture before the start up to the end."""
    times, keys = pictures_of(whole)
    begin = max(key for key in keys if key <= CUT_S[0] + 1e-3)
    asked = [time - begin for time in times if begin <= time < CUT_S[1]]
    assert pictures_of(cut)[0] == pytest.approx(asked, abs=0.002)
    assert len(asked) > 40
    assert len(cut) < len(whole)


def cut_take(page: Page) -> None:
    page.get_by_role("button", name="Cut take 1").click()
    region = page.get_by_role("region", name="Cut the film")
    expect(region.get_by_role("slider", name="End")).to_be_visible(timeout=20_000)
    expect(region.locator(".strip img")).to_have_count(8, timeout=30_000)
    region.get_by_role("slider", name="Start").fill(str(CUT_S[0]))
    region.get_by_role("slider", name="End").fill(str(CUT_S[1]))
    assert_accessible(page, "cutting")
    region.get_by_role("button", name="Cut it so").click()
    expect(region).to_have_count(0, timeout=20_000)


def arrived(house: House, film: bytes) -> None:
    """One original is stored that has these very bytes."""
    digest = hashlib.sha256(film).hexdigest()
    originals = [path for path in house.folder.rglob("original") if path.is_file()]
    stored = [hashlib.sha256(path.read_bytes()).hexdigest() for path in originals]
    assert stored.count(digest) == 1, (digest, stored)


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


def test_the_phones_own_level_is_told(
    browser: Browser, house: House, cookies: list[Any], tmp_path: Path
) -> None:
    film = film_from(CLIPS / "face_on_neutral.mp4", tmp_path / "good.y4m", address_only=True)
    with phone_with_camera(browser, house, cookies, *switches(film)) as page:
        sense = page.context.new_cdp_session(page)

        def stands(beta: float, gamma: float) -> None:
            turned = {"alpha": 0, "beta": beta, "gamma": gamma}
            sense.send("DeviceOrientation.setDeviceOrientationOverride", turned)

        stands(84.0, -90.0)  # upright, leaning six degrees
        open_camera(page)
        expect(headline(page)).to_contain_text(
            "The phone leans 6°: level it", timeout=CHECKED_WITHIN_MS
        )
        stands(90.0, 0.0)  # upright
        expect(headline(page)).to_contain_text("Good. You can film.", timeout=CHECKED_WITHIN_MS)
        stands(62.0, 0.0)  # looking down on the golfer
        expect(headline(page)).to_contain_text("Lens too high", timeout=CHECKED_WITHIN_MS)


def test_a_clip_of_the_library_is_cut_and_its_own_rate_is_told(
    browser: Browser, house: House, cookies: list[Any]
) -> None:
    with phone_with_camera(browser, house, cookies) as page:
        page.get_by_label("Face-on clip").set_input_files(CLIPS / "face_on_two_swings.mp4")
        page.get_by_role("button", name="Cut start and end").click()
        region = page.get_by_role("region", name="Cut the film")
        expect(region.get_by_text("30 pictures a second")).to_be_visible()
        region.get_by_role("slider", name="End").fill("4")
        expect(region.get_by_text("From 0.00 to 4.00 s")).to_be_visible()
        region.get_by_role("button", name="Cut it so").click()
        expect(page.locator(".pick.has")).to_contain_text("face_on_two_swings-cut.mp4")
        press_send(page)
        expect(page.get_by_role("region", name="Sending face-on")).to_have_count(0, timeout=60_000)
    originals = [path for path in house.folder.rglob("original") if path.is_file()]
    cut = max(originals, key=lambda path: path.stat().st_mtime).read_bytes()
    times, _keys = pictures_of((CLIPS / "face_on_two_swings.mp4").read_bytes())
    kept, _keys = pictures_of(cut)
    asked = [time for time in times if time < 4.0]
    # Pictures decoded out of order may bring a few more along.
    assert 0 <= len(kept) - len(asked) <= 6
    assert kept[: len(asked)] == pytest.approx(asked, abs=0.002)


def test_what_is_no_film_is_sent_whole_and_that_is_said(
    browser: Browser, house: House, cookies: list[Any]
) -> None:
    with phone_with_camera(browser, house, cookies) as page:
        page.get_by_label("Face-on clip").set_input_files(
            {"name": "odd.mp4", "mimeType": "video/mp4", "buffer": b"no film at all"}
        )
        page.get_by_role("button", name="Cut start and end").click()
        expect(page.get_by_text("It is sent whole.")).to_be_visible()
        assert_accessible(page, "a film that cannot be cut")


def test_where_the_networks_cannot_run_an_outline_stands_in(
    browser: Browser, house: House, cookies: list[Any], tmp_path: Path
) -> None:
    film = film_from(CLIPS / "face_on_neutral.mp4", tmp_path / "good.y4m", address_only=True)
    with phone_with_camera(browser, house, cookies, *switches(film), keeps=False) as page:
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
    with phone_with_camera(browser, house, cookies, keeps=False) as page:
        asked: list[str] = []

        def refuse(route: Route) -> None:
            asked.append(route.request.url)
            route.abort()

        page.route(re.compile(r"/assets/(FilmDialog|CutFilm|workers/)"), refuse)
        page.get_by_role("button", name="Film face-on here").click()
        expect(page.get_by_role("status")).to_contain_text("Filming help could not be loaded.")
        assert asked
        page.get_by_role("link", name="My clips").click()
        fill_new_clip(
            page, view="Face-on", clip=CLIPS / "face_on_hands_first.mp4", note="From the library."
        )
        press_send(page)
        expect(page.get_by_role("region", name="Sending face-on")).to_have_count(0, timeout=60_000)
        arrived(house, (CLIPS / "face_on_hands_first.mp4").read_bytes())


def test_nothing_of_filming_is_fetched_before_it_is_opened(
    browser: Browser, house: House, cookies: list[Any], tmp_path: Path
) -> None:
    film = film_from(CLIPS / "face_on_neutral.mp4", tmp_path / "good.y4m", address_only=True)
    heavy = re.compile(r"FilmDialog|CutFilm|workers/|\.wasm|\.tflite|\.data|litert")
    with phone_with_camera(browser, house, cookies, *switches(film), keeps=False) as page:
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
