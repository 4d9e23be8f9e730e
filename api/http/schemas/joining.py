"""Bodies about joining, guardians and consent."""

from datetime import date, datetime
from typing import Annotated, Literal
from uuid import UUID

from pydantic import Field

from api.db.models import ConsentRecord, ConsentText, Guardianship, Membership
from api.domain.ages import Age
from api.domain.consent import Audience, Consent, Decision
from api.domain.names import Hand
from api.http.schemas.common import Address, Name, OneLine, Read, Secret, Sent, Text
from api.services.consents import Told
from api.services.joining import Joining, Step, StudentSeen

_ID = "019abf5e-7d3e-7c53-8000-000000000000"
_DAY = "2014-05-04"
StatureBand = Literal["under_150", "150_165", "165_180", "over_180"]
Words = Annotated[Text, Field(max_length=2000)]
Locale = Annotated[str, Field(pattern=r"^[a-z]{2,3}(-[A-Za-z0-9]{2,8})*$", max_length=35)]
"""A BCP 47 tag, the language in small letters."""


class ProfileSent(Sent):
    """What to change; fields left out stay. An empty text or band forgets it, a ``stature_m`` of 0 too.

    ``adult``: "I am of age". A date of birth is kept of a child alone.
    """

    handed: Hand | None = None
    stature_m: Annotated[float, Field(ge=0.8, le=2.5)] | Literal[0] | None = Field(
        default=None, examples=[1.52]
    )
    stature_band: StatureBand | Literal[""] | None = None
    born_on: date | None = Field(default=None, examples=[_DAY])
    adult: Literal[True] | None = None
    aims: Words | None = None
    to_know: Words | None = None
    time_zone: OneLine | None = Field(default=None, max_length=64, examples=["Europe/Vienna"])
    seen: list[Step] | None = Field(default=None, max_length=len(Step))


class GuardianNamed(Sent):
    """Who answers for a child."""

    name: Name = Field(examples=["Jo Horvat"])
    email: Address


class GuardianRead(Read):
    """Who answers for a child, or was asked to."""

    name: str = Field(examples=["Jo Horvat"])
    email: str = Field(examples=["jo@example.org"])
    asked_at: datetime
    link_expires_at: datetime | None
    came_in_at: datetime | None = Field(description="When the mailed link was used; null before.")

    @classmethod
    def of(cls, row: Guardianship) -> "GuardianRead":
        """From its row."""
        return cls(
            name=row.name,
            email=row.email,
            asked_at=row.created_at,
            link_expires_at=row.expires_at,
            came_in_at=row.accepted_at,
        )


class SafeguardingRead(Read):
    """Whom a child or guardian can turn to at the academy. Empty where the office named nobody."""

    name: str = Field(examples=["Dana Moss"])
    contact: str = Field(examples=["safety@hill.example, +43 1 000 0000"])


class ConsentTextRead(Read):
    """What is agreed to, word for word, with the SHA-256 of its UTF-8."""

    id: UUID = Field(examples=[_ID])
    audience: Audience
    version: int
    locale: str = Field(examples=["en"])
    body: str
    sha256: str
    asks_again: bool
    valid_from: datetime

    @classmethod
    def of(cls, row: ConsentText) -> "ConsentTextRead":
        """From its row."""
        return cls.model_validate(row)


class JoiningRead(Read):
    """A student's joining: what was told, what is left, and where consent stands.

    ``left``: steps that nothing was said to yet; only age, guardian and consent keep clips from being taken.
    """

    age: Age
    age_limit: int
    born_on: date | None = Field(description="Kept of a child alone.", examples=[_DAY])
    handed: Hand
    stature_m: float | None
    stature_band: StatureBand | None
    aims: str
    to_know: str
    time_zone: str | None
    academy_time_zone: str
    clubs: int
    left: list[Step]
    guardian: GuardianRead | None
    consent: Consent
    ask_again: bool
    being_erased: bool
    safeguarding: SafeguardingRead | None = Field(description="Of a child; null for adults.")

    @classmethod
    def of(cls, now: Joining) -> "JoiningRead":
        """From where it stands."""
        profile, standing = now.profile, now.standing
        row = now.guardianship
        return cls(
            age=standing.age,
            age_limit=now.academy.age_limit,
            born_on=None if profile is None else profile.born_on,
            handed=Hand(now.person.handed),
            stature_m=now.person.stature_m,
            stature_band=None if profile is None else profile.stature_band,
            aims="" if profile is None else profile.aims,
            to_know="" if profile is None else profile.to_know,
            time_zone=None if profile is None else profile.time_zone,
            academy_time_zone=now.academy.time_zone,
            clubs=now.clubs,
            left=now.left,
            guardian=None if row is None else GuardianRead.of(row),
            consent=standing.consent,
            ask_again=standing.ask_again,
            being_erased=standing.being_erased,
            safeguarding=_contact(now.academy.safeguarding_name, now.academy.safeguarding_contact)
            if standing.age is Age.CHILD
            else None,
        )


