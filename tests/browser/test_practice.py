"""A student practises at the range: ticks sets, rests by the timer, loses the signal, says that something hurt."""

import json

import pytest
from playwright.sync_api import Browser, Page, expect
from sqlalchemy.orm import Session

from api.db.models import Answer, DrillAssignment, Membership, PracticeDay
from api.domain.drill_library import DRILLS
from tests import factories
from tests.bench.queue_house import rows_of, sign_in
from tests.browser.accessible import assert_accessible
from tests.browser.acts import device
from tests.browser.conftest import PHONE
from tests.browser.house import House, waits_for

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    # Pages alone: what the database does with them is tried without a browser, on both.
    pytest.mark.parametrize("house", ["sqlite"], indirect=True),
]

NOTE = "توقّف ثانيتين وانظر إلى الزاوية."
"""A coach's words in the student's language: they run from right to left."""


def given(
    session: Session, *drills: str, student: Membership | None = None, until: str | None = None
) -> Membership:
    """A student whose newest answer gave these drills; ``until``: the last day of the last one's time."""
    academy = factories.make_academy(session)
    student = student or factories.make_member(session, academy=academy)
    row = factories.make_given_drill(session, student, drills[0])
    answer = session.get_one(Answer, row.answer_id)
    texts = []
    for drill_id in drills:
        drill = DRILLS[drill_id]
        dose = {"sets": 3, "reps": 5, "pause_s": 2.0, "days_per_week": 4, "note": NOTE}
        dose |= {
            "until": until if drill_id == drills[-1] else None,
            "start": None,
            "ball": False,
            "proof": True,
        }
        texts.append(
            {
                "drill_id": drill_id,
                **dose,
                "name": drill.name,
                "purpose": drill.purpose,
                "kit": list(drill.kit),
                "steps": list(drill.steps),
                "cautions": list(drill.cautions),
                "next_clip": drill.next_clip,
            }
        )
        if drill_id == row.drill:
            row.dose = dose
        else:
            factories.saved(
                session,
                DrillAssignment(
                    answer_id=answer.id, student_id=student.id, drill=drill_id, dose=dose
                ),
            )
    answer.content = {**answer.content, "pictures": [], "drills": texts}
    return student


def kept(house: House) -> list[tuple[int, bool, str]]:
    with rows_of(house) as factory, factory() as session:
        rows = session.query(PracticeDay).order_by(PracticeDay.created_at).all()
        return [(row.sets_done, row.hurt, row.note) for row in rows]


def pressed(page: Page, card: int = 0) -> list[bool]:
    sets = page.locator("article").nth(card).get_by_role("group", name="Sets done today")
    return [
        button.get_attribute("aria-pressed") == "true"
        for button in sets.get_by_role("button").all()
    ]


def test_a_day_at_the_range(browser: Browser, house: House) -> None:
    with rows_of(house) as factory, factory() as session:
        student = given(session, "stop-and-look", "towel-hug", "feet-together", until="2026-01-31")
        session.commit()
        session.expunge_all()
    with device(browser, PHONE, phone=True) as page:
        sign_in(page, house, student)
        page.get_by_role("link", name="Practice").click()
        expect(page.get_by_text("Over (1)")).to_be_visible()
        expect(page.get_by_role("article")).to_have_count(2)
        first = page.locator("article").first
        expect(first).to_contain_text(DRILLS["stop-and-look"].name)
        expect(page.get_by_text("Take care.").first).to_be_visible()
        assert_accessible(page, "practice on a phone")
        _ticks_and_rests(page)
        assert waits_for(lambda: [sets for sets, _, _ in kept(house)] == [1], 10), kept(house)
        _loses_the_signal(page, house)
        _says_that_it_hurt(page, house)


def _ticks_and_rests(page: Page) -> None:
    first = page.locator("article").first
    first.get_by_role("button", name="Set 1").click()
    expect(first.get_by_role("timer")).to_have_text("1:00")
    bar = page.get_by_role("link", name="Practice").bounding_box()
    timer = first.get_by_role("timer").bounding_box()
    assert bar
    assert timer
    assert timer["y"] + timer["height"] <= bar["y"], "the pause counts where nobody sees it"
    assert pressed(page) == [True, False, False]
    first.get_by_role("button", name="30 s").click()
    expect(first.get_by_role("timer")).to_contain_text("0:")
    first.get_by_role("button", name="Skip").click()
    expect(first.get_by_role("timer")).to_have_count(0)
    expect(first).to_contain_text("1 of 4 days this week")
    # A slip of the thumb: pressed again it is undone.
    first.get_by_role("button", name="Set 2").click()
    first.get_by_role("button", name="Set 2").click()
    assert pressed(page) == [True, False, False]


def _loses_the_signal(page: Page, house: House) -> None:
    first = page.locator("article").first
    page.context.set_offline(True)
    first.get_by_role("button", name="Set 3").click()
    expect(page.get_by_text("it is told as soon as there is a connection")).to_be_visible()
    assert pressed(page) == [True, True, True]
    assert [sets for sets, _, _ in kept(house)] == [1]
    page.context.set_offline(False)
    expect(page.get_by_text("it is told as soon as there is a connection")).to_have_count(0)
    assert [sets for sets, _, _ in kept(house)] == [3]
    page.reload()
    expect(first).to_contain_text("1 of 4 days this week")
    assert pressed(page) == [True, True, True]


def _says_that_it_hurt(page: Page, house: House) -> None:
    second = page.locator("article").nth(1)
    second.get_by_role("button", name="Something hurt").click()
    second.get_by_label("What hurt").fill("My left wrist.")
    assert_accessible(page, "practice, something hurts")
    second.get_by_role("button", name="Stop this drill today").click()
    expect(second).to_contain_text("see a qualified health professional")
    expect(second.get_by_role("group", name="Sets done today")).to_have_count(0)
    expect(page.get_by_text("it is told as soon as")).to_have_count(0)
    assert kept(house)[-1] == (0, True, "My left wrist.")
    stored = page.evaluate("localStorage.getItem('fairlead-untold-practice')")
    assert json.loads(stored) == []
