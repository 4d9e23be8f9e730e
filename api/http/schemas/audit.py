"""Bodies of the audit trail."""

from datetime import datetime
from typing import Any
from uuid import UUID

from pydantic import Field

from api.http.schemas.common import Read


class AuditEventRead(Read):
    """One act. ``actor_id`` is a membership, null when the service itself acted."""

    id: UUID
    at: datetime
    actor_id: UUID | None
    act: str = Field(examples=["invitation.sent"])
    subject_type: str = Field(examples=["invitation"])
    subject_id: UUID
    before: dict[str, Any] | None
    after: dict[str, Any] | None
    request_id: str | None
