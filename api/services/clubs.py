"""A student's bag."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from sqlalchemy.orm import Session

from api.db import clubs as clubs_db
from api.db.models import Club
from api.db.people import student_acted_as
from api.domain.actors import Actor
from api.domain.errors import Conflict

MAX_CLUBS = 40
"""The Rules of Golf allow 14 in a bag; people own more, but not hundreds."""


def list_clubs(session: Session, actor: Actor, student_id: UUID | None) -> Sequence[Club]:
    """The student's clubs, longest first: the actor's own, or those of a child they answer for."""
    return clubs_db.clubs_of(session, student_acted_as(session, actor, student_id))


def add_club(
    session: Session, actor: Actor, student_id: UUID | None, *, name: str, length_m: float
) -> Club:
    """Put a club into the student's bag. Raises ``Conflict`` when the bag is absurdly full."""
    student = student_acted_as(session, actor, student_id)
    if len(clubs_db.clubs_of(session, student)) >= MAX_CLUBS:
        raise Conflict(f"There are already {MAX_CLUBS} clubs here. Remove one first.")
    club = Club(person_id=student.person_id, name=name, length_m=length_m)
    session.add(club)
    session.flush()
    return club


def remove_club(session: Session, actor: Actor, club_id: UUID, now: datetime) -> None:
    """Take a club out of the bag."""
    student = student_acted_as(session, actor, None)
    clubs_db.retire(session, clubs_db.club_for(session, student, club_id), now)
