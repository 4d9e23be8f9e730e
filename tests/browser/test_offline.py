"""The student's and the guardian's pages without a connection: they open, say how old they are, and keep nothing of who has left."""

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect
from sqlalchemy.orm import Session

from api.db.models import Guardianship, Membership
from tests import factories
from tests.bench.queue_house import rows_of, sign_in
from tests.browser.acts import device
from tests.browser.conftest import PHONE
from tests.browser.house import House, waits_for
from tests.browser.test_practice import given

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    # Pages alone: what the database does with them is tried without a browser, on both.
    pytest.mark.parametrize("house", ["sqlite"], indirect=True),
]

CONTROLLED = "navigator.serviceWorker.ready.then(() => navigator.serviceWorker.controller !== null)"
SHOWN = """navigator.serviceWorker.ready
    .then((one) => one.getNotifications())
    .then((all) => all.map((one) => [one.title, one.body, one.data]))"""
KEPT = """async () => {
    const found = [];
    for (const name of await caches.keys())
        for (const one of await (await caches.open(name)).keys()) found.push(new URL(one.url).pathname);
    return found;
}"""


def opened(page: Page, house: House, student: Membership) -> None:
    """Signed in, and the service worker at work."""
    sign_in(page, house, student)
    page.wait_for_function(CONTROLLED)
    page.reload()
    expect(page.get_by_role("heading", name="My clips")).to_be_visible()


def kept_paths(page: Page) -> list[str]:
    found = page.evaluate(KEPT)
    assert isinstance(found, list)
    return [str(one) for one in found]


def test_a_notice_on_a_locked_screen_names_nobody_and_leads_to_its_clips(
    browser: Browser, house: House
) -> None:
    student = pupil_of(house)
    clips = "01a22dcc-7637-7514-9329-947385102586"
    with device(browser, PHONE, phone=True) as page:
        page.context.grant_permissions(["notifications"], origin=house.base_url)
        opened(page, house, student)
        tools = page.context.new_cdp_session(page)
        found: list[str] = []
        tools.on(
            "ServiceWorker.workerRegistrationUpdated",
            lambda event: found.extend(one["registrationId"] for one in event["registrations"]),
        )
        page.evaluate("navigator.serviceWorker.ready.then(() => true)")
        tools.send("ServiceWorker.enable")
        for _ in range(500):  # it tells what is registered a moment later
            if found:
                break
            page.wait_for_timeout(20)
        for sent in (f'{{"kind":"answered","about":"{clips}"}}', "not ours"):
            message = {"origin": house.base_url, "registrationId": found[-1], "data": sent}
            tools.send("ServiceWorker.deliverPushMessage", message)
        assert waits_for(lambda: len(page.evaluate(SHOWN)) == 2, 15), page.evaluate(SHOWN)
        shown = page.evaluate(SHOWN)
        assert sorted(shown) == [
            ["There is something new", "Open Fairlead to see it.", "/student/#/"],
            ["Your coach has answered", "Open Fairlead to read it.", f"/student/#/clips/{clips}"],
        ]


def pupil_of(house: House) -> Membership:
    def make(session: Session) -> Membership:
        student = given(session, "stop-and-look")
        session.commit()
        session.expunge_all()
        return student

    with rows_of(house) as factory, factory() as session:
        return make(session)


def test_without_a_connection_the_pages_open_and_say_how_old_they_are(
    browser: Browser, house: House
) -> None:
    student = pupil_of(house)
    with device(browser, PHONE, phone=True) as page:
        opened(page, house, student)
        page.get_by_role("link", name="Practice").click()
        expect(page.locator("article")).to_have_count(1)
        assert page.get_by_text("No connection: this is how it was").count() == 0
        house.stop("api")
        try:
            page.reload()
            expect(page.get_by_text("No connection: this is how it was")).to_be_visible(
                timeout=15_000
            )
            expect(page.locator("article")).to_have_count(1)
            page.get_by_role("button", name="Set 1").click()
            expect(page.get_by_text("it is told as soon as there is a connection")).to_be_visible()
            # A place that was never opened with a connection, and one that asks for more than was kept.
            page.get_by_role("link", name="Progress").click()
            expect(page.get_by_role("button", name="Try again")).to_be_visible(timeout=15_000)
        finally:
            house.start("api")
        page.reload()
        page.get_by_role("link", name="Practice").click()
        expect(page.get_by_text("No connection: this is how it was")).to_have_count(0)
        expect(page.get_by_role("button", name="Set 1")).to_have_attribute("aria-pressed", "true")


