"""Rows for tests, with fixed plain values. Each factory flushes; the test owns the transaction."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import count
from typing import TypeVar
from uuid import UUID

from sqlalchemy import select
from sqlalchemy.orm import Session

from api.db.models import (
    Academy,
    Analysis,
    Answer,
    ApiToken,
    Clip,
    Club,
    ConsentRecord,
    ConsentText,
    DrillAssignment,
    Guardianship,
    Membership,
    Person,
    Phrase,
    QueueView,
    Review,
    SignInSession,
    StudentBands,
    StudentProfile,
    Submission,
    Upload,
)
from api.domain.actors import Actor, Scope
from api.domain.ids import new_id
from api.domain.names import Role
from api.domain.secrets import API_TOKEN_PREFIX, digest, new_secret

Row = TypeVar("Row")

_numbers = count(1)
FIRST_NAMES = ("Ana", "Bo", "Chidi", "Dina", "Eero", "Farah", "Goran", "Hana")


def saved(session: Session, row: Row) -> Row:
    session.add(row)
    session.flush()
    return row


def make_academy(session: Session, **values: object) -> Academy:
    given = {"name": "Heron Links", "time_zone": "Europe/Zagreb"} | values
    return saved(session, Academy(**given))


def make_person(session: Session, **values: object) -> Person:
    number = next(_numbers)
    name = FIRST_NAMES[number % len(FIRST_NAMES)]
    given = {"name": f"{name} {number}", "email": f"{name.lower()}{number}@example.org"} | values
    return saved(session, Person(**given))


def make_member(
    session: Session,
    role: Role = Role.STUDENT,
    *,
    academy: Academy | None = None,
    person: Person | None = None,
    joined: bool = True,
    **values: object,
) -> Membership:
    """A membership; a new academy and a new person unless given.

    A student is of age and has agreed to the text that comes with Fairlead, unless not ``joined``.
    """
    member = Membership(
        academy=academy or make_academy(session),
        person=person or make_person(session),
        role=role.value,
        **values,
    )
    saved(session, member)
    if joined and role is Role.STUDENT:
        make_profile(session, member, said_adult_at=datetime.now(UTC))
        make_consent(session, member)
    return member


def make_profile(session: Session, student: Membership, **values: object) -> StudentProfile:
    """What a student told; nothing unless given."""
    nothing = {
        "child": False,
        "aims": "",
        "to_know": "",
        "seen_steps": [],
        "stopped_because": "",
    }
    return saved(session, StudentProfile(membership_id=student.id, **(nothing | values)))


def make_consent(
    session: Session, student: Membership, guardianship: Guardianship | None = None
) -> ConsentRecord:
    """Consent to the first text: the student's own, or the guardian's."""
    audience = "adult" if guardianship is None else "guardian"
    texts = select(ConsentText).where(
        ConsentText.audience == audience, ConsentText.academy_id.is_(None)
    )
    return saved(
        session,
        ConsentRecord(
            student_id=student.id,
            given_by=student.id if guardianship is None else guardianship.guardian_id,
            guardianship_id=None if guardianship is None else guardianship.id,
            text_id=session.scalars(texts).one().id,
            decision="given",
            decided_at=datetime.now(UTC),
            source="127.0.0.1",
        ),
    )


def make_child(session: Session, academy: Academy, *, years: int = 12) -> Membership:
    """A student who is not of age, with a date of birth and nobody who has agreed to anything."""
    member = make_member(session, academy=academy, joined=False)
    today = datetime.now(UTC).date()
    born_on = today.replace(year=today.year - years, month=1, day=1)
    make_profile(session, member, born_on=born_on, child=True)
    return member


def make_guardian(
    session: Session,
    child: Membership,
    *,
    consents: bool = True,
    guardian: Membership | None = None,
) -> Guardianship:
    """A guardian of ``child`` who has come in, and agreed unless told otherwise."""
    guardian = guardian or make_member(session, Role.GUARDIAN, academy=child.academy)
    row = saved(
        session,
        Guardianship(
            child_id=child.id,
            guardian_id=guardian.id,
            email=guardian.person.email,
            name=guardian.person.name,
            named_by=child.id,
            accepted_at=datetime.now(UTC),
        ),
    )
    if consents:
        make_consent(session, child, row)
    return row


def actor_of(member: Membership) -> Actor:
    return Actor(member.id, member.academy_id, member.person_id, Role(member.role))


@dataclass(frozen=True)
class SignedIn:
    """What a browser holds after signing in."""

    cookie: str
    csrf_token: str
    session_id: UUID


def make_session(session: Session, member: Membership, **values: object) -> SignedIn:
    cookie, csrf_token = new_secret(), new_secret()
    given = {"expires_at": datetime.now(UTC) + timedelta(days=1)} | values
    row = SignInSession(
        person_id=member.person_id,
        membership_id=member.id,
        token_sha256=digest(cookie),
        csrf_token=csrf_token,
        **given,
    )
    return SignedIn(cookie, csrf_token, saved(session, row).id)


def make_token(session: Session, member: Membership, *scopes: Scope, **values: object) -> str:
    """A program's token; returns its secret."""
    secret = new_secret(API_TOKEN_PREFIX)
    saved(
        session,
        ApiToken(
            membership_id=member.id,
            name="range camera",
            token_sha256=digest(secret),
            scopes=[scope.value for scope in scopes],
            **values,
        ),
    )
    return secret


