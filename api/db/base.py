"""Declarative base: constraint names, UTC times, portable JSON and ids."""

from datetime import UTC, datetime
from typing import Any
from uuid import UUID

from sqlalchemy import JSON, DateTime, Dialect, MetaData, TypeDecorator, Uuid
from sqlalchemy.dialects.postgresql import JSONB
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column

from api.domain.ids import new_id

PortableJson = JSON().with_variant(JSONB(), "postgresql")


class UtcDateTime(TypeDecorator[datetime]):
    """A moment in UTC. Naive values are refused; SQLite, which has no zones, gets one back."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002 - signature is SQLAlchemy's
        """Refuse naive values and turn the rest to UTC."""
        if value is None:
            return None
        if value.tzinfo is None:
            msg = "A time without a zone cannot be stored."
            raise ValueError(msg)
        return value.astimezone(UTC)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002 - signature is SQLAlchemy's
        """Give every stored time its zone."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


class Base(DeclarativeBase):
    """Every table's parent."""

    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(table_name)s_%(column_0_N_name)s",
            "uq": "uq_%(table_name)s_%(column_0_N_name)s",
            "ck": "ck_%(table_name)s_%(constraint_name)s",
            "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
            "pk": "pk_%(table_name)s",
        }
    )
    type_annotation_map = {  # noqa: RUF012 - SQLAlchemy reads it as a class attribute
        datetime: UtcDateTime(),
        UUID: Uuid(),
        dict[str, Any]: PortableJson,
        list[Any]: PortableJson,
        list[str]: PortableJson,
    }


class HasId:
    """A primary key that sorts by time of making."""

    id: Mapped[UUID] = mapped_column(primary_key=True, default=new_id)


def utc_now() -> datetime:
    """The present moment, with its zone."""
    return datetime.now(UTC)


class HasCreatedAt:
    """When the row was made."""

    created_at: Mapped[datetime] = mapped_column(default=utc_now)
