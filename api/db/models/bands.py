"""Target bands that coaches set for single students."""

from datetime import datetime
from uuid import UUID

from sqlalchemy import CheckConstraint, ForeignKey, Index, text
from sqlalchemy.orm import Mapped, mapped_column, relationship

from api.db.base import Base, HasCreatedAt, HasId
from api.db.models.people import Membership

_CURRENT = text("retired_at IS NULL")


class StudentBands(Base, HasId, HasCreatedAt):
    """A student's own bands of one checkpoint, in its unit. Setting them anew retires the row.

    ``club_name``: the only club they are for, by the name that submissions copy; empty for every club.
    Empty rather than null, since an index holds any number of nulls apart.
    """

    __tablename__ = "student_bands"
    __table_args__ = (
        CheckConstraint(
            "watch_low <= good_low AND good_low < good_high AND good_high <= watch_high",
            name="limits_rise",
        ),
        Index(
            "uq_student_bands_current",
            "student_id",
            "checkpoint",
            "club_name",
            unique=True,
            sqlite_where=_CURRENT,
            postgresql_where=_CURRENT,
        ),
    )

    student_id: Mapped[UUID] = mapped_column(ForeignKey("memberships.id"), index=True)
    checkpoint: Mapped[str]
    club_name: Mapped[str] = mapped_column(default="")
    watch_low: Mapped[float]
    good_low: Mapped[float]
    good_high: Mapped[float]
    watch_high: Mapped[float]
    reason: Mapped[str] = mapped_column(default="")
    made_by: Mapped[UUID] = mapped_column(ForeignKey("memberships.id"))
    retired_at: Mapped[datetime | None]

    coach: Mapped[Membership] = relationship(foreign_keys=[made_by], lazy="joined")
