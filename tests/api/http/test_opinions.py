"""A coach asks a colleague: what each of them sees meanwhile and afterwards, and that no student sees any of it."""

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
from api.domain.names import Role
from api.storage.base import Storage
from tests import factories, measured
from tests.api.browsers import Browser, open_browser

Film = Callable[[], Submission]
QUESTION = "Set too early, or only the angle of the camera?"
HERS = "I see a camera that stands too low. Leave the set alone."
HIS = "You set the club too early."


@pytest.fixture
def database_url(either_url: str) -> str:
    return either_url


@pytest.fixture
def film(session: Session, storage: Storage, student: Membership) -> Film:
    return lambda: measured.make_measured(session, storage, student)


class Person:
    """A coach with their own browser."""

    def __init__(self, app: FastAPI, session: Session, academy: Academy) -> None:
        self.member = factories.make_member(session, Role.COACH, academy=academy)
        self.id = str(self.member.id)
        self.name = self.member.person.name
        self.browser = open_browser(app, session, self.member)

    def waiting(self) -> list[dict[str, Any]]:
        items: list[dict[str, Any]] = self.browser.get("/reviews?state=waiting").ok()["items"]
        return items


@pytest.fixture
def asker(app: FastAPI, session: Session, academy: Academy, client: object) -> Person:
    return Person(app, session, academy)


@pytest.fixture
def colleague(app: FastAPI, session: Session, academy: Academy, client: object) -> Person:
    return Person(app, session, academy)


@pytest.fixture
def third(app: FastAPI, session: Session, academy: Academy, client: object) -> Person:
    return Person(app, session, academy)


def claimed(person: Person, session: Session, film: Film) -> dict[str, Any]:
    submission = film()
    review_id = session.scalars(select(Review.id).filter_by(submission_id=submission.id)).one()
    session.commit()
    return person.browser.post(f"/reviews/{review_id}/claim").ok()


def moved(person: Person, review: dict[str, Any], by: int) -> dict[str, Any]:
    clip_id = review["submission"]["clips"][0]["id"]
    url = f"/reviews/{review['id']}/marks/{clip_id}/0/lead_arm_parallel"
    body = {"frame": measured.LEVEL + by}
    return person.browser.put(url, body, etag=review["version"]).ok()


def worded(person: Person, review: dict[str, Any], text: str) -> dict[str, Any]:
    url = f"/reviews/{review['id']}/draft"
    return person.browser.patch(url, {"text": text}, etag=review["version"]).ok()


def ask(person: Person, review: dict[str, Any], of: Person | None = None) -> dict[str, Any]:
    body = {"words": QUESTION, "of": None if of is None else of.id}
    return person.browser.post(f"/reviews/{review['id']}/opinions", body).ok()


def angle(review: dict[str, Any]) -> dict[str, Any]:
    found: dict[str, Any] = next(
        one for one in review["readings"] if one["checkpoint"] == "lead_arm_shaft_angle"
    )
    return found


def opinions(person: Person, review: dict[str, Any]) -> list[dict[str, Any]]:
    answer = person.browser.get(f"/reviews/{review['id']}/opinions")
    found: list[dict[str, Any]] = json.loads(answer.text)
    return found


def given(person: Person, opinion_id: str, by: int = 5) -> dict[str, Any]:
    """The colleague takes the question, moves the moment, writes and commits."""
    review = person.browser.post(f"/reviews/{opinion_id}/claim").ok()
    review = worded(person, moved(person, review, by), HERS)
    return person.browser.post(f"/reviews/{opinion_id}/commit", etag=review["version"]).ok()


