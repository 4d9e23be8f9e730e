"""Bodies about copies of one's data and its erasure."""

from datetime import datetime
from uuid import UUID

from pydantic import Field

from api.db.models import DataExport, Erasure
from api.domain.states import ExportState
from api.http.schemas.common import Read, Secret, Sent

_ID = "019abf5e-7d3e-7c53-8000-000000000000"


class ExportRead(Read):
    """A copy of somebody's data. ``url``: a signed link that ends soon; null unless it is ready."""

    id: UUID = Field(examples=[_ID])
    state: ExportState
    asked_at: datetime
    ready_at: datetime | None
    expires_at: datetime | None
    bytes: int | None
    url: str | None

    @classmethod
    def of(cls, row: DataExport, url: str | None) -> "ExportRead":
        """From its row and a link to the file."""
        return cls(
            id=row.id,
            state=ExportState(row.state),
            asked_at=row.created_at,
            ready_at=row.ready_at,
            expires_at=row.expires_at,
            bytes=row.bytes,
            url=url,
        )


class ErasureRead(Read):
    """An erasure under way. Before ``confirmed_at`` the mailed link is awaited, until ``due_at`` it can be called back."""

    asked_at: datetime
    confirmed_at: datetime | None
    due_at: datetime | None

    @classmethod
    def of(cls, row: Erasure) -> "ErasureRead":
        """From its row."""
        return cls(asked_at=row.created_at, confirmed_at=row.confirmed_at, due_at=row.due_at)


class ErasureStateRead(Read):
    """The erasure under way, or null."""

    under_way: ErasureRead | None


class ErasureConfirmed(Sent):
    """The button on the page of the mailed link was pressed."""

    token: Secret


class ErasureConfirmedRead(Read):
    """What happens now. ``name`` and ``academy``: whose data, and where."""

    due_at: datetime
    name: str
    academy: str
