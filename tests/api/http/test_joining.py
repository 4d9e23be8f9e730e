"""Joining: what a student tells, in any order, and who counts as a child by the academy's own calendar."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy import select
from sqlalchemy.orm import Session

from api.db.models import Academy, Mail, Membership, StudentProfile
from api.db.profiles import come_of_age, is_stopped
from api.domain.ages import Age, age_of, may_be_born_on, today_in, years_old
from api.domain.names import Role
from tests import factories
from tests.api.browsers import Browser, open_browser

JOINING = "/joining"


@pytest.fixture
def newcomer(session: Session, academy: Academy) -> Membership:
    return factories.make_member(session, academy=academy, joined=False)


@pytest.fixture
def phone(app: FastAPI, session: Session, newcomer: Membership, client: TestClient) -> Browser:
    return open_browser(app, session, newcomer)


def born(years: int) -> str:
    """A date of birth of somebody who is ``years`` old today, wherever it is today."""
    today = datetime.now(UTC).date()
    return today.replace(year=today.year - years, month=1, day=1).isoformat()


def test_steps_come_in_any_order_and_none_is_asked_twice(phone: Browser) -> None:
    told = phone.get(JOINING).json()
    assert told["age"] == "unknown"
    assert told["consent"] == "age_unknown"
    assert told["left"] == ["age", "consent", "swing", "clubs", "about", "time_zone"]

    told = phone.patch(JOINING, {"time_zone": "Europe/Zagreb"}).json()
    assert told["left"] == ["age", "consent", "swing", "clubs", "about"]
    told = phone.patch(JOINING, {"stature_band": "165_180", "handed": "left"}).json()
    assert (told["stature_m"], told["stature_band"], told["handed"]) == (None, "165_180", "left")
    told = phone.patch(JOINING, {"stature_m": 1.7}).json()
    assert (told["stature_m"], told["stature_band"]) == (1.7, None)
    told = phone.patch(JOINING, {"stature_m": 0}).json()
    assert told["stature_m"] is None
    told = phone.patch(JOINING, {"seen": ["swing", "about"]}).json()
    assert told["left"] == ["age", "consent", "clubs"]
    told = phone.patch(JOINING, {"adult": True}).json()
    assert told["left"] == ["consent", "clubs"]
    assert told["consent"] == "not_asked"


@pytest.mark.parametrize(
    ("sent", "status", "code"),
    [
        ({"time_zone": "Europe/Nowhere"}, 422, "unknown_time_zone"),
        ({"time_zone": "../etc/passwd"}, 422, "unknown_time_zone"),
        ({"born_on": "1890-01-01"}, 422, "not_born_then"),
        ({"born_on": "2090-01-01"}, 422, "not_born_then"),
        ({"born_on": "yesterday"}, 422, "invalid"),
        ({"stature_band": "tall"}, 422, "invalid"),
        ({"stature_m": 3}, 422, "invalid"),
        ({"adult": False}, 422, "invalid"),
    ],
)
def test_what_cannot_be_is_refused_in_words(
    phone: Browser, sent: dict[str, object], status: int, code: str
) -> None:
    answer = phone.patch(JOINING, sent)
    assert (answer.status_code, answer.json()["code"]) == (status, code)


def test_of_an_adult_no_date_of_birth_is_kept(phone: Browser) -> None:
    told = phone.patch(JOINING, {"born_on": born(40)}).json()
    assert (told["age"], told["born_on"]) == ("adult", None)


def test_a_child_cannot_become_an_adult_by_saying_so(phone: Browser) -> None:
    told = phone.patch(JOINING, {"born_on": born(12)}).json()
    assert (told["age"], told["consent"]) == ("child", "guardian_missing")
    assert told["left"][0] == "guardian"
    for sent in ({"adult": True}, {"born_on": born(30)}):
        answer = phone.patch(JOINING, sent)
        assert (answer.status_code, answer.json()["code"]) == (409, "age_fixed")
    assert phone.get(JOINING).json()["age"] == "child"


def test_a_childs_own_words_wait_for_the_guardian_and_equipment_does_not(phone: Browser) -> None:
    phone.patch(JOINING, {"born_on": born(12)})
    answer = phone.patch(JOINING, {"to_know": "My back hurts."})
    assert (answer.status_code, answer.json()["code"]) == (409, "guardian_consent_missing")
    assert phone.patch(JOINING, {"handed": "left", "stature_m": 1.4}).status_code == 200
    club = {"name": "7 iron", "length_m": 0.9}
    assert phone.post("/clubs", club).status_code == 201


def test_a_childs_pages_name_the_contact_for_the_safety_of_children(
    phone: Browser, app: FastAPI, session: Session, academy: Academy
) -> None:
    office = open_browser(app, session, factories.make_member(session, Role.ADMIN, academy=academy))
    set_ = {"safeguarding_name": "Dana Moss", "safeguarding_contact": "+43 1 000 0000"}
    assert office.patch("/academy", set_).status_code == 200
    assert phone.get(JOINING).json()["safeguarding"] is None
    told = phone.patch(JOINING, {"born_on": born(12)}).json()
    assert told["safeguarding"] == {"name": "Dana Moss", "contact": "+43 1 000 0000"}


def test_a_guardian_is_named_once_and_has_an_address_of_their_own(
    phone: Browser, newcomer: Membership, session: Session
) -> None:
    phone.patch(JOINING, {"born_on": born(12)})
    own = {"name": "Me", "email": newcomer.person.email}
    answer = phone.put(f"{JOINING}/guardian", own)
    assert (answer.status_code, answer.json()["code"]) == (422, "guardian_is_you")
    named = {"name": "Jo", "email": "Jo.Parent@Example.org"}
    answer = phone.put(f"{JOINING}/guardian", named)
    assert answer.json()["email"] == "jo.parent@example.org"
    answer = phone.put(f"{JOINING}/guardian", {"name": "Friend", "email": "f@example.org"})
    assert (answer.status_code, answer.json()["code"]) == (409, "guardian_fixed")
    mails = session.scalars(select(Mail)).all()
    assert [mail.to_address for mail in mails] == ["jo.parent@example.org"]
    assert newcomer.person.name not in mails[0].subject


def test_an_adult_names_no_guardian(phone: Browser) -> None:
    phone.patch(JOINING, {"adult": True})
    answer = phone.put(f"{JOINING}/guardian", {"name": "Jo", "email": "jo@example.org"})
    assert (answer.status_code, answer.json()["code"]) == (409, "no_child")


def test_a_coach_reads_aims_and_what_to_know_and_the_office_no_health(
    phone: Browser, newcomer: Membership, coach: Browser, app: FastAPI, session: Session
) -> None:
    words = {"adult": True, "aims": "Straighter.", "to_know": "A stiff left knee."}
    phone.patch(JOINING, words)
    address = f"/people/{newcomer.id}/profile"
    told = coach.get(address).json()
    assert (told["aims"], told["to_know"], told["child"]) == (
        "Straighter.",
        "A stiff left knee.",
        False,
    )
    admin = factories.make_member(session, Role.ADMIN, academy=newcomer.academy)
    told = open_browser(app, session, admin).get(address).json()
    assert (told["aims"], told["to_know"]) == ("Straighter.", None)


def test_the_office_says_who_is_a_child_whatever_was_declared(
    pupil: Browser, student: Membership, app: FastAPI, session: Session
) -> None:
    admin = factories.make_member(session, Role.ADMIN, academy=student.academy)
    office = open_browser(app, session, admin)
    address = f"/people/{student.id}/child"
    assert office.put(address, {"child": True}).json()["child"] is True
    assert pupil.get(JOINING).json()["consent"] == "guardian_missing"
    answer = pupil.post("/submissions", {"handed": "right"})
    assert (answer.status_code, answer.json()["code"]) == (409, "guardian_missing")
    assert office.put(address, {"child": False}).json()["child"] is False
    assert pupil.get(JOINING).json()["consent"] == "age_unknown"
    # What they had agreed to as an adult holds again once they say so, and is shown and measured again.
    assert pupil.patch(JOINING, {"adult": True}).json()["consent"] == "valid"
    session.expire_all()
    assert not is_stopped(session, student.id)


def test_a_slip_in_the_year_is_mended_by_the_office(
    phone: Browser, newcomer: Membership, app: FastAPI, session: Session
) -> None:
    phone.patch("/joining", {"born_on": born(12)}).ok()
    phone.put("/joining/guardian", {"name": "Jo", "email": "jo@example.org"}).ok()
    admin = factories.make_member(session, Role.ADMIN, academy=newcomer.academy)
    office = open_browser(app, session, admin)
    assert office.put(f"/people/{newcomer.id}/child", {"child": False}).ok()["child"] is False
    told = phone.get("/joining").ok()
    assert (told["age"], told["guardian"], told["born_on"]) == ("unknown", None, None)
    assert phone.patch("/joining", {"born_on": born(40)}).ok()["age"] == "adult"


# ---------------------------------------------------------------- ages and calendars


def test_a_child_comes_of_age_with_the_day_where_the_academy_is() -> None:
    # 23:30 in London is the next day in Zagreb: the birthday has come there alone.
    now = datetime(2026, 5, 3, 23, 30, tzinfo=UTC)
    born_on = date(2008, 5, 4)
    ages = {
        zone: age_of(
            born_on=born_on,
            said_adult=False,
            called_child=False,
            limit=18,
            today=today_in(zone, now),
        )
        for zone in ("Europe/Zagreb", "Atlantic/Azores")
    }
    assert ages == {"Europe/Zagreb": Age.ADULT, "Atlantic/Azores": Age.CHILD}


def test_who_was_born_on_leap_day_grows_older_on_the_first_of_march() -> None:
    assert years_old(date(2008, 2, 29), date(2026, 2, 28)) == 17
    assert years_old(date(2008, 2, 29), date(2026, 3, 1)) == 18
    assert not may_be_born_on(date(2025, 1, 1), date(2026, 1, 2))


def test_the_academys_word_goes_before_a_declaration() -> None:
    def age(*, said_adult: bool, called_child: bool) -> Age:
        return age_of(
            born_on=None,
            said_adult=said_adult,
            called_child=called_child,
            limit=18,
            today=date(2026, 1, 1),
        )

    assert age(said_adult=True, called_child=True) is Age.CHILD
    assert age(said_adult=True, called_child=False) is Age.ADULT
    assert age(said_adult=False, called_child=False) is Age.UNKNOWN


def test_the_sweep_ends_a_guardians_part_on_the_birthday(
    session: Session, academy: Academy
) -> None:
    child = factories.make_child(session, academy, years=12)
    guardianship = factories.make_guardian(session, child)
    profile = session.scalars(
        select(StudentProfile).where(StudentProfile.membership_id == child.id)
    ).one()
    profile.born_on = date(2010, 6, 15)
    day_before = datetime(2028, 6, 14, 12, tzinfo=UTC)
    assert come_of_age(session, day_before) == 0
    assert profile.child
    assert come_of_age(session, day_before + timedelta(days=1)) == 1
    assert not profile.child
    assert guardianship.ended_at is not None
    assert come_of_age(session, day_before + timedelta(days=2)) == 0


def test_a_new_age_limit_counts_at_once(
    session: Session, academy: Academy, as_member: Callable[[Membership], TestClient]
) -> None:
    child = factories.make_child(session, academy, years=16)
    admin = factories.make_member(session, Role.ADMIN, academy=academy)
    office = as_member(admin)
    people = office.get("/api/v1/people").json()["items"]
    assert [one["child"] for one in people if one["membership_id"] == str(child.id)] == [True]
    office.patch("/api/v1/academy", json={"age_limit": 16})
    people = office.get("/api/v1/people").json()["items"]
    assert [one["child"] for one in people if one["membership_id"] == str(child.id)] == [False]
    assert office.patch("/api/v1/academy", json={"age_limit": 5}).status_code == 422