def test_from_the_question_to_the_answer(
    asker: Person, colleague: Person, third: Person, session: Session, film: Film, pupil: Browser
) -> None:
    main = worded(asker, moved(asker, claimed(asker, session, film), 3), HIS)
    assert [one["name"] for one in json.loads(asker.browser.get("/colleagues").text)] == sorted(
        [colleague.name, third.name], key=str.casefold
    )
    asked = ask(asker, main, colleague)
    assert (asked["state"], asked["said"], asked["reader"]) == ("waiting", None, None)

    # Only the one who is asked finds it, with who asks and what.
    (row,) = colleague.waiting()
    assert (row["id"], row["kind"], row["question"]) == (asked["id"], "second", QUESTION)
    (reason,) = [one for one in row["reasons"] if one["code"] == "second_opinion"]
    assert reason["coach"]["name"] == asker.name
    assert third.waiting() == asker.waiting() == []
    assert third.browser.post(f"/reviews/{asked['id']}/claim").status_code == 404
    assert asker.browser.post(f"/reviews/{asked['id']}/claim").status_code == 404

    # It begins with what the machine found, and the asker's own draft is out of sight.
    opinion = colleague.browser.post(f"/reviews/{asked['id']}/claim").ok()
    assert opinion["question"]["words"] == QUESTION
    assert opinion["question"]["by"]["name"] == asker.name
    assert angle(opinion)["source"] == "machine"
    assert opinion["draft"]["text"] == ""
    assert HIS not in json.dumps(opinion)
    for hidden in (
        f"/reviews/{main['id']}",
        f"/reviews/{main['id']}/opinions",
        f"/reviews/{main['id']}/trends",
        f"/reviews/{main['id']}/last-clips",
        f"/submissions/{main['submission']['id']}",
    ):
        assert colleague.browser.get(hidden).status_code == 404, hidden

    # While it is being formed the asker is told that, and no more.
    worded(colleague, opinion, "Half a thou")
    (seen,) = opinions(asker, main)
    assert (seen["state"], seen["reader"]["name"]) == ("claimed", colleague.name)
    assert seen["said"] is None
    assert asker.browser.get(f"/reviews/{asked['id']}").status_code == 404

    done = given(colleague, asked["id"])
    assert (done["state"], done["about_review_id"]) == ("answered", main["id"])
    (seen,) = opinions(asker, main)
    assert (seen["state"], seen["said"]["text"]) == ("answered", HERS)
    assert seen["committed_at"] is not None
    assert angle(seen["said"])["value"] == pytest.approx(angle(main)["value"] + 4.0, abs=0.5)
    # Now both look at each other's.
    assert colleague.browser.get(f"/reviews/{main['id']}").ok()["draft"]["text"] == HIS
    looked = asker.browser.get(f"/reviews/{asked['id']}").ok()
    assert (looked["draft"]["text"], angle(looked)["source"]) == (HERS, "coach")

    # The asker's own draft is untouched by all that, and goes out as it is.
    now = asker.browser.get(f"/reviews/{main['id']}").ok()
    assert (now["version"], now["draft"]["text"]) == (main["version"], HIS)
    asker.browser.post(f"/reviews/{main['id']}/send", etag=now["version"]).ok()
    submission = pupil.get(f"/submissions/{main['submission']['id']}").ok()
    assert submission["answer"]["text"] == HIS
    assert submission["review"]["id"] == main["id"]
    told = json.dumps(submission)
    for secret in (HERS, QUESTION, colleague.name, asked["id"]):
        assert secret not in told


