"""Blind double reads: the pick, what the reader does not find however they look, and the figures for the admin."""

import json
from collections.abc import Callable
from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest
from fastapi import FastAPI
from sqlalchemy import select, update
from sqlalchemy.orm import Session

from api.db.base import utc_now
from api.db.models import Academy, Membership, Review, Submission
from api.db.reviews import lapse_leases
from api.domain import agreement
from api.domain.double_reads import NO_PROMISE
from api.domain.names import Role
from api.storage.base import Storage
from tests import factories, measured
from tests.api.browsers import Browser, open_browser
from tests.api.http.test_opinions import Person, angle, claimed, moved, worded

Film = Callable[[], Submission]
HIS = "You set the club too early."


@pytest.fixture
def database_url(either_url: str) -> str:
    return either_url


@pytest.fixture
def film(session: Session, storage: Storage, student: Membership) -> Film:
    return lambda: measured.make_measured(session, storage, student)


@pytest.fixture
def first(app: FastAPI, session: Session, academy: Academy, client: object) -> Person:
    return Person(app, session, academy)


@pytest.fixture
def reader(app: FastAPI, session: Session, academy: Academy, client: object) -> Person:
    return Person(app, session, academy)


@pytest.fixture
def office(app: FastAPI, session: Session, academy: Academy, client: object) -> Browser:
    return open_browser(app, session, factories.make_member(session, Role.ADMIN, academy=academy))


@pytest.fixture
def every_answer(office: Browser) -> None:
    """All answers are read again."""
    assert office.patch("/academy", {"double_read_share": 1}).ok()["double_read_share"] == 1.0


def answered(person: Person, session: Session, film: Film, by: int = 3) -> dict[str, Any]:
    review = claimed(person, session, film)
    if by:
        review = moved(person, review, by)
    review = worded(person, review, HIS)
    return person.browser.post(f"/reviews/{review['id']}/send", etag=review["version"]).ok()


def blind_of(session: Session, main: dict[str, Any]) -> Review | None:
    session.commit()
    rows = select(Review).where(Review.read_of_id == UUID(main["id"]), Review.kind == "blind")
    found = session.scalars(rows.execution_options(populate_existing=True)).one_or_none()
    session.commit()
    return found


def taken(person: Person) -> dict[str, Any]:
    """The blind read that waits."""
    (row,) = person.waiting()
    assert (row["kind"], [one["code"] for one in row["reasons"]][-1]) == ("blind", "blind_read")
    return person.browser.post(f"/reviews/{row['id']}/claim").ok()


def committed(person: Person, review: dict[str, Any]) -> dict[str, Any]:
    return person.browser.post(f"/reviews/{review['id']}/commit", etag=review["version"]).ok()


def test_by_default_nothing_is_read_again(
    first: Person, reader: Person, office: Browser, session: Session, film: Film
) -> None:
    session.commit()
    assert office.get("/academy").ok()["double_read_share"] == 0.0
    main = answered(first, session, film)
    assert blind_of(session, main) is None
    told = office.get("/agreement").ok()
    assert (told["open"], told["committed"], told["items"]) == (0, 0, [])


def test_the_share_is_set_by_an_admin_and_written_down(first: Person, office: Browser) -> None:
    assert first.browser.patch("/academy", {"double_read_share": 1}).status_code == 403
    for wrong in (-0.1, 1.1, "many"):
        assert office.patch("/academy", {"double_read_share": wrong}).status_code == 422
    assert office.patch("/academy", {"double_read_share": 0.25}).ok()["double_read_share"] == 0.25
    (event,) = [one for one in office.get("/audit-events").ok()["items"] if "academy" in one["act"]]
    assert event["before"]["double_read_share"] == 0.0
    assert event["after"]["double_read_share"] == 0.25


@pytest.mark.usefixtures("every_answer")
def test_where_nobody_else_could_read_nothing_is_opened(
    first: Person, session: Session, film: Film
) -> None:
    assert blind_of(session, answered(first, session, film)) is None