def make_club(session: Session, person: Person, **values: object) -> Club:
    return saved(
        session, Club(person_id=person.id, **({"name": "7 iron", "length_m": 0.94} | values))
    )


def make_submission(session: Session, student: Membership, **values: object) -> Submission:
    given = {
        "club_name": "7 iron",
        "club_length_m": 0.94,
        "purpose": "full",
        "with_ball": True,
        "handed": "right",
    } | values
    return saved(session, Submission(academy_id=student.academy_id, student_id=student.id, **given))


def make_upload(session: Session, submission: Submission, **values: object) -> Upload:
    given = {
        "view": "face-on",
        "filename": "swing.mp4",
        "length": 1000,
        "expires_at": datetime.now(UTC) + timedelta(hours=24),
    } | values
    return saved(
        session,
        Upload(submission_id=submission.id, owner_id=submission.student_id, **given),
    )


def make_clip(session: Session, submission: Submission, **values: object) -> Clip:
    """A clip whose upload is complete. The file itself is the test's business."""
    view = values.pop("view", "face-on")
    upload = make_upload(session, submission, view=view, state="complete")
    given = {
        "bytes": 1000,
        "sha256": "0" * 64,
        "filename": "swing.mp4",
        "received_at": datetime.now(UTC),
    } | values
    return saved(
        session, Clip(submission_id=submission.id, upload_id=upload.id, view=view, **given)
    )


def make_analysis(session: Session, clip: Clip, **values: object) -> Analysis:
    given = {"pipeline_version": "test-1", "measurement": {}, "frames": 120} | values
    return saved(session, Analysis(clip_id=clip.id, **given))


def make_review(session: Session, submission: Submission, **values: object) -> Review:
    given = {"due_at": datetime.now(UTC) + timedelta(hours=48)} | values
    return saved(
        session,
        Review(academy_id=submission.academy_id, submission_id=submission.id, **given),
    )


def make_given_drill(
    session: Session, student: Membership, drill: str = "stop-and-look"
) -> DrillAssignment:
    """A drill that an answer gave."""
    submission = make_submission(session, student, state="answered")
    review = make_review(session, submission, state="answered")
    now = datetime.now(UTC)
    coach = make_member(session, Role.COACH, academy=student.academy)
    answer = saved(
        session,
        Answer(
            review_id=review.id,
            submission_id=submission.id,
            number=1,
            text="Good.",
            content={"coach_name": "Rosa", "readings": [], "drills": []},
            sent_by=coach.id,
            sent_at=now,
            first_sent_at=now,
        ),
    )
    dose = {"sets": 3, "reps": 5, "days_per_week": 3}
    return saved(
        session,
        DrillAssignment(answer_id=answer.id, student_id=student.id, drill=drill, dose=dose),
    )


def make_bands(
    session: Session, student: Membership, coach: Membership, **values: object
) -> StudentBands:
    """A student's own target of the lead arm to shaft angle, for every club."""
    given = {
        "checkpoint": "lead_arm_shaft_angle",
        "watch_low": 78.0,
        "good_low": 85.0,
        "good_high": 95.0,
        "watch_high": 105.0,
    } | values
    return saved(session, StudentBands(student_id=student.id, made_by=coach.id, **given))


def make_phrase(session: Session, coach: Membership, *, shared: bool) -> Phrase:
    """A coach's phrase, or one they gave the academy."""
    phrase = Phrase(
        academy_id=coach.academy_id,
        owner_id=None if shared else coach.id,
        name="Stop and look",
        body="Stop with the lead arm level.",
        made_by=coach.id,
    )
    return saved(session, phrase)


def make_queue_view(session: Session, coach: Membership, **values: object) -> QueueView:
    """A coach's view of what is late."""
    given = {
        "name": "Late",
        "name_folded": "late",
        "queue": "waiting",
        "filters": {"reason": "late"},
    } | values
    return saved(session, QueueView(membership_id=coach.id, **given))


def unknown_id() -> UUID:
    """A well-formed id of nothing."""
    return new_id()
