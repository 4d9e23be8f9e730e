"""Bodies about people, invitations and one's own profile."""

from datetime import datetime
from uuid import UUID

from pydantic import Field, field_validator

from api.db.models import Invitation, Membership, Person
from api.domain.names import INVITED, Hand, Role
from api.http.schemas.common import Address, Language, Name, Read, Secret, Sent

_ID = "019abf5e-7d3e-7c53-8000-000000000000"
_TIME = "2026-11-25T10:40:00Z"


class SignInLinkAsked(Sent):
    """Who wants to come in."""

    email: Address


class LinkConfirmed(Sent):
    """The button on the sign-in page was pressed."""

    token: Secret


class InvitationAccepted(Sent):
    """The button on the invitation page was pressed. ``name`` replaces the academy's spelling."""

    token: Secret
    name: Name | None = None


class InvitationSent(Sent):
    """A place offered to somebody. ``language``: what they read; left out or null, the academy's."""

    email: Address
    name: Name = Field(examples=["Ana Horvat"])
    role: Role
    language: Language | None = None

    @field_validator("role")
    @classmethod
    def _invited(cls, role: Role) -> Role:
        if role not in INVITED:
            raise ValueError("A guardian is named with a child, and gets a mail of their own.")
        return role


class InvitationRead(Read):
    """An open invitation. It may have expired; sending it again renews it."""

    id: UUID = Field(examples=[_ID])
    email: str = Field(examples=["ana@example.org"])
    name: str = Field(examples=["Ana Horvat"])
    role: Role
    language: str | None = Field(examples=["de-AT"])
    created_at: datetime = Field(examples=[_TIME])
    expires_at: datetime = Field(examples=["2026-12-02T10:40:00Z"])

    @classmethod
    def of(cls, row: Invitation) -> "InvitationRead":
        """From its row."""
        return cls.model_validate(row)


class PersonRead(Read):
    """Somebody of the academy. ``email`` is null for coaches, who do not need it."""

    membership_id: UUID = Field(examples=[_ID])
    name: str = Field(examples=["Ana Horvat"])
    email: str | None = Field(examples=["ana@example.org"])
    role: Role
    child: bool = Field(description="A student who is not of age at this academy.")
    joined_at: datetime = Field(examples=[_TIME])
    deactivated_at: datetime | None = Field(examples=[None])

    @classmethod
    def of(cls, member: Membership, *, with_email: bool, child: bool) -> "PersonRead":
        """From a membership, and whether it is a child's."""
        return cls(
            membership_id=member.id,
            name=member.person.name,
            email=member.person.email if with_email else None,
            role=Role(member.role),
            child=child,
            joined_at=member.created_at,
            deactivated_at=member.deactivated_at,
        )


class OwnPerson(Read):
    """The person signed in."""

    id: UUID = Field(examples=[_ID])
    name: str = Field(examples=["Ana Horvat"])
    email: str = Field(examples=["ana@example.org"])


class PlaceRead(Read):
    """One of the person's places: an academy and the role there, with the academy's zone and language."""

    id: UUID = Field(examples=[_ID])
    academy_id: UUID = Field(examples=[_ID])
    academy_name: str = Field(examples=["Heron Links"])
    role: Role
    time_zone: str = Field(examples=["Europe/Zagreb"])
    language: str = Field(examples=["en-GB"])

    @classmethod
    def of(cls, member: Membership) -> "PlaceRead":
        """From a membership."""
        return cls(
            id=member.id,
            academy_id=member.academy_id,
            academy_name=member.academy.name,
            role=Role(member.role),
            time_zone=member.academy.time_zone,
            language=member.academy.language,
        )


class MeRead(Read):
    """Who is signed in, where they act, and what the page needs for changing requests."""

    person: OwnPerson
    memberships: list[PlaceRead]
    active: PlaceRead
    csrf_token: str | None = Field(
        description="For the X-CSRF-Token header; null when a token made the request.",
        examples=["Qm9n0W1kq4l8J6v2d3s5f7h9j1k3l5z7x9c1v3b5n7m"],
    )
    handed: Hand
    stature_m: float | None = Field(examples=[1.78])
    language: str | None = Field(
        description="The tag of what the person reads; null where they take the academy's.",
        examples=["de-AT"],
    )

    @classmethod
    def of(
        cls, person: Person, places: list[PlaceRead], active_id: UUID, csrf_token: str | None
    ) -> "MeRead":
        """Put together from the person and their places, of which one is active."""
        return cls(
            person=OwnPerson.model_validate(person),
            memberships=places,
            active=next(place for place in places if place.id == active_id),
            csrf_token=csrf_token,
            handed=Hand(person.handed),
            stature_m=person.stature_m,
            language=person.language,
        )


class ProfileChanged(Sent):
    """What to change about oneself; fields left out stay. ``stature_m`` null forgets it.

    ``language`` null takes the academy's.
    """

    name: Name | None = Field(default=None, examples=["Ana Horvat"])
    handed: Hand | None = None
    stature_m: float | None = Field(default=None, ge=0.8, le=2.5, examples=[1.78])
    language: Language | None = None


class ActiveChosen(Sent):
    """Which of one's places the browser acts in from now on."""

    membership_id: UUID = Field(examples=[_ID])
