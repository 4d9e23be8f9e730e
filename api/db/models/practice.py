"""What students ticked off between two answers."""

from datetime import date
from uuid import UUID

from sqlalchemy import CheckConstraint, ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from api.db.base import Base, HasCreatedAt, HasId


class PracticeDay(Base, HasId, HasCreatedAt):
    """One drill on one day of the student's own calendar. Told again, the row changes; it is nobody's evidence."""

    __tablename__ = "practice_days"
    __table_args__ = (
        UniqueConstraint("assignment_id", "day"),
        CheckConstraint("sets_done >= 0", name="sets_done"),
    )

    assignment_id: Mapped[UUID] = mapped_column(ForeignKey("drill_assignments.id"))
    student_id: Mapped[UUID] = mapped_column(ForeignKey("memberships.id"), index=True)
    day: Mapped[date]
    sets_done: Mapped[int]
    hurt: Mapped[bool] = mapped_column(default=False)
    note: Mapped[str] = mapped_column(default="")