def test_a_question_to_any_colleague_is_taken_by_one(
    asker: Person, colleague: Person, third: Person, session: Session, film: Film
) -> None:
    main = claimed(asker, session, film)
    asked = ask(asker, main)
    assert [row["id"] for row in third.waiting()] == [asked["id"]]
    assert colleague.browser.post("/reviews/claim-next").ok()["id"] == asked["id"]
    assert third.waiting() == []
    assert third.browser.post(f"/reviews/{asked['id']}/claim").status_code == 404
    begun = moved(colleague, worded(colleague, seen_by(colleague, asked), HERS), 5)
    colleague.browser.post(f"/reviews/{asked['id']}/release").ok()
    # Handed back, it is there for the other one, who reads and takes over nothing of what was begun.
    left = seen_by(third, asked)
    assert (left["draft_hidden"], left["draft"]["text"], left["draft"]["marks"]) == (True, "", [])
    assert (angle(begun)["source"], angle(left)["source"]) == ("coach", "machine")
    assert seen_by(colleague, asked)["draft"]["text"] == HERS
    taken = third.browser.post(f"/reviews/{asked['id']}/claim").ok()
    assert (taken["kind"], taken["draft"]["text"], taken["draft"]["marks"]) == ("second", "", [])
    assert angle(taken)["source"] == "machine"
    # What was begun is still its writer's, and nobody else's; who takes the question again goes on with it.
    kept = seen_by(colleague, asked)
    assert (kept["state"], kept["draft"]["text"]) == ("closed", HERS)
    assert kept["draft"]["marks"] == begun["draft"]["marks"]
    for other in (asker, third):
        assert other.browser.get(f"/reviews/{asked['id']}").status_code == 404
    worded(third, taken, "His own.")
    third.browser.post(f"/reviews/{taken['id']}/release").ok()
    again = colleague.browser.post(f"/reviews/{taken['id']}/claim").ok()
    assert (again["id"], again["draft"]["text"]) == (asked["id"], HERS)
    given(colleague, asked["id"])
    told: Any = asker.browser.get(f"/reviews/{main['id']}/opinions").ok()
    assert [one["said"] is not None for one in told] == [one["id"] == asked["id"] for one in told]
    assert "His own." not in json.dumps(told)


def seen_by(person: Person, opinion: dict[str, Any]) -> dict[str, Any]:
    return person.browser.get(f"/reviews/{opinion['id']}").ok()


@pytest.mark.parametrize("put_to", ["one", "any"])
def test_whoever_is_asked_reads_no_other_opinion_before_their_own_is_given(
    put_to: str,
    asker: Person,
    colleague: Person,
    third: Person,
    session: Session,
    film: Film,
) -> None:
    main = claimed(asker, session, film)
    first = ask(asker, main, colleague)
    given(colleague, first["id"])
    assert seen_by(third, first)["draft"]["text"] == HERS
    second = ask(asker, main, third if put_to == "one" else None)

    def hidden() -> None:
        assert third.browser.get(f"/reviews/{first['id']}").status_code == 404
        rows = third.browser.get("/reviews?state=answered").ok()["items"]
        assert first["id"] not in [row["id"] for row in rows]

    hidden()
    assert opinions(third, main) == []
    # The asker and who gave it go on reading it.
    assert opinions(asker, main)[1]["said"]["text"] == HERS
    assert seen_by(asker, first)["draft"]["text"] == HERS
    assert seen_by(colleague, first)["draft"]["text"] == HERS
    third.browser.post(f"/reviews/{second['id']}/claim").ok()
    hidden()
    given(third, second["id"])
    assert seen_by(third, first)["draft"]["text"] == HERS


def test_whoever_had_the_review_and_is_asked_finds_no_other_opinion_beside_it(
    asker: Person, colleague: Person, third: Person, session: Session, film: Film
) -> None:
    main = claimed(asker, session, film)
    given(colleague, ask(asker, main, colleague)["id"])
    asker.browser.post(f"/reviews/{main['id']}/release").ok()
    third.browser.post(f"/reviews/{main['id']}/claim").ok()
    asked = ask(third, main, asker)
    third.browser.post(f"/reviews/{main['id']}/release").ok()
    assert opinions(asker, main) == []
    given(asker, asked["id"])
    assert len(opinions(asker, main)) == 2


def test_nothing_moves_for_the_student_while_a_colleague_reads(
    asker: Person, colleague: Person, session: Session, film: Film, pupil: Browser
) -> None:
    main = claimed(asker, session, film)
    asked = ask(asker, main)
    url = f"/submissions/{main['submission']['id']}"
    before = pupil.get(url).ok()
    colleague.browser.post(f"/reviews/{asked['id']}/claim").ok()
    assert pupil.get(url).ok() == before
    colleague.browser.post(f"/reviews/{asked['id']}/release").ok()
    assert pupil.get(url).ok() == before
    assert before["state"] == "with_coach"
    # The question goes on waiting when the asker hands the review back; the other way round too.
    asker.browser.post(f"/reviews/{main['id']}/release").ok()
    assert pupil.get(url).ok()["state"] == "waiting"
    colleague.browser.post(f"/reviews/{asked['id']}/claim").ok()
    assert pupil.get(url).ok()["state"] == "waiting"


