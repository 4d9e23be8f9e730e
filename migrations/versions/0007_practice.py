"""What students ticked off of their drills.

Revision ID: 0007
Revises: 0006
"""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "practice_days",
        sa.Column("assignment_id", sa.Uuid(), nullable=False),
        sa.Column("student_id", sa.Uuid(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("sets_done", sa.Integer(), nullable=False),
        sa.Column("hurt", sa.Boolean(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("sets_done >= 0", name=op.f("ck_practice_days_sets_done")),
        sa.ForeignKeyConstraint(
            ["assignment_id"],
            ["drill_assignments.id"],
            name="fk_practice_days_assignment_id_drill_assignments",
        ),
        sa.ForeignKeyConstraint(
            ["student_id"], ["memberships.id"], name="fk_practice_days_student_id_memberships"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_practice_days"),
        sa.UniqueConstraint("assignment_id", "day", name="uq_practice_days_assignment_id_day"),
    )
    op.create_index("ix_practice_days_student_id", "practice_days", ["student_id"])


def downgrade() -> None:
    op.drop_table("practice_days")
