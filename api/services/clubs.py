"""A student's bag."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from sqlalchemy.orm import Session

from api.db import clubs as clubs_db
from api.db.models import Club
from api.domain.actors import Actor
from api.domain.errors import Conflict

MAX_CLUBS = 40
"""The Rules of Golf allow 14 in a bag; people own more, but not hundreds."""


def list_clubs(session: Session, actor: Actor) -> Sequence[Club]:
    """The person's clubs, longest first."""
    return clubs_db.clubs_of(session, actor)


def add_club(session: Session, actor: Actor, *, name: str, length_m: float) -> Club:
    """Put a club into the bag. Raises ``Conflict`` when the bag is absurdly full."""
    if len(clubs_db.clubs_of(session, actor)) >= MAX_CLUBS:
        raise Conflict(f"There are already {MAX_CLUBS} clubs here. Remove one first.")
    club = Club(person_id=actor.person_id, name=name, length_m=length_m)
    session.add(club)
    session.flush()
    return club


def remove_club(session: Session, actor: Actor, club_id: UUID, now: datetime) -> None:
    """Take a club out of the bag."""
    clubs_db.retire(session, clubs_db.club_for(session, actor, club_id), now)
