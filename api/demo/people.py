"""Invented people of an invented academy, made once."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from api.db.base import utc_now
from api.db.consents import text_in_force
from api.db.models import Academy, Club, Membership, Person, SignInLink
from api.domain.actors import Actor
from api.domain.consent import Audience, Decision
from api.domain.names import Role
from api.domain.secrets import digest, new_secret
from api.services.consents import decide
from api.services.joining import ProfileParts, change_joining

ACADEMY = "Larkmoor Golf School"
TIME_ZONE = "Europe/Vienna"
LINKS_LAST = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class Invented:
    """Somebody who does not exist. Lengths in metres."""

    key: str
    name: str
    role: Role
    handed: str = "right"
    stature_m: float | None = None
    clubs: tuple[tuple[str, float], ...] = ()
    aims: str = ""
    to_know: str = ""

    @property
    def email(self) -> str:
        """An address in a domain that no mail can reach (RFC 2606)."""
        return f"{self.key}@larkmoor.example"


PEOPLE = (
    Invented(
        "mira",
        "Mira Ostwald",
        Role.STUDENT,
        "right",
        1.66,
        (("7 iron", 0.94),),
        aims="Keep the ball in play off the tee by the summer.",
        to_know="The left knee is stiff after a walk; no deep bending.",
    ),
    Invented("leif", "Leif Tannberg", Role.STUDENT, "left", 1.74, (("7 iron, left", 0.94),)),
    Invented("oriel", "Oriel Maddox", Role.STUDENT, "right", 1.85, (("7 iron", 0.94),)),
    Invented("rosa", "Rosa Quill", Role.COACH),
    Invented("bram", "Bram Ferrant", Role.COACH),
    Invented("ines", "Ines Halloway", Role.ADMIN),
)
SHOWN = ("mira", "rosa", "ines")
"""Whose sign-in links are printed: a student, a coach, the admin."""


def make_people(session: Session) -> None:
    """Make the academy and everybody in it, where they are not there yet."""
    academy = session.scalar(select(Academy).where(Academy.name == ACADEMY))
    if academy is None:
        academy = Academy(name=ACADEMY, time_zone=TIME_ZONE)
        session.add(academy)
        session.flush()
    for invented in PEOPLE:
        if _person(session, invented) is None:
            _make(session, academy, invented)


def _person(session: Session, invented: Invented) -> Person | None:
    return session.scalar(select(Person).where(Person.email == invented.email))


def _make(session: Session, academy: Academy, invented: Invented) -> None:
    person = Person(
        email=invented.email,
        name=invented.name,
        handed=invented.handed,
        stature_m=invented.stature_m,
    )
    session.add(person)
    session.flush()
    member = Membership(academy_id=academy.id, person_id=person.id, role=invented.role.value)
    session.add(member)
    for name, length_m in invented.clubs:
        session.add(Club(person_id=person.id, name=name, length_m=length_m))
    session.flush()
    if invented.role is Role.STUDENT:
        _join(session, invented, Actor(member.id, academy.id, person.id, Role.STUDENT))


def _join(session: Session, invented: Invented, actor: Actor) -> None:
    """Everybody invented is of age, has told what they told, and has agreed."""
    now = utc_now()
    told = ProfileParts(
        adult=True, aims=invented.aims, to_know=invented.to_know, time_zone=TIME_ZONE
    )
    change_joining(session, actor, told, now)
    text = text_in_force(session, actor.academy_id, Audience.ADULT, "en", now)
    decide(
        session,
        actor,
        actor.membership_id,
        text_id=text.id,
        decision=Decision.GIVEN,
        source="127.0.0.1",
        base_url="",
        now=now,
    )


def actor(session: Session, key: str) -> Actor:
    """Somebody of the academy, as if signed in."""
    invented = next(one for one in PEOPLE if one.key == key)
    member = session.scalars(
        select(Membership)
        .join(Membership.person)
        .join(Membership.academy)
        .where(Person.email == invented.email, Academy.name == ACADEMY)
    ).one()
    return Actor(member.id, member.academy_id, member.person_id, Role(member.role))


def new_sign_in_link(session: Session, key: str, base_url: str, now: datetime) -> str:
    """A fresh one-time link for somebody; it outlasts the demo."""
    token = new_secret()
    session.add(
        SignInLink(
            person_id=actor(session, key).person_id,
            token_sha256=digest(token),
            expires_at=now + LINKS_LAST,
        )
    )
    return f"{base_url.rstrip('/')}/sign-in#token={token}"


def club_of(session: Session, person: Actor) -> Club:
    """The club somebody films with."""
    return session.scalars(
        select(Club).where(Club.person_id == person.person_id).order_by(Club.id).limit(1)
    ).one()
