"""A student's golf clubs."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from sqlalchemy import Select, select
from sqlalchemy.orm import Session

from api.db.models import Club
from api.domain.actors import Actor
from api.domain.errors import NotFound


def clubs_visible_to(actor: Actor) -> Select[Club]:
    """Where every read of clubs starts: the person's own that are not retired.

    Submissions keep a copy of the club's name and length, so a coach needs no sight of these.
    """
    return select(Club).where(Club.person_id == actor.person_id, Club.retired_at.is_(None))


def clubs_of(session: Session, actor: Actor) -> Sequence[Club]:
    """The person's clubs, longest first."""
    return session.scalars(clubs_visible_to(actor).order_by(Club.length_m.desc(), Club.id)).all()


def club_for(session: Session, actor: Actor, club_id: UUID) -> Club:
    """One of the person's own clubs, else ``NotFound``."""
    club = session.scalar(clubs_visible_to(actor).where(Club.id == club_id))
    if club is None:
        raise NotFound("There is no such club in your bag.")
    return club


def retire(session: Session, club: Club, now: datetime) -> None:
    """Take a club out of the bag; submissions that used it keep their copy."""
    club.retired_at = now
    session.flush()
