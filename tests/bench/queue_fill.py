"""A queue of any length, written straight into the tables: invented people, nothing measured."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

from sqlalchemy import insert
from sqlalchemy.orm import Session

from api.db.models import (
    Academy,
    Answer,
    Clip,
    DrillAssignment,
    Membership,
    Review,
    Submission,
    Upload,
)
from api.domain.ids import new_id
from api.domain.names import Role
from tests import factories

PROMISE_HOURS = 48
CLUBS = ("7 iron", "Driver", "Pitching wedge", "5 wood", None)
PURPOSES = ("full", "pause", "rehearsal", "slow")
SURNAMES = ("Amsel", "Brook", "Corran", "Dunne", "Esk", "Fern", "Gorse", "Heath", "Inver", "Juno")
GIVEN = ("Ada", "Bela", "Cosmo", "Delia", "Emil", "Freya", "Gil", "Hedda", "Ivo", "Jora")
NOTE = "It starts left and stays low when I hurry. Number {}."
STUDENTS = 400
PER_STUDENT_WITH_DRILLS = 4
"""Every fourth student has an answer with a drill, so that their clips are its proof."""


@dataclass(frozen=True, slots=True)
class Filled:
    """Who is there."""

    academy: Academy
    coaches: Sequence[Membership]
    students: Sequence[Membership]


def fill_queue(session: Session, waiting: int, *, students: int = STUDENTS) -> Filled:
    """An academy with so many waiting reviews, every twelfth of them late. Commits."""
    academy = factories.make_academy(session, promise_hours=PROMISE_HOURS)
    coaches = [_member(session, academy, Role.COACH, number) for number in range(3)]
    pupils = [_member(session, academy, Role.STUDENT, number) for number in range(students)]
    now = datetime.now(UTC)
    rows = _Rows(academy, now)
    for pupil in pupils[::PER_STUDENT_WITH_DRILLS]:
        rows.answered(pupil, coaches[0])
    for number in range(waiting):
        rows.waiting(pupils[number * 7 % students], number, waiting, coaches)
    rows.write(session)
    session.commit()
    return Filled(academy, coaches, pupils)


def _member(session: Session, academy: Academy, role: Role, number: int) -> Membership:
    name = f"{GIVEN[number % 10]} {SURNAMES[number // 10 % 10]} {number}"
    person = factories.make_person(session, name=name)
    return factories.make_member(session, role, academy=academy, person=person)


class _Rows:
    def __init__(self, academy: Academy, now: datetime) -> None:
        self._academy_id = academy.id
        self._now = now
        self._made: dict[type, list[dict[str, Any]]] = {
            table: [] for table in (Submission, Upload, Clip, Review, Answer, DrillAssignment)
        }

    def _submission(self, pupil: Membership, number: int, state: str, at: datetime) -> UUID:
        submission_id, upload_id = new_id(), new_id()
        self._made[Submission].append(
            {
                "id": submission_id,
                "created_at": at,
                "academy_id": self._academy_id,
                "student_id": pupil.id,
                "club_name": CLUBS[number % len(CLUBS)],
                "purpose": PURPOSES[number % len(PURPOSES)],
                "with_ball": True,
                "handed": "right",
                "note": NOTE.format(number),
                "state": state,
                "received_at": at,
                "refilm_asked_at": at if number % 25 == 3 else None,
            }
        )
        view = "face-on" if number % 3 else "down-the-line"
        upload = {"id": upload_id, "submission_id": submission_id, "owner_id": pupil.id}
        self._made[Upload].append(
            upload
            | {"view": view, "length": 1, "state": "complete", "expires_at": at, "created_at": at}
        )
        self._made[Clip].append(
            {
                "id": new_id(),
                "submission_id": submission_id,
                "upload_id": upload_id,
                "view": view,
                "state": "measured",
                "bytes": 1,
                "sha256": "0" * 64,
                "received_at": at,
            }
        )
        return submission_id

    def _review(self, submission_id: UUID, at: datetime, **values: object) -> UUID:
        review_id = new_id()
        row: dict[str, Any] = {
            "id": review_id,
            "created_at": at,
            "changed_at": at,
            "academy_id": self._academy_id,
            "submission_id": submission_id,
            "claimed_by": None,
            "drafted_by": None,
            "answered_at": None,
        }
        self._made[Review].append(row | values)
        return review_id

    def answered(self, pupil: Membership, coach: Membership) -> None:
        at = self._now - timedelta(days=20)
        submission_id = self._submission(pupil, 0, "answered", at)
        due = at + timedelta(hours=PROMISE_HOURS)
        done = {"state": "answered", "claimed_by": coach.id, "answered_at": at}
        review_id = self._review(submission_id, at, due_at=due, **done)
        answer = {"id": new_id(), "review_id": review_id, "submission_id": submission_id}
        self._made[Answer].append(
            answer
            | {
                "number": 1,
                "text": "Stop and look.",
                "content": {},
                "sent_by": coach.id,
                "sent_at": at,
            }
        )
        self._made[DrillAssignment].append(
            {
                "id": new_id(),
                "created_at": at,
                "answer_id": answer["id"],
                "student_id": pupil.id,
                "drill": "stop-and-look",
                "dose": {},
            }
        )

    def waiting(
        self, pupil: Membership, number: int, of: int, coaches: Sequence[Membership]
    ) -> None:
        # From four hours late to 44 hours left, one after the other.
        due = self._now + timedelta(hours=PROMISE_HOURS * (number / of) - 4)
        at = due - timedelta(hours=PROMISE_HOURS)
        submission_id = self._submission(pupil, number, "waiting", at)
        left = coaches[number % len(coaches)].id if number % 40 == 7 else None
        self._review(submission_id, at, due_at=due, state="waiting", drafted_by=left)

    def write(self, session: Session) -> None:
        for table, rows in self._made.items():
            if rows:
                session.execute(insert(table.__table__), rows)  # type: ignore[attr-defined]  # a mapped class has one
