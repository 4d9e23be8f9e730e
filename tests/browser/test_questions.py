"""A student asks back about an answer; a coach replies with the keyboard; the student reads it."""

import pytest
from playwright.sync_api import Browser, expect

from api.db.models import Answer, Membership
from api.domain.names import Role
from tests import factories
from tests.bench.queue_house import rows_of, sign_in
from tests.browser.accessible import assert_accessible
from tests.browser.acts import device
from tests.browser.conftest import DESK, PHONE
from tests.browser.house import House

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    # Pages alone: what the database does with them is tried without a browser, on both.
    pytest.mark.parametrize("house", ["sqlite"], indirect=True),
]

ASKED = "Soll ich die Pause in den Händen spüren?"


def arranged(house: House) -> tuple[Membership, Membership, str]:
    """A student with an answer, a coach of theirs, and the submission's id."""
    with rows_of(house) as factory, factory() as session:
        academy = factories.make_academy(session)
        student = factories.make_member(session, academy=academy)
        coach = factories.make_member(session, Role.COACH, academy=academy)
        given = factories.make_given_drill(session, student)
        answer = session.get_one(Answer, given.answer_id)
        answer.content = {
            **answer.content,
            "pictures": [],
            "findings": {},
            "later": [],
            "judged": None,
            "by_eye": [],
            "drawings": [],
            "together": None,
            "drill_proof": None,
        }
        submission_id = str(answer.submission_id)
        session.commit()
        session.expunge_all()
        return student, coach, submission_id


def test_a_question_and_its_reply(browser: Browser, house: House) -> None:
    student, coach, submission_id = arranged(house)
    with device(browser, PHONE, phone=True) as phone, device(browser, DESK) as desk:
        sign_in(phone, house, student)
        phone.goto(f"{house.base_url}/student/#/clips/{submission_id}")
        phone.get_by_role("button", name="Ask a question").click()
        phone.get_by_role("button", name="Ask", exact=True).click()
        expect(phone.get_by_text("Write your question first.")).to_be_visible()
        phone.get_by_role("textbox", name="Your question to Rosa").fill(ASKED)
        assert_accessible(phone, "asking back on a phone")
        phone.get_by_role("button", name="Ask", exact=True).click()
        expect(phone.get_by_text("You get a mail when there is a reply.")).to_be_visible()

        sign_in(desk, house, coach)
        desk.get_by_role("link", name="Questions 1 waiting").click()
        expect(desk.get_by_text(ASKED)).to_be_visible()
        desk.get_by_text("The answer it is about").click()
        expect(desk.get_by_text("Good.", exact=True)).to_be_visible()
        desk.get_by_role("textbox", name="Your reply").focus()
        desk.keyboard.type("In der Brust.")
        desk.reload()
        expect(desk.get_by_role("textbox", name="Your reply")).to_have_value("In der Brust.")
        assert_accessible(desk, "replying")
        desk.get_by_role("textbox", name="Your reply").focus()
        desk.keyboard.press("Tab")
        desk.keyboard.press("Enter")
        expect(desk.get_by_text("Nothing waits for a reply.")).to_be_visible()
        expect(desk.get_by_role("link", name="Questions", exact=True)).to_be_visible()

        phone.reload()
        expect(phone.get_by_text("In der Brust.")).to_be_visible()
        assert phone.get_by_role("button", name="Ask a question").count() == 0