@pytest.mark.usefixtures("every_answer")
def test_it_waits_behind_every_student_and_is_never_late(
    first: Person, reader: Person, session: Session, film: Film
) -> None:
    main = answered(first, session, film)
    film()
    session.commit()
    rows = reader.waiting()
    assert [row["kind"] for row in rows] == ["main", "blind"]
    blind = rows[1]
    assert not blind["late"]
    assert not {"late", "due_soon", "due_half"} & {one["code"] for one in blind["reasons"]}
    row = blind_of(session, main)
    assert row is not None
    assert row.due_at == NO_PROMISE
    # The next one is the student's; after that there is the read.
    assert reader.browser.post("/reviews/claim-next").ok()["kind"] == "main"


@pytest.mark.usefixtures("every_answer")
def test_who_answered_does_not_find_it_and_cannot_take_it(
    first: Person, reader: Person, session: Session, film: Film
) -> None:
    main = answered(first, session, film)
    blind = blind_of(session, main)
    assert blind is not None
    assert first.waiting() == []
    assert first.browser.get("/reviews").ok()["counts"]["waiting"] == 0
    for act in ("claim", "renew", "release", "commit"):
        answer = first.browser.post(f"/reviews/{blind.id}/{act}", etag=1)
        assert answer.status_code == 404, act
    assert first.browser.get(f"/reviews/{blind.id}").status_code == 404
    assert first.browser.post("/reviews/claim-next").status_code == 404
    # Nor do the trail of the answer and its history speak of it.
    history = first.browser.get(f"/reviews/{main['id']}").ok()["history"]
    assert "blind" not in json.dumps(history)


@pytest.mark.usefixtures("every_answer")
def test_the_reader_finds_the_answer_on_no_route(
    first: Person,
    reader: Person,
    session: Session,
    storage: Storage,
    student: Membership,
    film: Film,
) -> None:
    secrets = [HIS, first.name, first.id]
    main = answered(first, session, film)
    # A later clip of the same student is held against that answer in every way the desk has.
    later = film()
    later_review = str(
        session.scalars(select(Review.id).filter_by(submission_id=later.id, kind="main")).one()
    )
    bands = factories.make_bands(
        session, student, first.member, reason=f"{first.name} says so: {HIS}"
    )
    session.commit()
    row = next(one for one in reader.waiting() if one["kind"] == "blind")
    blind = reader.browser.post(f"/reviews/{row['id']}/claim").ok()
    body = json.dumps(blind)
    for secret in [*secrets, main["id"]]:
        assert secret not in body
    # What the machine found is what there is to begin with.
    assert (angle(blind)["source"], blind["draft"]["marks"]) == ("machine", [])
    assert blind["submission"]["answer"] is None
    assert blind["submission"]["review"]["id"] == blind["id"]
    assert (blind["drill_proof"], blind["about_review_id"]) == (None, None)
    assert blind["submission"]["clips"][0]["media"] is not None

    student_id = str(student.id)
    gone = [
        f"/reviews/{main['id']}",
        f"/reviews/{main['id']}/trends",
        f"/reviews/{main['id']}/last-clips",
        f"/reviews/{main['id']}/opinions",
        f"/reviews/{later_review}",
        f"/reviews/{later_review}/trends",
        f"/reviews/{later_review}/last-clips",
        f"/submissions/{main['submission']['id']}",
        f"/submissions/{main['submission']['id']}/events",
        f"/submissions/{later.id}",
        f"/submissions/{main['submission']['id']}/answers/1/sheet.pdf",
        f"/submissions/{main['submission']['id']}/question",
        f"/people/{student_id}/bands",
        f"/people/{student_id}/practice",
        f"/people/{student_id}/progress",
    ]
    for path in gone:
        assert reader.browser.get(path).status_code == 404, path
    for act in ("claim", "renew", "release", "send", "recall", "correct"):
        for review_id in (main["id"], later_review):
            answer = reader.browser.post(f"/reviews/{review_id}/{act}", etag=1)
            assert answer.status_code == 404, (act, review_id)
    readable = [
        f"/reviews/{blind['id']}",
        f"/reviews/{blind['id']}/trends",
        f"/reviews/{blind['id']}/last-clips",
        f"/reviews/{blind['id']}/opinions",
        *(f"/reviews?state={state}" for state in ("waiting", "claimed", "answered", "mine")),
        f"/reviews?state=answered&search={first.name}",
        f"/reviews?state=answered&only={main['id']}&only={later_review}",
        "/reviews/filters?state=answered",
        "/reviews/events",
        "/submissions",
        "/people",
        "/phrases",
        "/corrections",
        "/questions",
    ]
    for path in readable:
        answer = reader.browser.get(path)
        assert answer.status_code == 200, path
        for secret in [*secrets, main["id"], later_review, student_id]:
            if secret != student_id or path != f"/reviews/{blind['id']}":
                assert secret not in answer.text, (path, secret)
    assert reader.browser.get("/audit-events").status_code == 403
    assert reader.browser.get("/agreement").status_code == 403
    assert reader.browser.get("/reviews").ok()["counts"]["answered"] == 0
    assert (
        reader.browser.post("/reviews/claim-next").status_code == 404
    )  # the later clip is held back
    assert bands.reason not in body

    # Once it stands, the reader's desk is whole again; their read itself is nobody's to open.
    committed(reader, blind)
    assert reader.browser.get(f"/reviews/{main['id']}").ok()["submission"]["answer"] is not None
    for person in (first, reader):
        assert person.browser.get(f"/reviews/{blind['id']}").status_code == 404
        for state in ("waiting", "claimed", "answered", "mine"):
            rows = person.browser.get(f"/reviews?state={state}").ok()["items"]
            assert blind["id"] not in [one["id"] for one in rows]


