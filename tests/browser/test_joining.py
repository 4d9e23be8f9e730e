"""Joining on a phone: an adult step by step, and a child whose guardian reads, agrees and withdraws."""

from collections.abc import Iterator
from contextlib import ExitStack

import pytest
from playwright.sync_api import Browser, Page, expect
from sqlalchemy import select

from api.db.models import Membership
from api.domain.notices import MailKind, WayOut, way_out_token
from tests.bench.queue_house import rows_of, sign_in
from tests.browser.accessible import assert_accessible
from tests.browser.acts import (
    CLIPS,
    accept_invitation,
    device,
    found_academy,
    invite,
    mailed_link,
)
from tests.browser.conftest import DESK, PHONE
from tests.browser.house import House

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    # Pages alone: what the database does with them is tried without a browser, on both.
    pytest.mark.parametrize("house", ["sqlite"], indirect=True),
]

ADULT, CHILD = "Tilda Brook", "Finn Brook"
ADULT_MAIL, CHILD_MAIL, GUARDIAN_MAIL = (
    "tilda@plover.example",
    "finn@plover.example",
    "parent@brook.example",
)


@pytest.fixture(scope="module")
def academy(browser: Browser, house: House) -> House:
    """An academy that has named its contact, with an adult and a child invited."""
    link = found_academy(
        house,
        name="Plover Links",
        admin="Mara Kovac",
        email="mara@plover.example",
        zone="Europe/Dublin",
    )
    with device(browser, DESK) as admin:
        accept_invitation(admin, link)
        invite(admin, ADULT, ADULT_MAIL, "student")
        invite(admin, CHILD, CHILD_MAIL, "student")
        admin.get_by_role("link", name="Children").click()
        admin.get_by_label("Contact for the safety of children").fill("Dana Moss")
        admin.get_by_label("How to reach them").fill("safety@plover.example, +353 1 000 0000")
        admin.get_by_role("button", name="Keep it").click()
        expect(admin.get_by_text("The rules are kept.")).to_be_visible()
        assert_accessible(admin, "children and consent")
    return house


@pytest.fixture
def pages(browser: Browser) -> Iterator[list[Page]]:
    """Two phones."""
    with ExitStack() as stack:
        yield [stack.enter_context(device(browser, PHONE, phone=True)) for _ in range(2)]


def heading(page: Page, name: str) -> None:
    expect(page.get_by_role("heading", name=name, level=1)).to_be_visible()


def test_an_adult_joins_step_by_step_and_comes_back(academy: House, pages: list[Page]) -> None:
    phone = pages[0]
    accept_invitation(phone, mailed_link(phone, academy, ADULT_MAIL))
    heading(phone, "Your age")
    assert_accessible(phone, "age")
    phone.get_by_role("link", name="Leave it for now").click()
    heading(phone, "My clips")
    expect(phone.get_by_text("Say first whether you are of age.")).to_be_visible()
    phone.get_by_role("link", name="Go on joining").click()
    phone.get_by_label("I am 18 or older").check()
    phone.get_by_role("button", name="Go on").click()
    heading(phone, "What happens with your clips")
    assert_accessible(phone, "consent")
    phone.get_by_role("button", name="I agree", exact=True).click()
    heading(phone, "How you play")
    phone.get_by_label("Left-handed").check()
    phone.get_by_label("Or roughly").select_option("165_180")
    assert_accessible(phone, "how you play")
    phone.get_by_role("button", name="Keep it").click()
    heading(phone, "Your clubs")
    phone.reload()
    heading(phone, "Your clubs")  # as far as it was, after a reload
    phone.get_by_label("Name", exact=True).fill("7-iron")
    phone.get_by_label("Length, cm").fill("94")
    phone.get_by_role("button", name="Keep this club").click()
    assert_accessible(phone, "clubs")
    phone.get_by_role("button", name="Go on").click()
    heading(phone, "For your coach")
    phone.get_by_label("What would you like to reach?").fill("Fewer slices.")
    assert_accessible(phone, "for your coach")
    phone.get_by_role("button", name="Skip this").click()
    heading(phone, "Where you are")
    phone.get_by_label("Your time zone").select_option("Europe/Zagreb")
    phone.get_by_role("button", name="Keep it").click()
    heading(phone, "That is all")
    phone.get_by_role("button", name="About me").click()
    heading(phone, "About me")
    phone.get_by_role("button", name="For your coach").click()
    phone.get_by_label("Anything a coach should know?").fill("A stiff knee.")
    phone.get_by_role("button", name="Keep it").click()
    expect(phone.get_by_label("Anything a coach should know?")).to_have_count(0)
    assert_accessible(phone, "about me")