def test_a_claim_that_lapses_puts_the_question_back_and_moves_nothing(
    asker: Person, colleague: Person, session: Session, film: Film, pupil: Browser
) -> None:
    main = claimed(asker, session, film)
    asked = ask(asker, main)
    opinion = colleague.browser.post(f"/reviews/{asked['id']}/claim").ok()
    opinion = worded(colleague, opinion, HERS)
    late = utc_now() - timedelta(minutes=1)
    session.execute(update(Review).filter_by(id=UUID(asked["id"])).values(lease_ends_at=late))
    assert lapse_leases(session, utc_now()) == 1
    session.commit()
    assert pupil.get(f"/submissions/{main['submission']['id']}").ok()["state"] == "with_coach"
    (row,) = colleague.waiting()
    assert "draft_left" in [reason["code"] for reason in row["reasons"]]
    # The same colleague goes on without a word, and the version they had still holds.
    again = worded(colleague, opinion, HERS + " Really.")
    assert again["state"] == "claimed"
    stale = colleague.browser.patch(
        f"/reviews/{asked['id']}/draft", {"text": "x"}, etag=opinion["version"]
    )
    assert (stale.status_code, stale.json()["code"]) == (412, "stale")


def test_a_question_has_no_promise_of_its_own(
    asker: Person, colleague: Person, session: Session, storage: Storage, student: Membership
) -> None:
    def film() -> Submission:
        return measured.make_measured(session, storage, student, due_in=timedelta(hours=-1))

    asked = ask(asker, claimed(asker, session, film))
    queue = colleague.browser.get("/reviews?state=waiting").ok()
    (row,) = queue["items"]
    assert (row["id"], row["late"], queue["late"]) == (asked["id"], False, 0)
    assert "late" not in [reason["code"] for reason in row["reasons"]]
    assert colleague.browser.get("/reviews?reason=late").ok()["items"] == []
    assert colleague.browser.get("/reviews/filters").ok()["reasons"]["late"] == 0
    assert colleague.browser.get("/reviews/filters").ok()["reasons"]["second_opinion"] == 1
    narrowed = colleague.browser.get("/reviews?reason=second_opinion").ok()
    assert [one["id"] for one in narrowed["items"]] == [asked["id"]]


def test_one_question_at_a_time_and_it_can_be_withdrawn(
    asker: Person, colleague: Person, session: Session, film: Film
) -> None:
    main = claimed(asker, session, film)
    asked = ask(asker, main, colleague)
    url = f"/reviews/{main['id']}/opinions"
    twice = asker.browser.post(url, {"words": QUESTION})
    assert (twice.status_code, twice.json()["code"]) == (409, "already_asked")
    opinion = colleague.browser.post(f"/reviews/{asked['id']}/claim").ok()
    opinion = worded(colleague, opinion, HERS)
    assert asker.browser.delete(f"{url}/{asked['id']}").status_code == 204
    assert asker.browser.delete(f"{url}/{asked['id']}").status_code == 204
    late = colleague.browser.post(f"/reviews/{asked['id']}/commit", etag=opinion["version"])
    assert (late.status_code, late.json()["code"]) == (409, "closed")
    # What the colleague wrote is still theirs to read, and was told to nobody.
    assert colleague.browser.get(f"/reviews/{asked['id']}").ok()["draft"]["text"] == HERS
    (ended,) = opinions(asker, main)
    assert (ended["state"], ended["said"]) == ("closed", None)
    again = ask(asker, main, colleague)
    given(colleague, again["id"])
    withdrawn = asker.browser.delete(f"{url}/{again['id']}")
    assert (withdrawn.status_code, withdrawn.json()["code"]) == (409, "already_committed")


