"""The queue over HTTP, on both databases: why things stand where they do, filters, search, streams."""

import json
import threading
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any
from urllib.parse import quote
from uuid import UUID

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy import update
from sqlalchemy.orm import Session, sessionmaker

from api.db.models import Academy, Answer, DrillAssignment, Membership, Review
from api.db.queues import CHANGES_LOOKED_AT, Seen
from api.domain.actors import Actor
from api.domain.drill_library import DRILLS
from api.domain.names import Role
from api.domain.queues import Reason
from api.http import queue_events
from tests import factories
from tests.api.browsers import Browser, open_browser

NOW = datetime.now(UTC)
DRILL = "stop-and-look"
Waits = Callable[..., Review]
MakeCoach = Callable[[str], Browser]


@pytest.fixture
def database_url(either_url: str) -> str:
    return either_url


@pytest.fixture
def waits(session: Session, academy: Academy) -> Waits:
    """A review that waits, of a clip that came when the promise began."""

    def make(
        student: Membership | None = None,
        *,
        left: timedelta = timedelta(hours=40),
        view: str = "face-on",
        of_review: dict[str, Any] | None = None,
        **of_submission: object,
    ) -> Review:
        who = student or factories.make_member(session, academy=academy)
        came = NOW + left - timedelta(hours=48)
        values = {"state": "waiting", "received_at": came} | of_submission
        submission = factories.make_submission(session, who, **values)
        factories.make_clip(session, submission, view=view, received_at=came)
        review = factories.make_review(session, submission, due_at=NOW + left, **(of_review or {}))
        session.commit()
        return review

    return make


@pytest.fixture
def make_coach(app: FastAPI, session: Session, academy: Academy, client: TestClient) -> MakeCoach:
    def make(name: str) -> Browser:
        person = factories.make_person(session, name=name)
        member = factories.make_member(session, Role.COACH, academy=academy, person=person)
        return open_browser(app, session, member)

    return make


@pytest.fixture
def coach(make_coach: MakeCoach) -> Browser:
    return make_coach("Rosa Quill")


def answer_with_drill(
    session: Session, student: Membership, coach_id: UUID, sent_at: datetime
) -> DrillAssignment:
    submission = factories.make_submission(session, student, state="answered")
    review = factories.make_review(session, submission, state="answered", claimed_by=coach_id)
    answer = factories.saved(
        session,
        Answer(
            review_id=review.id,
            submission_id=submission.id,
            number=1,
            text="Stop.",
            content={},
            sent_by=coach_id,
            sent_at=sent_at,
            first_sent_at=sent_at,
        ),
    )
    given = DrillAssignment(answer_id=answer.id, student_id=student.id, drill=DRILL, dose={})
    return factories.saved(session, given)


def ids(page: dict[str, Any]) -> list[str]:
    return [item["id"] for item in page["items"]]


def reasons(coach: Browser, review: Review) -> dict[str, Any]:
    page = coach.get(f"/reviews?only={review.id}").ok()
    return {reason["code"]: reason for reason in page["items"][0]["reasons"]}


