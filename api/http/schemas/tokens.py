"""Bodies about API tokens."""

from datetime import datetime
from typing import Annotated
from uuid import UUID

from pydantic import Field

from api.domain.actors import Scope
from api.http.schemas.common import Name, Read, Sent

_ID = "019abf5e-7d3e-7c53-8000-000000000000"


class TokenWanted(Sent):
    """A token to make. Without ``expires_in_days`` it lasts until it is revoked."""

    name: Name = Field(examples=["range camera"])
    scopes: Annotated[list[Scope], Field(min_length=1, max_length=len(Scope))]
    expires_in_days: int | None = Field(default=None, ge=1, le=3650, examples=[365])


class TokenRead(Read):
    """A token, without its secret."""

    id: UUID = Field(examples=[_ID])
    name: str = Field(examples=["range camera"])
    scopes: list[str] = Field(examples=[["clips:read", "clips:write"]])
    created_at: datetime
    expires_at: datetime | None
    last_used_at: datetime | None


class TokenMade(TokenRead):
    """A new token. ``secret`` is shown this once and kept nowhere."""

    secret: str = Field(examples=["flt_mX3w0eY7o1K5bW0C1oVt2b1d9dXo9Q3g8m6yT0a4c2E"])