def test_sending_does_not_wait_and_ends_the_question(
    asker: Person, colleague: Person, session: Session, film: Film
) -> None:
    main = worded(asker, claimed(asker, session, film), HIS)
    asked = ask(asker, main)
    opinion = colleague.browser.post(f"/reviews/{asked['id']}/claim").ok()
    asker.browser.post(f"/reviews/{main['id']}/send", etag=main["version"]).ok()
    refused = colleague.browser.patch(
        f"/reviews/{asked['id']}/draft", {"text": HERS}, etag=opinion["version"]
    )
    assert (refused.status_code, refused.json()["code"]) == (409, "closed")
    assert colleague.browser.get("/reviews?state=mine").ok()["items"] == []
    assert opinions(asker, main)[0]["state"] == "closed"


@pytest.mark.parametrize("ending", ["withdrawn", "refilm"])
def test_it_ends_with_the_review(
    ending: str, asker: Person, colleague: Person, session: Session, film: Film, pupil: Browser
) -> None:
    main = claimed(asker, session, film)
    ask(asker, main)
    if ending == "refilm":
        body = {"causes": ["other"], "message": "Film it again, please."}
        asker.browser.post(f"/reviews/{main['id']}/ask-refilm", body).ok()
    else:
        asker.browser.post(f"/reviews/{main['id']}/release").ok()
        pupil.post(f"/submissions/{main['submission']['id']}/withdraw").ok()
    assert colleague.waiting() == []
    states = set(session.scalars(select(Review.state)))
    session.commit()
    assert states == {"closed"}


def test_an_opinion_goes_to_no_student_and_an_answer_to_no_colleague(
    asker: Person, colleague: Person, session: Session, film: Film
) -> None:
    main = worded(asker, claimed(asker, session, film), HIS)
    wrong = asker.browser.post(f"/reviews/{main['id']}/commit", etag=main["version"])
    assert (wrong.status_code, wrong.json()["code"]) == (409, "students_review")
    asked = ask(asker, main)
    opinion = colleague.browser.post(f"/reviews/{asked['id']}/claim").ok()
    empty = colleague.browser.post(f"/reviews/{asked['id']}/commit", etag=opinion["version"])
    assert (empty.status_code, empty.json()["code"]) == (409, "nothing_to_send")
    opinion = worded(colleague, opinion, HERS)
    etag = opinion["version"]
    url = f"/reviews/{asked['id']}"
    for act, body in (
        ("send", None),
        ("ask-refilm", {"causes": ["other"], "message": "Again."}),
        ("opinions", {"words": QUESTION}),
    ):
        refused = colleague.browser.post(f"{url}/{act}", body, etag=etag)
        assert (refused.status_code, refused.json()["code"]) == (409, "not_the_students"), act
    target = {"checkpoint": "lead_arm_shaft_angle"} | dict.fromkeys(
        ("watch_low", "good_low", "good_high", "watch_high"), 0
    )
    target |= {"watch_low": 78, "good_low": 85, "good_high": 95, "watch_high": 105}
    student_id = main["submission"]["student"]["id"]
    assert colleague.browser.post(f"/people/{student_id}/bands", target).status_code == 404
    done = colleague.browser.post(f"{url}/commit", etag=etag).ok()
    # It stands: neither called back nor corrected nor changed.
    assert done["recall_until"] is None
    assert not done["may_correct"]
    for act in ("recall", "correct", "renew", "release", "claim"):
        assert colleague.browser.post(f"{url}/{act}").status_code == 409, act
    changed = colleague.browser.patch(f"{url}/draft", {"text": "x"}, etag=done["version"])
    assert (changed.status_code, changed.json()["code"]) == (409, "already_committed")


