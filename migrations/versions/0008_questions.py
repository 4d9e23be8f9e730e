"""The one question that a student may ask back about an answer.

Revision ID: 0008
Revises: 0007
"""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None

_TIME = sa.DateTime(timezone=True)
_OPEN = sa.text("replied_at IS NULL")


def upgrade() -> None:
    op.create_table(
        "questions",
        sa.Column("academy_id", sa.Uuid(), nullable=False),
        sa.Column("submission_id", sa.Uuid(), nullable=False),
        sa.Column("text", sa.String(), nullable=False),
        sa.Column("reply", sa.String(), nullable=False),
        sa.Column("replied_by", sa.Uuid(), nullable=True),
        sa.Column("replied_at", _TIME, nullable=True),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("created_at", _TIME, nullable=False),
        sa.CheckConstraint(
            "(replied_at IS NULL) = (replied_by IS NULL) AND (replied_at IS NULL) = (reply = '')",
            name=op.f("ck_questions_reply_is_whole"),
        ),
        sa.ForeignKeyConstraint(
            ["academy_id"], ["academies.id"], name="fk_questions_academy_id_academies"
        ),
        sa.ForeignKeyConstraint(
            ["submission_id"], ["submissions.id"], name="fk_questions_submission_id_submissions"
        ),
        sa.ForeignKeyConstraint(
            ["replied_by"], ["memberships.id"], name="fk_questions_replied_by_memberships"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_questions"),
        sa.UniqueConstraint("submission_id", name="uq_questions_submission_id"),
    )
    op.create_index(
        "ix_questions_open",
        "questions",
        ["academy_id", "created_at"],
        sqlite_where=_OPEN,
        postgresql_where=_OPEN,
    )


def downgrade() -> None:
    op.drop_table("questions")