class TestReasons:
    @pytest.mark.parametrize(
        ("left_h", "code"),
        [(-1.0, "late"), (9.0, "due_soon"), (10.0, "due_half"), (23.5, "due_half"), (25.0, None)],
    )
    def test_the_promise_warns_at_half_and_at_four_fifths(
        self, coach: Browser, waits: Waits, left_h: float, code: str | None
    ) -> None:
        review = waits(left=timedelta(hours=left_h))
        clock = set(reasons(coach, review)) & {"late", "due_soon", "due_half"}
        assert clock == ({code} if code else set())
        for one in ("late", "due_soon", "due_half"):
            assert ids(coach.get(f"/reviews?reason={one}").ok()) == (
                [str(review.id)] if one == code else []
            )

    def test_a_page_that_stays_open_knows_when_the_next_warning_is_due(
        self, coach: Browser, waits: Waits
    ) -> None:
        waits(left=timedelta(hours=40))
        (item,) = coach.get("/reviews").ok()["items"]
        due, half, soon = (
            datetime.fromisoformat(item[name]) for name in ("due_at", "half_at", "soon_at")
        )
        assert (due - half, due - soon) == (timedelta(hours=24), timedelta(hours=9.6))

    def test_a_first_clip_is_the_students_first_that_reached_a_coach(
        self, session: Session, coach: Browser, waits: Waits, student: Membership
    ) -> None:
        factories.make_submission(session, student, state="withdrawn")
        first, second = waits(student), waits(student)
        assert "first_clip" in reasons(coach, first)
        assert "first_clip" not in reasons(coach, second)
        assert ids(coach.get("/reviews?reason=first_clip").ok()) == [str(first.id)]

    def test_a_clip_after_an_answer_with_a_drill_is_its_proof_and_names_it(
        self, session: Session, coach: Browser, waits: Waits, student: Membership
    ) -> None:
        who = factories.make_member(session, Role.COACH, academy=student.academy)
        early = waits(student, left=timedelta(hours=20))
        given = answer_with_drill(session, student, who.id, NOW - timedelta(hours=20))
        after = waits(student, left=timedelta(hours=40))
        other = waits()
        assert reasons(coach, after)["proof"]["drills"] == [DRILLS[DRILL].name]
        assert "proof" not in reasons(coach, early) | reasons(coach, other)
        assert ids(coach.get("/reviews?reason=proof").ok()) == [str(after.id)]
        given.withdrawn_at = NOW
        session.commit()
        assert "proof" not in reasons(coach, after)

    def test_of_an_answer_without_drills_since_nothing_is_proof(
        self, session: Session, coach: Browser, waits: Waits, student: Membership
    ) -> None:
        # As the desk's own proof has it: the last answer counts.
        who = factories.make_member(session, Role.COACH, academy=student.academy)
        answer_with_drill(session, student, who.id, NOW - timedelta(hours=30))
        since = answer_with_drill(session, student, who.id, NOW - timedelta(hours=20))
        session.delete(since)
        assert "proof" not in reasons(coach, waits(student))

    def test_filmed_again(self, coach: Browser, waits: Waits) -> None:
        review = waits(refilm_asked_at=NOW)
        assert "filmed_again" in reasons(coach, review)
        assert ids(coach.get("/reviews?reason=filmed_again").ok()) == [str(review.id)]

    def test_a_draft_left_says_by_whom_and_how(
        self, session: Session, coach: Browser, make_coach: MakeCoach, waits: Waits
    ) -> None:
        back, lapsed, untouched = waits(), waits(), waits()
        for review in (back, lapsed):
            version = coach.post(f"/reviews/{review.id}/claim").ok()["version"]
            coach.patch(f"/reviews/{review.id}/draft", {"text": "Half"}, etag=version).ok()
        coach.post(f"/reviews/{untouched.id}/claim").ok()
        for review in (back, untouched):
            coach.post(f"/reviews/{review.id}/release").ok()
        session.execute(
            update(Review).where(Review.id == lapsed.id).values(state="waiting", lease_ends_at=None)
        )
        session.commit()
        tom = make_coach("Tom Byrne")
        for review, ran_out in ((back, False), (lapsed, True)):
            said = reasons(tom, review)["draft_left"]
            assert (said["coach"]["name"], said["lapsed"]) == ("Rosa Quill", ran_out)
        assert "draft_left" not in reasons(tom, untouched)
        page = tom.get(f"/reviews?only={lapsed.id}").ok()
        assert page["items"][0]["lapsed_from"]["name"] == "Rosa Quill"
        assert page["items"][0]["claimed_by"] is None
        drafted = {str(back.id), str(lapsed.id)}
        assert set(ids(coach.get("/reviews?drafted=mine").ok())) == drafted
        assert ids(tom.get("/reviews?drafted=mine").ok()) == []
        assert ids(coach.get("/reviews?drafted=not_mine").ok()) == [str(untouched.id)]
        assert set(ids(tom.get("/reviews?reason=draft_left").ok())) == drafted

    def test_they_come_weightiest_first(self, coach: Browser, waits: Waits) -> None:
        review = waits(left=timedelta(hours=-1), refilm_asked_at=NOW)
        order = [reason.value for reason in Reason]
        said = list(reasons(coach, review))
        assert said == sorted(said, key=order.index)
        assert said[0] == "late"