def test_whoever_holds_the_review_does_not_answer_their_own_question(
    asker: Person, colleague: Person, session: Session, film: Film
) -> None:
    main = claimed(asker, session, film)
    asked = ask(asker, main)
    asker.browser.post(f"/reviews/{main['id']}/release").ok()
    colleague.browser.post(f"/reviews/{main['id']}/claim").ok()
    assert [row["id"] for row in colleague.waiting()] == []
    assert colleague.browser.post(f"/reviews/{asked['id']}/claim").status_code == 404
    # The new holder finds the question with the review, and may end it.
    assert [one["id"] for one in opinions(colleague, main)] == [asked["id"]]
    url = f"/reviews/{main['id']}/opinions/{asked['id']}"
    assert colleague.browser.delete(url).status_code == 204


def test_who_has_nothing_to_do_with_it_is_told_nothing(
    asker: Person, colleague: Person, third: Person, session: Session, film: Film
) -> None:
    main = claimed(asker, session, film)
    asked = ask(asker, main, colleague)
    given(colleague, asked["id"])
    assert opinions(third, main) == []
    url = f"/reviews/{main['id']}/opinions/{asked['id']}"
    assert third.browser.delete(url).status_code == 404


def test_only_a_colleague_who_is_there_can_be_asked(
    asker: Person,
    third: Person,
    session: Session,
    film: Film,
    student: Membership,
    academy: Academy,
) -> None:
    main = claimed(asker, session, film)
    elsewhere = factories.make_member(session, Role.COACH)
    left = factories.make_member(session, Role.COACH, academy=academy, deactivated_at=utc_now())
    ids = [asker.id, str(elsewhere.id), str(left.id), str(student.id)]
    session.commit()
    for one in ids:
        refused = asker.browser.post(
            f"/reviews/{main['id']}/opinions", {"words": QUESTION, "of": one}
        )
        assert (refused.status_code, refused.json()["code"]) == (422, "unknown_colleague")
    # And only about what one holds.
    refused = third.browser.post(f"/reviews/{main['id']}/opinions", {"words": QUESTION})
    assert (refused.status_code, refused.json()["code"]) == (409, "already_claimed")


def test_the_only_coach_has_nobody_to_ask(asker: Person, session: Session, film: Film) -> None:
    main = claimed(asker, session, film)
    refused = asker.browser.post(f"/reviews/{main['id']}/opinions", {"words": QUESTION})
    assert (refused.status_code, refused.json()["code"]) == (409, "no_colleague")


def test_an_opinion_teaches_the_machine_nothing(
    asker: Person, colleague: Person, session: Session, film: Film
) -> None:
    for _ in range(3):
        main = worded(asker, claimed(asker, session, film), HIS)
        given(colleague, ask(asker, main)["id"])
        asker.browser.post(f"/reviews/{main['id']}/send", etag=main["version"]).ok()
    assert asker.browser.get("/corrections").ok()["lessons"] == []


def test_whoever_is_asked_sees_no_draft_before_their_own_opinion_stands(
    asker: Person, colleague: Person, third: Person, session: Session, film: Film
) -> None:
    main = worded(asker, moved(asker, claimed(asker, session, film), 3), HIS)
    address = f"/reviews/{main['id']}"
    assert colleague.browser.get(address).ok()["draft"]["text"] == HIS
    asked = ask(asker, main, colleague)
    seen = colleague.browser.get(address).ok()
    assert (seen["draft_hidden"], seen["draft"]["text"], seen["draft"]["marks"]) == (True, "", [])
    assert angle(seen)["source"] == "machine"
    assert HIS not in json.dumps(seen)
    for person in (asker, third):
        open_to = person.browser.get(address).ok()
        assert (open_to["draft_hidden"], open_to["draft"]["text"]) == (False, HIS)
        assert angle(open_to)["source"] == "coach"
    given(colleague, asked["id"])
    assert colleague.browser.get(address).ok()["draft"]["text"] == HIS
    # Put to any coach, it waits for every one of them.
    ask(asker, main)
    assert third.browser.get(address).ok()["draft_hidden"] is True