def test_a_guardian_reads_on_without_a_connection_and_nothing_stays_of_a_child_who_is_theirs_no_more(
    browser: Browser, house: House
) -> None:
    with rows_of(house) as factory, factory() as session:
        child = factories.make_child(session, factories.make_academy(session))
        given(session, "stop-and-look", student=child)
        row = factories.make_guardian(session, child)
        guardian, tie = session.get_one(Membership, row.guardian_id), row.id
        name = child.person.name
        session.commit()
        session.refresh(guardian)
        session.refresh(guardian.person)
        session.refresh(child)
        session.expunge_all()
    as_it_was = "No connection: this is how it was at"
    with device(browser, PHONE, phone=True) as page:
        sign_in(page, house, guardian)
        page.goto(f"{house.base_url}/guardian/")
        page.wait_for_function(CONTROLLED)
        page.reload()
        page.get_by_role("link", name=name).click()
        page.get_by_role("link", name="Full swing").click()
        expect(page.get_by_role("heading", name="Stop with the lead arm level")).to_be_visible()
        answer = page.url
        page.get_by_role("link", name=name).click()
        page.get_by_role("link", name="Practice").click()
        expect(page.locator("article")).to_have_count(1)
        house.stop("api")
        try:
            page.reload()
            expect(page.get_by_text(as_it_was)).to_be_visible(timeout=15_000)
            expect(page.locator("article")).to_have_count(1)
            page.goto(answer)
            expect(page.get_by_role("heading", name="Stop with the lead arm level")).to_be_visible()
            expect(page.get_by_text(as_it_was)).to_be_visible()
            page.get_by_role("link", name=name).click()
            expect(page.get_by_role("link", name="Full swing")).to_be_visible()
        finally:
            house.start("api")
        with rows_of(house) as factory, factory.begin() as session:
            session.get_one(Guardianship, tie).ended_at = datetime.now(UTC)
        page.goto(f"{house.base_url}/guardian/#/")
        page.reload()
        expect(page.get_by_text("You answer for no child here at present")).to_be_visible()
        expect(page.get_by_text(as_it_was)).to_have_count(0)
        about = [path for path in kept_paths(page) if "/people/" in path or "/submissions/" in path]
        assert about == []
        page.get_by_role("button", name="Sign out").click()
        page.wait_for_url(lambda url: "/guardian" not in url)
        assert [path for path in kept_paths(page) if path.startswith("/api/")] == []


def test_who_signs_out_leaves_nothing_behind(browser: Browser, house: House) -> None:
    student = pupil_of(house)
    with device(browser, PHONE, phone=True) as page:
        opened(page, house, student)
        page.get_by_role("link", name="Practice").click()
        expect(page.locator("article")).to_have_count(1)
        assert any(path.endswith("/practice") for path in kept_paths(page))
        page.get_by_role("button", name="Sign out").click()
        page.wait_for_url(lambda url: "/student" not in url)
        assert [path for path in kept_paths(page) if path.startswith("/api/")] == []


def test_whoever_signs_in_next_finds_nothing_of_the_one_before(
    browser: Browser, house: House
) -> None:
    first = pupil_of(house)
    second = pupil_of(house)
    with device(browser, PHONE, phone=True) as page:
        opened(page, house, first)
        page.get_by_role("link", name="Practice").click()
        expect(page.locator("article")).to_have_count(1)
        page.context.clear_cookies()
        opened(page, house, second)
        assert not any(str(first.id) in path for path in kept_paths(page))


def test_a_clip_that_another_app_shares_is_taken_over(
    browser: Browser, house: House, tmp_path: Path
) -> None:
    student = pupil_of(house)
    with device(browser, PHONE, phone=True) as page:
        opened(page, house, student)
        # What the phone does with a share: a form with the file, posted to the address of the manifest.
        page.evaluate(
            """() => {
                const form = document.createElement("form");
                form.method = "POST";
                form.enctype = "multipart/form-data";
                form.action = "/student/share";
                const input = document.createElement("input");
                input.type = "file";
                input.name = "clip";
                const files = new DataTransfer();
                files.items.add(new File(["not really a clip"], "Swing ü.mp4", { type: "video/mp4" }));
                input.files = files.files;
                form.append(input);
                document.body.append(form);
                form.submit();
            }"""
        )
        expect(page.get_by_role("heading", name="From where was it filmed?")).to_be_visible()
        page.get_by_role("button", name="Face-on", exact=True).click()
        expect(page.get_by_text("Swing ü.mp4, ")).to_be_visible()
        page.reload()
        expect(page.get_by_role("heading", name="Send a clip")).to_be_visible()
        assert page.get_by_role("heading", name="From where was it filmed?").count() == 0


def test_the_page_can_be_installed(browser: Browser, house: House) -> None:
    student = pupil_of(house)
    with device(browser, PHONE, phone=True) as page:
        opened(page, house, student)
        address = page.get_attribute("link[rel=manifest]", "href")
        found = page.request.get(f"{house.base_url}{address}")
        assert found.headers["content-type"].startswith("application/manifest+json")
        manifest = json.loads(found.text())
        for icon in manifest["icons"]:
            assert page.request.get(f"{house.base_url}{icon['src']}").ok
        assert page.request.get(f"{house.base_url}{manifest['start_url']}").ok
        missing = factories.unknown_id()
        shared = page.request.post(
            f"{house.base_url}{manifest['share_target']['action']}",
            multipart={"clip": {"name": f"{missing}.mp4", "mimeType": "video/mp4", "buffer": b"x"}},
            max_redirects=0,
        )
        assert shared.status == 303, "a browser without a service worker is told to choose by hand"