class TestCorrections:
    """Nobody waits for an answer that stands: a correction in hand was counted late, and stood first."""

    @pytest.fixture
    def in_hand(
        self, session: Session, academy: Academy, waits: Waits
    ) -> tuple[Membership, Review]:
        member = factories.make_member(session, Role.COACH, academy=academy)
        correcting = waits(
            left=timedelta(hours=-30),
            state="answered",
            of_review={
                "state": "claimed",
                "claimed_by": member.id,
                "lease_ends_at": NOW + timedelta(hours=1),
                "answered_at": NOW - timedelta(hours=31),
                "amends_number": 1,
            },
        )
        return member, correcting

    @pytest.mark.parametrize("queue", ["mine", "claimed"])
    def test_a_correction_in_hand_is_not_late_and_stands_after_what_is_waited_for(
        self,
        app: FastAPI,
        session: Session,
        client: TestClient,
        waits: Waits,
        in_hand: tuple[Membership, Review],
        queue: str,
    ) -> None:
        member, correcting = in_hand
        held = {"state": "claimed", "claimed_by": member.id}
        held["lease_ends_at"] = NOW + timedelta(hours=1)
        late, due = (
            waits(left=timedelta(hours=left), state="with_coach", of_review=held)
            for left in (-2, 30)
        )
        coach = open_browser(app, session, member)
        page = coach.get(f"/reviews?state={queue}").ok()
        assert ids(page) == [str(one.id) for one in (late, due, correcting)]
        assert page["late"] == 1
        shown = page["items"][-1]
        assert (shown["late"], shown["correcting"]) == (False, True)
        assert not {reason["code"] for reason in shown["reasons"]} & {
            "late",
            "due_soon",
            "due_half",
        }
        assert ids(coach.get(f"/reviews?state={queue}&reason=late").ok()) == [str(late.id)]
        assert coach.get(f"/reviews/filters?state={queue}").ok()["reasons"]["late"] == 1
        first = coach.get(f"/reviews?state={queue}&limit=2").ok()
        rest = coach.get(f"/reviews?state={queue}&cursor={quote(first['next_cursor'])}").ok()
        assert (ids(first), ids(rest)) == ([str(late.id), str(due.id)], [str(correcting.id)])

    def test_a_cursor_behind_a_correction_goes_on_with_the_next(
        self,
        app: FastAPI,
        session: Session,
        client: TestClient,
        waits: Waits,
        in_hand: tuple[Membership, Review],
    ) -> None:
        member, correcting = in_hand
        later = waits(
            left=timedelta(hours=-20),
            state="answered",
            of_review={
                "state": "claimed",
                "claimed_by": member.id,
                "lease_ends_at": NOW + timedelta(hours=1),
                "answered_at": NOW - timedelta(hours=31),
                "amends_number": 1,
            },
        )
        coach = open_browser(app, session, member)
        first = coach.get("/reviews?state=mine&limit=1").ok()
        rest = coach.get(f"/reviews?state=mine&cursor={quote(first['next_cursor'])}").ok()
        assert (ids(first), ids(rest)) == ([str(correcting.id)], [str(later.id)])