@pytest.mark.usefixtures("every_answer")
@pytest.mark.parametrize(
    "way",
    [
        "review",
        "trends",
        "last-clips",
        "submission",
        "later",
        "practice",
        "progress",
        "question",
        "sheet",
        "held",
    ],
)
def test_who_has_looked_cannot_read_blindly(
    way: str, first: Person, reader: Person, session: Session, film: Film
) -> None:
    main = answered(first, session, film)
    later = film()
    later_review = session.scalars(
        select(Review.id).filter_by(submission_id=later.id, kind="main")
    ).one()
    blind = blind_of(session, main)
    assert blind is not None
    if way == "held":
        reader.browser.post(f"/reviews/{later_review}/claim").ok()
        reader.browser.post(f"/reviews/{later_review}/release").ok()
    else:
        looks = {
            "review": f"/reviews/{main['id']}",
            "trends": f"/reviews/{main['id']}/trends",
            "last-clips": f"/reviews/{later_review}/last-clips",
            "submission": f"/submissions/{main['submission']['id']}",
            "later": f"/reviews/{later_review}",
            "question": f"/submissions/{main['submission']['id']}/question",
            "sheet": f"/submissions/{main['submission']['id']}/answers/1/sheet.pdf",
            "practice": f"/people/{main['submission']['student']['id']}/practice",
            "progress": f"/people/{main['submission']['student']['id']}/progress",
        }
        assert reader.browser.get(looks[way]).status_code == 200
    assert "blind" not in [row["kind"] for row in reader.waiting()]
    assert reader.browser.post(f"/reviews/{blind.id}/claim").status_code == 404
    # Nobody's history tells who looked where.
    assert "looked" not in json.dumps(first.browser.get(f"/reviews/{main['id']}").ok()["history"])


