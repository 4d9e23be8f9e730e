"""Bodies of the demo's outbox."""

from datetime import datetime
from uuid import UUID

from pydantic import Field

from api.db.models import Mail
from api.http.schemas.common import Read


class MailRead(Read):
    """A mail as it was written, shown only in the demo."""

    id: UUID
    to: str = Field(examples=["ana@example.org"])
    subject: str
    body: str
    created_at: datetime
    sent_at: datetime | None

    @classmethod
    def of(cls, mail: Mail) -> "MailRead":
        """From its row."""
        return cls(
            id=mail.id,
            to=mail.to_address,
            subject=mail.subject,
            body=mail.body,
            created_at=mail.created_at,
            sent_at=mail.sent_at,
        )
