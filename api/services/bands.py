"""Target bands of a student's own: what a coach sets for them, for one club or for every one."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from sqlalchemy.orm import Session

from api.db import bands as bands_db
from api.db.audit import record
from api.db.bands import EVERY_CLUB
from api.db.models import Membership, StudentBands
from api.db.people import NOT_THERE, member_for
from api.db.reviews import count_change_of_student
from api.domain.actors import Actor
from api.domain.bands import own_bands
from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS
from api.domain.errors import Invalid, NotFound
from api.domain.names import Role


@dataclass(frozen=True, slots=True)
class NewBands:
    """What a coach sets. ``limits``: watch low, good low, good high, watch high, in the checkpoint's unit.

    ``club``: the only club they are for, ``None`` for every club.
    """

    checkpoint: CheckpointId
    club: str | None
    limits: tuple[float, float, float, float]
    reason: str


def list_bands(session: Session, actor: Actor, student_id: UUID) -> Sequence[StudentBands]:
    """A student's own bands. Raises ``NotFound`` for who is no student of the academy."""
    student = _student(session, actor, student_id)
    return bands_db.bands_of(session, actor, student.id)


def set_bands(
    session: Session, actor: Actor, student_id: UUID, new: NewBands, now: datetime
) -> StudentBands:
    """Put the student's own bands in the place of whichever held for this number and club.

    Open reviews of the student's count it as a change: a page that was opened before cannot send past it.
    Raises ``NotFound`` for who is no student of the academy, ``Invalid`` for limits that cannot be and for a
    club that no clip was sent of.
    """
    student = _student(session, actor, student_id)
    definition = CHECKPOINTS[new.checkpoint]
    bands = own_bands(new.limits, definition.unit, least=definition.least, most=definition.most)
    club_name = _club_name(session, student, new.club)
    bands_db.lock_student(session, student.id)
    replaced = bands_db.retire_bands(session, student.id, new.checkpoint.value, club_name, now)
    row = StudentBands(
        student_id=student.id,
        checkpoint=new.checkpoint.value,
        club_name=club_name,
        watch_low=bands.watch_low,
        good_low=bands.good_low,
        good_high=bands.good_high,
        watch_high=bands.watch_high,
        reason=new.reason.strip(),
        made_by=actor.membership_id,
    )
    session.add(row)
    session.flush()
    count_change_of_student(session, student.id, club_name)
    record(
        session,
        "bands.set",
        "student_bands",
        row.id,
        actor=actor,
        before=None if replaced is None else {"id": str(replaced)},
        after={
            "student_id": str(student.id),
            "checkpoint": row.checkpoint,
            "limits": list(new.limits),
        },
    )
    return row


def remove_bands(
    session: Session, actor: Actor, student_id: UUID, bands_id: UUID, now: datetime
) -> None:
    """Go back to the usual bands. Answers that were sent keep what they said."""
    student = _student(session, actor, student_id)
    row = bands_db.bands_for(session, actor, student.id, bands_id)
    bands_db.lock_student(session, student.id)
    if bands_db.retire_bands(session, student.id, row.checkpoint, row.club_name, now) is None:
        return  # somebody else was a moment faster with the same wish
    count_change_of_student(session, student.id, row.club_name)
    record(
        session,
        "bands.removed",
        "student_bands",
        row.id,
        actor=actor,
        after={"student_id": str(student.id), "checkpoint": row.checkpoint},
    )


def _student(session: Session, actor: Actor, student_id: UUID) -> Membership:
    member = member_for(session, actor, student_id)
    if member.role != Role.STUDENT:
        raise NotFound(NOT_THERE)
    return member


def _club_name(session: Session, student: Membership, club: str | None) -> str:
    """The club by the name that submissions carry: a misspelt one would never be in force."""
    if club is None:
        return EVERY_CLUB
    filmed = bands_db.clubs_filmed(session, student.id)
    if club not in filmed:
        known = f" So far: {', '.join(filmed)}." if filmed else ""
        raise Invalid(
            f"No clip with a club called '{club}' has come from this student.{known} Leave the club "
            "out to set a target for every club.",
            code="unknown_club",
        )
    return club