@pytest.mark.usefixtures("every_answer")
def test_a_look_after_the_claim_lapsed_ends_the_read_for_that_coach(
    first: Person, reader: Person, session: Session, film: Film
) -> None:
    main = answered(first, session, film)
    blind = worded(reader, taken(reader), "Half a thought")
    late = utc_now() - timedelta(minutes=1)
    session.execute(update(Review).filter_by(id=UUID(blind["id"])).values(lease_ends_at=late))
    lapse_leases(session, utc_now())
    session.commit()
    # A coach who just comes back goes on.
    blind = worded(reader, blind, "A whole thought")
    session.execute(update(Review).filter_by(id=UUID(blind["id"])).values(lease_ends_at=late))
    lapse_leases(session, utc_now())
    session.commit()
    reader.browser.get(f"/reviews/{main['id']}").ok()
    for answer in (
        reader.browser.patch(f"/reviews/{blind['id']}/draft", {"text": "x"}, etag=blind["version"]),
        reader.browser.post(f"/reviews/{blind['id']}/commit", etag=blind["version"]),
        reader.browser.post(f"/reviews/{blind['id']}/renew"),
    ):
        assert (answer.status_code, answer.json()["code"]) == (409, "not_blind")
    assert reader.waiting() == []


@pytest.mark.usefixtures("every_answer")
def test_another_reader_begins_with_what_the_machine_found(
    app: FastAPI,
    first: Person,
    reader: Person,
    session: Session,
    film: Film,
    academy: Academy,
) -> None:
    another = Person(app, session, academy)
    main = answered(first, session, film)
    begun = worded(reader, moved(reader, taken(reader), 5), "Half a thought")
    assert angle(begun)["source"] == "coach"
    reader.browser.post(f"/reviews/{begun['id']}/release").ok()
    afresh = another.browser.post(f"/reviews/{begun['id']}/claim").ok()
    assert (afresh["draft"]["text"], afresh["draft"]["marks"]) == ("", [])
    assert angle(afresh)["source"] == "machine"
    another.browser.post(f"/reviews/{begun['id']}/release").ok()
    assert blind_of(session, main) is not None
    # One's own begun read is there again.
    again = moved(reader, reader.browser.post(f"/reviews/{begun['id']}/claim").ok(), 4)
    reader.browser.post(f"/reviews/{begun['id']}/release").ok()
    again = reader.browser.post(f"/reviews/{begun['id']}/claim").ok()
    assert angle(again)["source"] == "coach"


@pytest.mark.usefixtures("every_answer")
def test_nothing_of_it_reaches_or_moves_the_student(
    first: Person, reader: Person, session: Session, film: Film, pupil: Browser
) -> None:
    main = answered(first, session, film)
    url = f"/submissions/{main['submission']['id']}"
    before = pupil.get(url).ok()
    blind = worded(reader, moved(reader, taken(reader), 9), "Something else entirely")
    assert pupil.get(url).ok() == before
    reader.browser.post(f"/reviews/{blind['id']}/release").ok()
    assert pupil.get(url).ok() == before
    committed(reader, taken(reader))
    assert pupil.get(url).ok() == before
    assert before["review"]["id"] == main["id"]
    assert pupil.get("/submissions").ok()["items"][0]["review"]["id"] == main["id"]
    # Its corrections teach nothing: the answer's own are counted once.
    (lesson,) = first.browser.get("/corrections").ok()["lessons"]
    assert lesson["corrections"] == 1


@pytest.mark.usefixtures("every_answer")
def test_an_answer_that_is_called_back_and_sent_again_is_read_once(
    first: Person, reader: Person, session: Session, film: Film
) -> None:
    main = answered(first, session, film)
    blind = taken(reader)
    back = first.browser.post(f"/reviews/{main['id']}/recall").ok()
    # The read goes on: it knows nothing of the answer anyway.
    blind = worded(reader, blind, "So it looks to me")
    first.browser.post(f"/reviews/{main['id']}/send", etag=back["version"]).ok()
    committed(reader, blind)
    kinds = sorted(session.scalars(select(Review.kind)))
    session.commit()
    assert kinds == ["blind", "main"]


@pytest.mark.usefixtures("every_answer")
def test_it_ends_when_the_student_films_again(
    first: Person, reader: Person, session: Session, film: Film
) -> None:
    main = answered(first, session, film)
    blind = taken(reader)
    first.browser.post(f"/reviews/{main['id']}/recall").ok()
    body = {"causes": ["other"], "message": "Film it again, please."}
    first.browser.post(f"/reviews/{main['id']}/ask-refilm", body).ok()
    ended = reader.browser.post(f"/reviews/{blind['id']}/commit", etag=blind["version"])
    assert (ended.status_code, ended.json()["code"]) == (409, "closed")


