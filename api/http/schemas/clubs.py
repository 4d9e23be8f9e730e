"""Bodies about golf clubs."""

from uuid import UUID

from pydantic import Field

from api.http.schemas.common import Name, Read, Sent


class ClubAdded(Sent):
    """A club for the bag. Length: Equipment Rules (R&A and USGA), 18 to 48 in."""

    name: Name = Field(examples=["7 iron"])
    length_m: float = Field(ge=0.457, le=1.22, examples=[0.94])
    student_id: UUID | None = Field(
        default=None, description="Whose bag: a guardian says for which child.", examples=[None]
    )


class ClubRead(Read):
    """A club in the bag; ``length_m`` in metres."""

    id: UUID = Field(examples=["019abf5e-7d3e-7c53-8000-000000000000"])
    name: str = Field(examples=["7 iron"])
    length_m: float = Field(examples=[0.94])
