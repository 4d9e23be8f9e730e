"""What a coach says to findings, things for later, and phrases to reuse.

Revision ID: 0004
Revises: 0003
"""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

_TIME = sa.DateTime(timezone=True)
_JSON = sa.JSON().with_variant(postgresql.JSONB(), "postgresql")
_CURRENT = sa.text("retired_at IS NULL")
_DRAFTED = ("draft_judgements", "draft_later")


def upgrade() -> None:
    for name in _DRAFTED:
        # Reviews that are under way have judged nothing yet.
        op.add_column("reviews", sa.Column(name, _JSON, nullable=False, server_default="[]"))
    op.create_table(
        "phrases",
        sa.Column("academy_id", sa.Uuid(), nullable=False),
        sa.Column("owner_id", sa.Uuid(), nullable=True),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("body", sa.String(), nullable=False),
        sa.Column("made_by", sa.Uuid(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("retired_at", _TIME, nullable=True),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("created_at", _TIME, nullable=False),
        sa.ForeignKeyConstraint(
            ["academy_id"], ["academies.id"], name=op.f("fk_phrases_academy_id_academies")
        ),
        sa.ForeignKeyConstraint(
            ["owner_id"], ["memberships.id"], name=op.f("fk_phrases_owner_id_memberships")
        ),
        sa.ForeignKeyConstraint(
            ["made_by"], ["memberships.id"], name=op.f("fk_phrases_made_by_memberships")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_phrases")),
    )
    op.create_index("ix_phrases_shelf", "phrases", ["academy_id", "owner_id"], unique=False)


def downgrade() -> None:
    op.drop_table("phrases")  # its index goes with it
    for name in _DRAFTED:
        op.drop_column("reviews", name)
