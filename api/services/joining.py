"""What a student tells on joining, and changes later. Every step can be left out and come back to."""

from collections.abc import Sequence
from dataclasses import dataclass, fields
from datetime import date, datetime
from enum import StrEnum
from uuid import UUID
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from sqlalchemy.orm import Session

from api.db import clubs as clubs_db
from api.db.audit import record
from api.db.consents import Standing, standing_of
from api.db.models import Academy, Guardianship, Person, StudentProfile
from api.db.notices import look_again
from api.db.people import member_for, place_of
from api.db.profiles import age_at, profile_of, profile_to_change
from api.db.stopping import CONSENT, let_go_on, stop_student
from api.domain.actors import Actor
from api.domain.ages import Age, may_be_born_on, today_in
from api.domain.consent import Consent
from api.domain.errors import Conflict, Invalid, NotFound
from api.domain.names import Hand, Role


class Step(StrEnum):
    """The steps of joining, in order. Only age and consent keep a clip from being sent."""

    AGE = "age"
    GUARDIAN = "guardian"
    CONSENT = "consent"
    SWING = "swing"
    """Side and stature."""

    CLUBS = "clubs"
    ABOUT = "about"
    """Aims, and what a coach should know."""

    TIME_ZONE = "time_zone"


@dataclass(frozen=True, slots=True)
class ProfileParts:
    """Parts to change; ``None`` leaves one as it is. An empty text or band forgets it.

    ``stature_m`` of 0 forgets the stature. ``adult``: "I am of age".
    """

    handed: Hand | None = None
    stature_m: float | None = None
    stature_band: str | None = None
    born_on: date | None = None
    adult: bool | None = None
    aims: str | None = None
    to_know: str | None = None
    time_zone: str | None = None
    seen: Sequence[Step] | None = None

    @property
    def given(self) -> list[str]:
        """Names of the parts that are changed."""
        return [one.name for one in fields(self) if getattr(self, one.name) is not None]


@dataclass(frozen=True, slots=True)
class Joining:
    """A student's joining as it stands. ``left``: the steps that nothing was said to yet."""

    person: Person
    academy: Academy
    profile: StudentProfile | None
    standing: Standing
    left: list[Step]
    clubs: int

    @property
    def guardianship(self) -> Guardianship | None:
        """Who answers for a child, or was asked to."""
        return self.standing.guardianship


def read_joining(session: Session, actor: Actor, now: datetime) -> Joining:
    """Where the caller's joining stands."""
    member = place_of(session, actor, actor.membership_id)
    profile = profile_of(session, member.id)
    standing = standing_of(session, member.id, now)
    clubs = len(clubs_db.clubs_of(session, member))
    left = _left(profile, standing, member.person, clubs)
    return Joining(member.person, member.academy, profile, standing, left, clubs)


def _left(
    profile: StudentProfile | None, standing: Standing, person: Person, clubs: int
) -> list[Step]:
    seen = set() if profile is None else set(profile.seen_steps)
    told = profile is not None and bool(profile.aims or profile.to_know)
    zone = profile is not None and profile.time_zone is not None
    stature = person.stature_m is not None or (
        profile is not None and profile.stature_band is not None
    )
    child = standing.age is Age.CHILD
    done = {
        Step.AGE: standing.age is not Age.UNKNOWN,
        Step.GUARDIAN: not child or standing.guardianship is not None,
        # A child has nothing to do here: the guardian decides.
        Step.CONSENT: child or standing.consent not in {Consent.NOT_ASKED, Consent.AGE_UNKNOWN},
        Step.SWING: stature or Step.SWING in seen,
        Step.CLUBS: clubs > 0 or Step.CLUBS in seen,
        Step.ABOUT: told or Step.ABOUT in seen,
        Step.TIME_ZONE: zone or Step.TIME_ZONE in seen,
    }
    return [step for step in Step if not done[step]]


