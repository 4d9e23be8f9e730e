"""A student's golf clubs."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from sqlalchemy import Select, select
from sqlalchemy.orm import Session

from api.db.models import Club, Membership
from api.domain.errors import NotFound


def clubs_in_the_bag_of(student: Membership) -> Select[Club]:
    """Where every read of clubs starts: a student's own that are not retired.

    Whom one may act as says ``api.db.people.student_acted_as``. Submissions keep a copy of the club's name and
    length, so a coach needs no sight of these.
    """
    return select(Club).where(Club.person_id == student.person_id, Club.retired_at.is_(None))


def clubs_of(session: Session, student: Membership) -> Sequence[Club]:
    """A student's clubs, longest first."""
    ordered = clubs_in_the_bag_of(student).order_by(Club.length_m.desc(), Club.id)
    return session.scalars(ordered).all()


def club_for(session: Session, student: Membership, club_id: UUID) -> Club:
    """One of a student's clubs, else ``NotFound``."""
    club = session.scalar(clubs_in_the_bag_of(student).where(Club.id == club_id))
    if club is None:
        raise NotFound("There is no such club in this bag.")
    return club


def retire(session: Session, club: Club, now: datetime) -> None:
    """Take a club out of the bag; submissions that used it keep their copy."""
    club.retired_at = now
    session.flush()
