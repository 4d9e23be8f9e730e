"""Bands of a student's own.

Revision ID: 0002
Revises: 0001
"""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

_TIME = sa.DateTime(timezone=True)
_CURRENT = sa.text("retired_at IS NULL")


def upgrade() -> None:
    op.create_table(
        "student_bands",
        sa.Column("student_id", sa.Uuid(), nullable=False),
        sa.Column("checkpoint", sa.String(), nullable=False),
        sa.Column("club_name", sa.String(), nullable=False),
        sa.Column("watch_low", sa.Double(), nullable=False),
        sa.Column("good_low", sa.Double(), nullable=False),
        sa.Column("good_high", sa.Double(), nullable=False),
        sa.Column("watch_high", sa.Double(), nullable=False),
        sa.Column("reason", sa.String(), nullable=False),
        sa.Column("made_by", sa.Uuid(), nullable=False),
        sa.Column("retired_at", _TIME, nullable=True),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("created_at", _TIME, nullable=False),
        sa.CheckConstraint(
            "watch_low <= good_low AND good_low < good_high AND good_high <= watch_high",
            name=op.f("ck_student_bands_limits_rise"),
        ),
        sa.ForeignKeyConstraint(
            ["made_by"], ["memberships.id"], name=op.f("fk_student_bands_made_by_memberships")
        ),
        sa.ForeignKeyConstraint(
            ["student_id"], ["memberships.id"], name=op.f("fk_student_bands_student_id_memberships")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_student_bands")),
    )
    op.create_index(
        op.f("ix_student_bands_student_id"), "student_bands", ["student_id"], unique=False
    )
    op.create_index(
        "uq_student_bands_current",
        "student_bands",
        ["student_id", "checkpoint", "club_name"],
        unique=True,
        sqlite_where=_CURRENT,
        postgresql_where=_CURRENT,
    )


def downgrade() -> None:
    op.drop_table("student_bands")  # its indexes go with it