@pytest.mark.usefixtures("every_answer")
def test_figures_for_the_admin_alone(
    first: Person,
    reader: Person,
    office: Browser,
    session: Session,
    film: Film,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # By how many frames each of the two moved lead arm parallel: two degrees each, and 0 for leaving it alone.
    apart = [(3, 5), (0, 0), (6, 5), (-4, -1)]
    for one, other in apart:
        answered(first, session, film, one)
        blind = taken(reader)
        committed(reader, moved(reader, blind, other) if other else blind)
    told = office.get("/agreement").ok()
    assert (told["open"], told["committed"], told["least_pairs"]) == (0, 4, 30)
    (few,) = [one for one in told["items"] if one["checkpoint"] == "lead_arm_shaft_angle"]
    assert (few["pairs"], few["left_alone"], few["view"]) == (4, 1, "face-on")
    assert (few["reason"], few["differences"], few["reliability"]) == ("too_few", None, None)

    monkeypatch.setattr(agreement, "LEAST_PAIRS", 4)
    (enough,) = [
        one
        for one in office.get("/agreement").ok()["items"]
        if one["checkpoint"] == "lead_arm_shaft_angle"
    ]
    found = enough["differences"]
    # 4, 0, -2 and 6 degrees: mean 2, SD sqrt(40 / 3).
    assert found["mean"] == pytest.approx(2.0, abs=0.1)
    assert found["sd"] == pytest.approx((40 / 3) ** 0.5, abs=0.1)
    assert found["limits"]["low"] == pytest.approx(2.0 - 1.96 * (40 / 3) ** 0.5, abs=0.2)
    assert enough["reason"] is None
    assert 0.7 < enough["reliability"]["icc"] < 1.0
    body = json.dumps(told) + json.dumps(enough)
    for name in (first.name, reader.name, first.id, reader.id):
        assert name not in body


@pytest.mark.usefixtures("every_answer")
def test_a_correction_that_came_after_is_no_part_of_the_agreement(
    first: Person, reader: Person, office: Browser, session: Session, film: Film
) -> None:
    main = answered(first, session, film)
    committed(reader, taken(reader))
    long_ago = utc_now() - timedelta(days=1)
    session.execute(update(Review).values(answered_at=long_ago))
    session.commit()
    before = office.get("/agreement").ok()
    opened = first.browser.post(f"/reviews/{main['id']}/correct").ok()
    opened = moved(first, opened, 12)
    draft = {"what_changed": "The moment."}
    opened = first.browser.patch(f"/reviews/{main['id']}/draft", draft, etag=opened["version"]).ok()
    first.browser.post(f"/reviews/{main['id']}/send", etag=opened["version"]).ok()
    assert office.get("/agreement").ok() == before
    assert before["committed"] == 1


@pytest.mark.usefixtures("every_answer")
def test_an_answer_called_back_for_good_is_no_part_of_it(
    first: Person, reader: Person, office: Browser, session: Session, film: Film
) -> None:
    main = answered(first, session, film)
    committed(reader, taken(reader))
    assert office.get("/agreement").ok()["items"] != []
    first.browser.post(f"/reviews/{main['id']}/recall").ok()
    assert office.get("/agreement").ok()["items"] == []


@pytest.mark.usefixtures("every_answer")
def test_another_academy_sees_none_of_it(
    app: FastAPI, first: Person, reader: Person, session: Session, film: Film
) -> None:
    main = answered(first, session, film)
    blind = blind_of(session, main)
    assert blind is not None
    elsewhere = factories.make_academy(session)
    coach = Person(app, session, elsewhere)
    admin = open_browser(
        app, session, factories.make_member(session, Role.ADMIN, academy=elsewhere)
    )
    assert coach.waiting() == []
    assert coach.browser.post(f"/reviews/{blind.id}/claim").status_code == 404
    committed(reader, taken(reader))
    assert admin.get("/agreement").ok()["items"] == []