def test_notices_are_chosen_and_stopped_by_a_mailed_link(academy: House, pages: list[Page]) -> None:
    phone = pages[0]
    with rows_of(academy) as factory, factory() as session:
        adult = session.scalars(
            select(Membership).where(Membership.person.has(email=ADULT_MAIL))
        ).one()
    sign_in(phone, academy, adult)
    phone.get_by_role("link", name="About me").first.click()
    phone.get_by_role("link", name="Notices").click()
    heading(phone, "Notices")
    phone.get_by_label("replied to my question").uncheck()
    phone.get_by_label("Hold my notices").check()
    phone.get_by_label("From").fill("21:30")
    assert_accessible(phone, "notices")
    phone.get_by_role("button", name="Keep it").click()
    expect(phone.get_by_text("It holds from now on")).to_be_visible()
    phone.reload()
    expect(phone.get_by_label("From")).to_have_value("21:30")
    expect(phone.get_by_label("replied to my question")).not_to_be_checked()
    secret = academy.environment["FAIRLEAD_SECRET"].encode()
    token = way_out_token(secret, WayOut(adult.id, MailKind.ANSWERED))
    phone.goto(f"{academy.base_url}/unsubscribe/{token}")
    heading(phone, "Stop these mails?")
    assert_accessible(phone, "stop these mails")
    phone.get_by_role("button", name="Stop these mails").click()
    heading(phone, "These mails have stopped")
    assert_accessible(phone, "these mails have stopped")
    phone.goto(f"{academy.base_url}/student/#/notices")
    expect(phone.get_by_label("A coach has answered")).not_to_be_checked()


def test_an_adult_takes_a_copy_and_calls_an_erasure_back(academy: House, pages: list[Page]) -> None:
    phone = pages[0]
    phone.goto(academy.base_url)
    phone.get_by_label("Your mail address").fill(ADULT_MAIL)
    phone.get_by_role("button", name="Send me a sign-in link").click()
    expect(phone.get_by_text("Look in your mail")).to_be_visible()
    phone.goto(mailed_link(phone, academy, ADULT_MAIL))
    phone.get_by_role("button", name="Sign in").click()
    phone.get_by_role("link", name="About me").first.click()
    phone.get_by_role("button", name="Make a copy").click()
    saved = phone.get_by_role("link", name="Save the copy")
    expect(saved).to_be_visible(timeout=60_000)
    with phone.expect_download() as download:
        saved.click()
    assert download.value.suggested_filename == "my-data.zip"
    phone.get_by_role("button", name="Erase everything").click()
    phone.get_by_role("button", name="Yes, send the link").click()
    expect(phone.get_by_text("A mail is on its way")).to_be_visible()
    phone.goto(mailed_link(phone, academy, ADULT_MAIL))
    heading(phone, "Erase everything?")
    assert_accessible(phone, "confirm the erasure")
    phone.get_by_role("button", name="Yes, erase it").click()
    heading(phone, "It will be erased")
    phone.goto(f"{academy.base_url}/student/#/about")
    phone.get_by_role("button", name="Stop, do not erase").click()
    expect(phone.get_by_role("button", name="Erase everything")).to_be_visible()


