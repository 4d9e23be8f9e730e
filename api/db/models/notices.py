"""Which notices somebody wants, and when not."""

from uuid import UUID

from sqlalchemy import CheckConstraint, ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from api.db.base import Base, HasCreatedAt, HasId


class NoticeChoices(Base, HasId, HasCreatedAt):
    """What somebody chose at one academy; who chose nothing has no row, and gets everything at any hour.

    ``mail_off`` and ``push_off``: kinds of notice (``api.domain.notices``) that are not to come by mail, and not to be
    shown by the browsers that show notices. ``quiet_from`` and
    ``quiet_to``: "22:00", by the clock where they are. ``time_zone``: of who has no profile as a student.
    """

    __tablename__ = "notice_choices"
    __table_args__ = (
        CheckConstraint(
            "(quiet_from IS NULL) = (quiet_to IS NULL) AND "
            "(quiet_from IS NULL OR quiet_from <> quiet_to)",
            name="quiet_hours",
        ),
    )

    membership_id: Mapped[UUID] = mapped_column(ForeignKey("memberships.id"), unique=True)
    mail_off: Mapped[list[str]] = mapped_column(default=list)
    push_off: Mapped[list[str]] = mapped_column(default=list, server_default="[]")
    quiet_from: Mapped[str | None]
    quiet_to: Mapped[str | None]
    time_zone: Mapped[str | None]