def change_joining(session: Session, actor: Actor, parts: ProfileParts, now: datetime) -> Joining:
    """Change what ``parts`` gives.

    Raises ``Invalid`` (``unknown_time_zone``, ``not_born_then``) and ``Conflict``: ``age_fixed`` when a child
    would say otherwise, ``guardian_consent_missing`` when a child tells about themself before the guardian agreed.
    """
    profile = profile_to_change(session, actor.membership_id)
    member = place_of(session, actor, actor.membership_id)
    _change_age(session, actor, profile, member.academy, parts, now)
    _check_words_of_child(session, actor, parts, now)
    if parts.handed is not None:
        member.person.handed = parts.handed.value
    if parts.stature_m is not None:
        member.person.stature_m = parts.stature_m or None
        profile.stature_band = None if parts.stature_m else profile.stature_band
    if parts.stature_band is not None:
        profile.stature_band = parts.stature_band or None
        member.person.stature_m = None if parts.stature_band else member.person.stature_m
    if parts.aims is not None:
        profile.aims = parts.aims.strip()
    if parts.to_know is not None:
        profile.to_know = parts.to_know.strip()
    if parts.time_zone is not None:
        profile.time_zone = _known_zone(parts.time_zone)
    if parts.seen is not None:
        profile.seen_steps = sorted({*profile.seen_steps, *(step.value for step in parts.seen)})
    session.flush()
    if parts.time_zone is not None:
        look_again(session, actor.membership_id)
    record(
        session,
        "student.profile_changed",
        "membership",
        actor.membership_id,
        actor=actor,
        after={"changed": parts.given},
    )
    return read_joining(session, actor, now)


def _change_age(
    session: Session,
    actor: Actor,
    profile: StudentProfile,
    academy: Academy,
    parts: ProfileParts,
    now: datetime,
) -> None:
    if parts.born_on is None and not parts.adult:
        return
    before = age_at(session, actor.membership_id, profile, now)
    if before is Age.CHILD:
        if parts.born_on is not None and parts.born_on == profile.born_on:
            return
        raise Conflict(
            "You are a child here, and that is not changed by yourself. If it is wrong, ask the office.",
            code="age_fixed",
        )
    if parts.born_on is not None:
        if not may_be_born_on(parts.born_on, today_in(academy.time_zone, now)):
            raise Invalid(
                "Nobody who plays here was born then. Look at the year again.", code="not_born_then"
            )
        profile.born_on = parts.born_on
    else:
        profile.said_adult_at = profile.said_adult_at or now
    profile.child = age_at(session, actor.membership_id, profile, now) is Age.CHILD
    session.flush()
    if profile.child:
        # Whatever was agreed to or sent before, this is a child: nothing goes on before a guardian agreed.
        stop_student(session, actor.membership_id, CONSENT, now)
    else:
        profile.born_on = None  # of age is all that is needed: the date itself is not kept
        profile.said_adult_at = profile.said_adult_at or now
        session.flush()
        _go_on_where_agreed(session, profile, now)


def _go_on_where_agreed(session: Session, profile: StudentProfile, now: datetime) -> None:
    """Who was taken for a child and is none goes on with what they had agreed to for themself."""
    if profile.stopped_because != CONSENT:
        return
    if standing_of(session, profile.membership_id, now).consent is Consent.VALID:
        let_go_on(session, profile.membership_id)


def _check_words_of_child(
    session: Session, actor: Actor, parts: ProfileParts, now: datetime
) -> None:
    """A child's own words, which may speak of health, are kept only once the guardian agreed."""
    if not (parts.aims or parts.to_know):
        return
    standing = standing_of(session, actor.membership_id, now)
    if standing.age is Age.CHILD and standing.consent is not Consent.VALID:
        raise Conflict(
            "What you tell about yourself is kept once your guardian has agreed. Everything else can be "
            "filled in meanwhile.",
            code="guardian_consent_missing",
        )


def _known_zone(name: str) -> str | None:
    if not name:
        return None
    try:
        return ZoneInfo(name).key
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise Invalid(
            f"There is no time zone {name!r}. Examples: Europe/Zagreb, America/New_York.",
            code="unknown_time_zone",
        ) from None


@dataclass(frozen=True, slots=True)
class StudentSeen:
    """A student as coaches and office see them. ``to_know`` is for coaches: it may speak of health."""

    profile: StudentProfile | None
    standing: Standing
    person: Person
    academy: Academy


def student_seen(session: Session, actor: Actor, student_id: UUID, now: datetime) -> StudentSeen:
    """A student of the academy, as a coach or the office may see them, else ``NotFound``.

    A coach sees nothing of who is stopped: consent was withdrawn.
    """
    member = member_for(session, actor, student_id)
    profile = profile_of(session, member.id)
    stopped = profile is not None and profile.stopped_at is not None
    if member.role != Role.STUDENT or (stopped and actor.role is not Role.ADMIN):
        raise NotFound("There is no such student in your academy.")
    return StudentSeen(profile, standing_of(session, member.id, now), member.person, member.academy)