class TestFilters:
    def test_each_narrows_and_their_counts_leave_themselves_out(
        self, coach: Browser, waits: Waits
    ) -> None:
        iron = waits(club_name="7 iron", purpose="pause", view="face-on")
        wood = waits(club_name="5 wood", purpose="full", view="down-the-line")
        none = waits(club_name=None, purpose="full", view="face-on")
        for query, there in (
            ("club=7%20iron", [iron]),
            ("club=", [none]),
            ("view=down-the-line", [wood]),
            ("purpose=full", [wood, none]),
            ("purpose=full&view=face-on", [none]),
        ):
            page = coach.get(f"/reviews?{query}").ok()
            assert set(ids(page)) == {str(one.id) for one in there}, query
            assert page["found"] == len(there)
            assert page["counts"]["waiting"] == 3
        counts = coach.get("/reviews/filters?purpose=full").ok()
        assert counts["purposes"] == {"full": 2, "pause": 1}
        assert counts["views"] == {"face-on": 1, "down-the-line": 1}
        assert counts["clubs"] == {"5 wood": 1, "": 1}
        assert counts["reasons"]["first_clip"] == 2
        assert counts["drafted"] == {"mine": 0, "not_mine": 2}

    def test_a_view_that_was_filmed_again_counts_once(
        self, session: Session, coach: Browser, waits: Waits
    ) -> None:
        review = waits()
        clip = review.submission.clips[0]
        clip.replaced_at = NOW
        session.flush()
        factories.make_clip(session, review.submission, view="face-on")
        session.commit()
        assert coach.get("/reviews/filters").ok()["views"] == {"face-on": 1}
        assert len(coach.get("/reviews?view=face-on").ok()["items"]) == 1

    @pytest.mark.parametrize(
        ("search", "found"),
        [
            ("åsa", ["a"]),
            ("ÅSA", ["a"]),
            ("asa", []),
            ("wedge", ["b"]),
            ("HOOK low", ["a", "b"]),
            ("hook åsa", ["a"]),
            ("100%", ["b"]),
            ("%", ["b"]),
            ("_", []),
            ("\\", []),
            ("a' OR 1=1 --", []),
        ],
    )
    def test_search_is_plain_text_in_any_case(
        self,
        session: Session,
        academy: Academy,
        coach: Browser,
        waits: Waits,
        search: str,
        found: list[str],
    ) -> None:
        made = {}
        for key, name, club, note in (
            ("a", "Åsa Lind", "7 iron", "A low hook"),
            ("b", "Ben Oak", "Pitching Wedge", "Hook, LOW, 100% of the time"),
        ):
            person = factories.make_person(session, name=name)
            member = factories.make_member(session, academy=academy, person=person)
            made[key] = str(waits(member, club_name=club, note=note).id)
        page = coach.get(f"/reviews?search={quote(search)}").ok()
        assert set(ids(page)) == {made[key] for key in found}

    def test_who_runs_the_academy_neither_reads_nor_finds_notes(
        self, app: FastAPI, session: Session, academy: Academy, waits: Waits, client: TestClient
    ) -> None:
        waits(note="My back hurts")
        admin = open_browser(
            app, session, factories.make_member(session, Role.ADMIN, academy=academy)
        )
        assert admin.get("/reviews?search=hurts").ok()["items"] == []
        assert admin.get("/reviews").ok()["items"][0]["note"] == ""

    def test_another_academys_clips_are_neither_found_nor_counted(
        self, app: FastAPI, session: Session, coach: Browser, waits: Waits
    ) -> None:
        review = waits(club_name="7 iron", note="hook")
        stranger = open_browser(app, session, factories.make_member(session, Role.COACH))
        for query in ("search=hook", "club=7%20iron", f"only={review.id}", "reason=first_clip"):
            page = stranger.get(f"/reviews?{query}").ok()
            assert (page["items"], page["found"], page["counts"]["waiting"]) == ([], 0, 0)
        assert stranger.get("/reviews/filters").ok()["clubs"] == {}
        answer = stranger.post("/reviews/claim-next?search=hook")
        assert answer.status_code == 404

    def test_pages_meet_under_a_filter(self, coach: Browser, waits: Waits) -> None:
        for number in range(7):
            waits(left=timedelta(hours=number // 2), purpose="full" if number % 2 else "slow")
        seen: list[str] = []
        cursor = ""
        while True:
            page = coach.get(f"/reviews?limit=2&purpose=slow{cursor}").ok()
            seen += ids(page)
            if page["next_cursor"] is None:
                break
            cursor = f"&cursor={quote(page['next_cursor'])}"
        assert seen == ids(coach.get("/reviews?purpose=slow").ok())
        assert len(set(seen)) == 4

    def test_the_next_one_is_taken_from_what_is_shown(self, coach: Browser, waits: Waits) -> None:
        waits(left=timedelta(hours=1), club_name="7 iron")
        wood = waits(left=timedelta(hours=5), club_name="5 wood")
        assert coach.post("/reviews/claim-next?club=5%20wood").ok()["id"] == str(wood.id)
        answer = coach.post("/reviews/claim-next?club=5%20wood")
        assert (answer.status_code, answer.json()["code"]) == (404, "nothing_waiting")

    @pytest.mark.parametrize(
        "query", ["reason=mood", "view=above", f"search={'x' * 101}", "search=a%00b", "drafted=x"]
    )
    def test_what_is_no_filter_is_refused(self, coach: Browser, query: str) -> None:
        for path in ("/reviews", "/reviews/filters"):
            assert coach.get(f"{path}?{query}").status_code == 422


class Looks:
    """Counts the looks of all streams, and ends the streams: no test waits for a clock."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self._monkeypatch = monkeypatch
        self._more = threading.Condition()
        self._number = 0
        look = queue_events._look
        monkeypatch.setattr(queue_events, "LASTS_S", 600.0)
        monkeypatch.setattr(queue_events, "LOOK_EVERY_S", 0.02)

        def counted(factory: sessionmaker[Session], actor: Actor) -> Seen:
            seen = look(factory, actor)
            with self._more:
                self._number += 1
                self._more.notify_all()
            return seen

        monkeypatch.setattr(queue_events, "_look", counted)

    def wait(self, more: int) -> None:
        """Until so many more looks were had. One may be under way, so two are surely after now."""
        with self._more:
            wanted = self._number + more
            assert self._more.wait_for(lambda: self._number >= wanted, timeout=60)

    def end(self) -> None:
        self._monkeypatch.setattr(queue_events, "LASTS_S", 0.0)


class Listener:
    """Reads a stream to its end, in a thread of its own."""

    def __init__(self, coach: Browser, looks: Looks) -> None:
        self._answers: list[str] = []
        self._looks = looks
        self._thread = threading.Thread(target=self._read, args=(coach,))
        self._thread.start()
        looks.wait(1)

    def _read(self, coach: Browser) -> None:
        self._answers.append(coach.get("/reviews/events").text)

    def events(self) -> list[tuple[str, Any]]:
        """What was told up to now."""
        if self._thread.is_alive():
            self._looks.wait(3)
            self._looks.end()
        return self.ended()

    def ended(self) -> list[tuple[str, Any]]:
        """What was told until the stream ended by itself."""
        self._thread.join(timeout=60)
        assert not self._thread.is_alive()
        blocks = [block for block in self._answers[0].split("\n\n") if block.startswith("event:")]
        parts = [block.split("\n") for block in blocks]
        return [
            (name.removeprefix("event: "), json.loads(data.removeprefix("data: ")))
            for name, data in parts
        ]


class TestEvents:
    @pytest.fixture
    def looks(self, monkeypatch: pytest.MonkeyPatch, _streams_of_the_queue_end: None) -> Looks:
        return Looks(monkeypatch)

    def test_what_changed_is_told_by_its_ids(
        self, looks: Looks, coach: Browser, make_coach: MakeCoach, waits: Waits
    ) -> None:
        review, _other = waits(), waits()
        listener = Listener(coach, looks)
        make_coach("Tom Byrne").post(f"/reviews/{review.id}/claim").ok()
        events = listener.events()
        assert events[0] == ("here", {})
        assert ("changed", {"ids": [str(review.id)]}) in events[1:]
        assert all(data == {"ids": [str(review.id)]} for _name, data in events[1:])

    def test_a_sign_of_life_changes_nothing_that_is_shown(
        self, looks: Looks, session: Session, coach: Browser, waits: Waits
    ) -> None:
        review = waits()
        coach.post(f"/reviews/{review.id}/claim").ok()
        end = datetime(2099, 1, 1, 12, 0, 1, tzinfo=UTC)
        session.execute(update(Review).values(lease_ends_at=end))
        session.commit()
        listener = Listener(coach, looks)
        session.execute(update(Review).values(lease_ends_at=end + timedelta(seconds=30)))
        session.commit()
        assert listener.events() == [("here", {})]

    def test_more_than_is_looked_at_is_told_as_everything(
        self, looks: Looks, session: Session, coach: Browser, waits: Waits, student: Membership
    ) -> None:
        for _ in range(CHANGES_LOOKED_AT):
            factories.make_review(session, factories.make_submission(session, student))
        session.commit()
        listener = Listener(coach, looks)
        session.execute(update(Review).values(due_at=NOW))
        session.commit()
        assert ("changed", {"ids": None}) in listener.events()

    def test_another_academys_changes_are_not_told(
        self, looks: Looks, app: FastAPI, session: Session, coach: Browser, waits: Waits
    ) -> None:
        review = waits()
        stranger = open_browser(app, session, factories.make_member(session, Role.COACH))
        listener = Listener(stranger, looks)
        coach.post(f"/reviews/{review.id}/claim").ok()
        assert listener.events() == [("here", {})]

    def test_a_person_has_so_many_streams_and_gets_them_back(
        self, looks: Looks, app: FastAPI, session: Session, academy: Academy, client: TestClient
    ) -> None:
        member = factories.make_member(session, Role.COACH, academy=academy)
        tabs = [open_browser(app, session, member) for _ in range(queue_events.STREAMS_EACH)]
        listeners = []
        for tab in tabs:
            listeners.append(Listener(tab, looks))
            looks.wait(len(tabs) * 3)
        refused = open_browser(app, session, member).get("/reviews/events")
        assert (refused.status_code, refused.json()["code"]) == (429, "too_many_streams")
        assert int(refused.headers["Retry-After"]) > 0
        looks.end()
        assert [listener.ended() for listener in listeners] == [[("here", {})]] * len(tabs)
        assert tabs[0].get("/reviews/events").status_code == 200

    def test_a_stream_ends_with_the_place_at_the_academy(
        self,
        looks: Looks,
        app: FastAPI,
        session: Session,
        academy: Academy,
        client: TestClient,
        waits: Waits,
    ) -> None:
        member = factories.make_member(session, Role.COACH, academy=academy)
        review = waits()
        listener = Listener(open_browser(app, session, member), looks)
        member.deactivated_at = NOW
        session.execute(update(Review).where(Review.id == review.id).values(due_at=NOW))
        session.commit()
        assert listener.ended() == [("here", {})]