def _sends_for_the_child(guardian: Page) -> None:
    """A clip, a look at it, and at the practice; ends on the child's page."""
    guardian.get_by_role("link", name="Send a clip").click()
    heading(guardian, f"Send a clip of {CHILD}")
    assert_accessible(guardian, "a clip for the child")
    guardian.get_by_label("Face-on clip").set_input_files(CLIPS / "face_on_neutral.mp4")
    guardian.get_by_label("What would you like to know?").fill("Is the pause long enough?")
    guardian.get_by_role("button", name="Send to the coach").click()
    heading(guardian, CHILD)
    guardian.get_by_role("link", name="Full swing").click()
    expect(guardian.get_by_text("Is the pause long enough?")).to_be_visible()
    assert_accessible(guardian, "the child's clip")
    guardian.get_by_role("link", name=CHILD).click()
    guardian.get_by_role("link", name="Practice").click()
    expect(guardian.get_by_text("Nothing to practise yet")).to_be_visible()
    guardian.get_by_role("link", name=CHILD).click()


def _looks_at_the_account(guardian: Page) -> None:
    guardian.get_by_role("link", name="My account").click()
    heading(guardian, "My account")
    assert_accessible(guardian, "the guardian's account")


def test_a_childs_guardian_reads_agrees_and_withdraws(academy: House, pages: list[Page]) -> None:
    phone, guardian = pages
    accept_invitation(phone, mailed_link(phone, academy, CHILD_MAIL))
    phone.get_by_label("I am younger").check()
    phone.get_by_label("Day").fill("31")
    phone.get_by_label("Month").fill("2")
    phone.get_by_label("Year").fill("2016")
    phone.get_by_role("button", name="Go on").click()
    expect(phone.get_by_role("alert")).to_contain_text("date of birth")
    phone.get_by_label("Day").fill("3")
    assert_accessible(phone, "a child's age")
    phone.get_by_role("button", name="Go on").click()
    heading(phone, "Your guardian")
    expect(phone.get_by_text("Dana Moss")).to_be_visible()
    phone.get_by_label("Their name").fill("Robin Brook")
    phone.get_by_label("Their own mail address").fill(CHILD_MAIL)
    phone.get_by_role("button", name="Ask them").click()
    expect(phone.get_by_role("alert")).to_contain_text("of their own")
    phone.get_by_label("Their own mail address").fill(GUARDIAN_MAIL)
    assert_accessible(phone, "the guardian")
    phone.get_by_role("button", name="Ask them").click()
    heading(phone, "How you play")
    phone.get_by_role("link", name="Leave it for now").click()
    expect(phone.get_by_text("has not decided yet")).to_be_visible()
    assert_accessible(phone, "a child's clips")
    phone.get_by_role("link", name="Send a clip").click()
    expect(phone.get_by_role("button", name="Send to my coach")).to_be_disabled()

    guardian.goto(mailed_link(guardian, academy, GUARDIAN_MAIL))
    assert_accessible(guardian, "the guardian's link")
    guardian.get_by_role("button", name="Open my account").click()
    heading(guardian, CHILD)
    expect(guardian.get_by_text("There is no private channel")).to_be_visible()
    assert_accessible(guardian, "the guardian's page")
    guardian.get_by_role("button", name="I agree", exact=True).click()
    expect(guardian.get_by_text("You agreed on")).to_be_visible()
    expect(guardian.get_by_text("Dana Moss")).to_be_visible()
    assert_accessible(guardian, "agreed")

    _sends_for_the_child(guardian)
    phone.goto(f"{academy.base_url}/student/#/")
    phone.reload()
    expect(phone.get_by_role("link", name="Full swing")).to_be_visible()
    phone.goto(f"{academy.base_url}/student/#/new")
    expect(phone.get_by_role("button", name="Send to my coach")).to_be_enabled()

    guardian.get_by_role("button", name="Read it again, or withdraw").click()
    guardian.get_by_role("button", name="Withdraw consent").click()
    assert_accessible(guardian, "about to withdraw")
    guardian.get_by_role("button", name="Yes, withdraw it").click()
    expect(guardian.get_by_text("Consent was withdrawn")).to_be_visible()
    phone.reload()
    expect(phone.get_by_role("button", name="Send to my coach")).to_be_disabled()
    _looks_at_the_account(guardian)