def _contact(name: str, contact: str) -> SafeguardingRead:
    return SafeguardingRead(name=name, contact=contact)


class StudentProfileRead(Read):
    """A student as coaches and office see them. ``to_know`` is null for the office: it may speak of health."""

    membership_id: UUID = Field(examples=[_ID])
    name: str
    child: bool
    age: Age
    years: int | None = Field(description="Of a child whose date of birth is known.")
    stature_m: float | None
    stature_band: StatureBand | None
    aims: str
    to_know: str | None
    time_zone: str
    guardian: str | None = Field(description="The name of a child's guardian who has come in.")
    consent: Consent
    stopped: bool

    @classmethod
    def of(
        cls, membership_id: UUID, seen: StudentSeen, *, years: int | None, with_words: bool
    ) -> "StudentProfileRead":
        """From what is known."""
        profile, row = seen.profile, seen.standing.guardianship
        return cls(
            membership_id=membership_id,
            name=seen.person.name,
            child=seen.standing.age is Age.CHILD,
            age=seen.standing.age,
            years=years,
            stature_m=seen.person.stature_m,
            stature_band=None if profile is None else profile.stature_band,
            aims="" if profile is None else profile.aims,
            to_know=("" if profile is None else profile.to_know) if with_words else None,
            time_zone=(profile and profile.time_zone) or seen.academy.time_zone,
            guardian=row.name if row is not None and row.guardian_id is not None else None,
            consent=seen.standing.consent,
            stopped=profile is not None and profile.stopped_at is not None,
        )


class ConsentDecided(Sent):
    """What is said to the text that was shown."""

    text_id: UUID = Field(examples=[_ID])
    decision: Decision


class ConsentRecordRead(Read):
    """Who said what to which text, and when."""

    id: UUID = Field(examples=[_ID])
    decision: Decision
    decided_at: datetime
    withdrawn_at: datetime | None
    by_guardian: bool
    text: ConsentTextRead

    @classmethod
    def of(cls, row: ConsentRecord) -> "ConsentRecordRead":
        """From its row."""
        return cls(
            id=row.id,
            decision=Decision(row.decision),
            decided_at=row.decided_at,
            withdrawn_at=row.withdrawn_at,
            by_guardian=row.guardianship_id is not None,
            text=ConsentTextRead.of(row.text),
        )


class ConsentRead(Read):
    """Where consent for a student stands, the text in force, and everything that was said, newest first.

    ``mine_to_give``: whether the reader decides: an adult for themself, a guardian for a child.
    """

    consent: Consent
    age: Age
    ask_again: bool
    mine_to_give: bool
    being_erased: bool
    text: ConsentTextRead
    records: list[ConsentRecordRead]

    @classmethod
    def of(cls, told: Told, records: list[ConsentRecord]) -> "ConsentRead":
        """From where it stands."""
        return cls(
            consent=told.standing.consent,
            age=told.standing.age,
            ask_again=told.standing.ask_again,
            mine_to_give=told.is_mine_to_give,
            being_erased=told.standing.being_erased,
            text=ConsentTextRead.of(told.text),
            records=[ConsentRecordRead.of(row) for row in records],
        )


class ChildRead(Read):
    """A child as their guardian sees them."""

    membership_id: UUID = Field(examples=[_ID])
    name: str
    consent: Consent
    ask_again: bool
    being_erased: bool
    safeguarding: SafeguardingRead
    handed: Hand = Field(description="The side played from, as the child told.")
    stature_m: float | None

    @classmethod
    def of(cls, child: Membership, told: Told) -> "ChildRead":
        """From a membership and where consent stands."""
        academy = child.academy
        return cls(
            membership_id=child.id,
            name=child.person.name,
            consent=told.standing.consent,
            ask_again=told.standing.ask_again,
            being_erased=told.standing.being_erased,
            safeguarding=_contact(academy.safeguarding_name, academy.safeguarding_contact),
            handed=Hand(child.person.handed),
            stature_m=child.person.stature_m,
        )


class GuardianLinkUsed(Sent):
    """The button on the page of a guardian's mailed link was pressed."""

    token: Secret


class ChildSaid(Sent):
    """Whether the office says that this student is a child."""

    child: bool


class ConsentTextSent(Sent):
    """The next version of a text, by language. ``valid_from`` null: from now."""

    audience: Audience
    bodies: dict[Locale, Annotated[Text, Field(min_length=100)]] = Field(
        min_length=1, max_length=20, examples=[{"en": "What we ask you to agree to. " * 5}]
    )
    asks_again: bool
    valid_from: datetime | None = None
