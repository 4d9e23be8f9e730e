"""Submissions: asking for an answer, reading where it is, taking it back."""

from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from sqlalchemy.orm import Session

from api.db import clubs as clubs_db
from api.db.audit import record
from api.db.base import utc_now
from api.db.models import Submission
from api.db.people import student_acted_as
from api.db.reviews import close_waiting
from api.db.second_reads import close_reads
from api.db.submissions import (
    end_unfinished_uploads,
    lock_submission,
    move_submission,
    page_of_submissions,
    submission_for,
)
from api.domain.actors import Actor
from api.domain.errors import Conflict
from api.domain.ids import new_id
from api.domain.names import Hand, Purpose
from api.domain.states import ReviewKind, SubmissionState
from api.services.consents import check_may_send

MOVING_STATES = frozenset({SubmissionState.RECEIVING, SubmissionState.ANALYSING})
"""States that end by themselves, so that waiting for the next one is worth it."""

_TAKEN = "A coach has taken this already, so it can no longer be withdrawn."


@dataclass(frozen=True, slots=True)
class NewSubmission:
    """What is said about the swing before sending it. ``student_id``: whose it is, where a guardian sends."""

    club_id: UUID | None
    purpose: Purpose
    with_ball: bool
    handed: Hand
    note: str
    student_id: UUID | None = None


def create_submission(session: Session, actor: Actor, new: NewSubmission) -> Submission:
    """Start a submission of the actor's own, or of a child they answer for. It is the student's, whoever sends it.

    Raises ``NotFound`` for who is not theirs or a club that is not the student's, and ``Conflict`` with a code of
    ``api.domain.consent`` while nobody has agreed to clips being taken.
    """
    student = student_acted_as(session, actor, new.student_id)
    check_may_send(session, actor, student.id, utc_now())
    person = student.person
    club = None if new.club_id is None else clubs_db.club_for(session, student, new.club_id)
    submission = Submission(
        id=new_id(),
        academy_id=actor.academy_id,
        student_id=student.id,
        club_name=None if club is None else club.name,
        club_length_m=None if club is None else club.length_m,
        purpose=new.purpose.value,
        with_ball=new.with_ball,
        handed=new.handed.value,
        stature_m=person.stature_m,
        note=new.note.strip(),
    )
    session.add(submission)
    session.flush()
    _record(session, actor, submission, "submission.started", before=None)
    session.refresh(submission)
    return submission


def list_submissions(
    session: Session, actor: Actor, *, before: UUID | None, limit: int
) -> Sequence[Submission]:
    """What the actor may see, newest first, older than ``before``."""
    return page_of_submissions(session, actor, before=before, limit=limit)


def read_submission(session: Session, actor: Actor, submission_id: UUID) -> Submission:
    """One submission, else ``NotFound``."""
    return submission_for(session, actor, submission_id)


def withdraw_submission(session: Session, actor: Actor, submission_id: UUID) -> Submission:
    """Take a submission back before a coach took it; again is harmless.

    Unfinished uploads are cancelled; the sweeper deletes their bytes. Raises ``Conflict`` with
    code ``already_claimed`` once a coach has it.
    """
    seen = submission_for(session, actor, submission_id)
    student_acted_as(session, actor, seen.student_id)
    # Review before submission, as a claim does: two orders would be a deadlock.
    close_waiting(session, submission_id)
    submission = lock_submission(session, submission_id)
    close_waiting(session, submission_id)  # one that opened while we waited for the lock
    old = SubmissionState(submission.state)
    if old in {SubmissionState.WITH_COACH, SubmissionState.ANSWERED}:
        raise Conflict(_TAKEN, code="already_claimed")
    if old is not SubmissionState.WITHDRAWN:
        close_reads(session, submission_id, ReviewKind.SECOND, ReviewKind.BLIND)
        move_submission(submission, SubmissionState.WITHDRAWN)
        _record(session, actor, submission, "submission.withdrawn", before=old)
    end_unfinished_uploads(session, submission_id)
    session.flush()
    session.refresh(submission)
    return submission


def _record(
    session: Session,
    actor: Actor,
    submission: Submission,
    act: str,
    *,
    before: SubmissionState | None,
) -> None:
    record(
        session,
        act,
        "submission",
        submission.id,
        actor=actor,
        before=None if before is None else {"state": before.value},
        after={"state": submission.state},
    )
