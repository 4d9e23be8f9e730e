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
    held_until: datetime | None = Field(description="The end of quiet hours that it waits for.")
    left_out: str = Field(description="Why it was not sent; empty where it was or will be.")

    @classmethod
    def of(cls, mail: Mail, foot: str) -> "MailRead":
        """From its row, with what stands under it."""
        return cls(
            id=mail.id,
            to=mail.to_address,
            subject=mail.subject,
            body=f"{mail.body.rstrip()}\n\n{foot}\n" if foot else mail.body,
            created_at=mail.created_at,
            sent_at=mail.sent_at,
            held_until=mail.held_until,
            left_out=mail.left_out,
        )
