"""A student looks at how the numbers went: what really changed, against the target, drill by drill."""

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta

import pytest
from playwright.sync_api import Browser, Page, expect
from sqlalchemy.orm import Session

from api.db.models import Answer, DrillAssignment, Membership
from api.domain.checkpoint_ids import CheckpointId
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

ANGLE, BUTT = CheckpointId.LEAD_ARM_SHAFT_ANGLE, CheckpointId.BUTT_END_INSIDE
TEMPO = CheckpointId.TEMPO_RATIO
Told = Mapping[CheckpointId, tuple[float, float]]
"""Value and sigma by checkpoint."""


def answered(
    session: Session,
    student: Membership,
    coach: Membership,
    days_ago: float,
    told: Told,
    *drills: str,
) -> None:
    """A clip of the student's with the answer that a coach sent a day later, as it is kept."""
    came = datetime.now(UTC) - timedelta(days=days_ago)
    sent = came + timedelta(hours=6)
    values = {"state": "answered", "received_at": came, "due_at": came + timedelta(hours=48)}
    submission = factories.make_submission(session, student, club_name="7-iron", **values)
    clip = factories.make_clip(session, submission)
    review = factories.make_review(session, submission, state="answered", answered_at=sent)
    readings = [
        {
            "clip_id": str(clip.id),
            "swing": 0,
            "checkpoint": checkpoint.value,
            "source": "coach" if checkpoint is ANGLE and days_ago < 10 else "machine",
            "value": value,
            "sigma": sigma,
            "low": value - 1.96 * sigma,
            "high": value + 1.96 * sigma,
            "band": "watch",
            "missing": None,
        }
        for checkpoint, (value, sigma) in told.items()
    ]
    answer = factories.saved(
        session,
        Answer(
            review_id=review.id,
            submission_id=submission.id,
            number=1,
            text="Good.",
            content={"coach_name": "Rosa", "readings": readings, "drills": []},
            sent_by=coach.id,
            sent_at=sent,
            first_sent_at=sent,
        ),
    )
    for drill in drills:
        factories.saved(
            session,
            DrillAssignment(answer_id=answer.id, student_id=student.id, drill=drill, dose={}),
        )


def of_four_weeks(session: Session) -> Membership:
    """A student with five answers."""
    academy = factories.make_academy(session)
    student = factories.make_member(session, academy=academy)
    coach = factories.make_member(session, Role.COACH, academy=academy)
    weeks: list[tuple[float, Told, tuple[str, ...]]] = [
        (28, {ANGLE: (126.0, 3.0), BUTT: (1.9, 0.3), TEMPO: (3.1, 0.1)}, ("trail-hand-set",)),
        (21, {ANGLE: (121.0, 4.5), BUTT: (1.7, 0.3), TEMPO: (3.2, 0.2)}, ("trail-hand-set",)),
        (14, {ANGLE: (115.0, 3.0), BUTT: (1.2, 0.4)}, ("stop-and-look", "towel-hug")),
        (7, {ANGLE: (109.0, 2.0), BUTT: (0.8, 0.3), TEMPO: (3.0, 0.1)}, ("stop-and-look",)),
        (1, {ANGLE: (98.0, 2.0), BUTT: (0.6, 0.3), TEMPO: (3.1, 0.1)}, ("towel-hug",)),
    ]
    for days_ago, told, drills in weeks:
        answered(session, student, coach, days_ago, told, *drills)
    return student


def cards(page: Page) -> list[str]:
    return page.locator("section.card h2").all_inner_texts()


def test_what_really_changed_comes_first(browser: Browser, house: House) -> None:
    with rows_of(house) as factory, factory() as session:
        student = of_four_weeks(session)
        session.commit()
        session.expunge_all()
    with device(browser, PHONE, phone=True) as page:
        sign_in(page, house, student)
        page.get_by_role("link", name="Progress").click()
        expect(page.get_by_role("heading", name="Progress")).to_be_visible()
        expect(page.get_by_text("One number has really changed")).to_be_visible()
        assert cards(page)[0].startswith("Lead arm to shaft angle")
        first = page.locator("section.card").first
        expect(first).to_contain_text(
            "Nearer to the target by 11.0° since the clip before. That is real: measuring twice can differ by 5.5°."
        )
        second = page.locator("section.card").nth(1)
        expect(second).to_contain_text("No clear change since the clip before")
        assert first.locator("svg rect.dot").count() == 2, "squares are the coach's corrections"
        assert first.locator("svg circle.dot").count() == 3
        assert first.locator("svg rect.drill").count() == 4
        first.get_by_text("As a list").click()
        lines = first.get_by_role("listitem")
        assert lines.count() == 5
        expect(lines.first).to_contain_text(
            "98.0°, give or take 3.9, just off target, corrected by your coach"
        )
        assert_accessible(page, "progress on a phone")
        lines.first.get_by_role("link").click()
        page.wait_for_url(lambda url: "#/clips/" in url)


def test_a_lost_connection_is_told_and_tried_again(browser: Browser, house: House) -> None:
    with rows_of(house) as factory, factory() as session:
        student = of_four_weeks(session)
        session.commit()
        session.expunge_all()
    with device(browser, DESK, routed=True) as page:
        sign_in(page, house, student)
        page.route("**/progress", lambda route: route.abort())
        page.get_by_role("link", name="Progress").click()
        expect(page.get_by_role("button", name="Try again")).to_be_visible()
        page.unroute("**/progress")
        page.get_by_role("button", name="Try again").click()
        expect(page.get_by_text("One number has really changed")).to_be_visible()
        assert_accessible(page, "progress on a desk")
