"""Corrections of answers that were read, and new films asked for with causes and a marked frame.

Revision ID: 0006
Revises: 0005
"""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None

_TIME = sa.DateTime(timezone=True)
_JSON = sa.JSON().with_variant(postgresql.JSONB(), "postgresql")
_ONE_STANDS = sa.text("recalled_at IS NULL AND superseded_at IS NULL")
_ONE_STOOD = sa.text("recalled_at IS NULL")
_ADDED = {
    "reviews": ("draft_what_changed", "amends_number"),
    "answers": ("first_sent_at", "what_changed", "superseded_at", "corrects_number"),
    "drill_assignments": ("withdrawn_by_number",),
}


def upgrade() -> None:
    op.add_column(
        "reviews", sa.Column("draft_what_changed", sa.String(), nullable=False, server_default="")
    )
    _add_number(
        "reviews",
        "amends_number",
        "amends_what_stands",
        "amends_number IS NULL OR state IN ('claimed', 'answered')",
    )
    # SQLite adds no column without a value: every answer so far was the first of its chain.
    long_ago = "1970-01-01 00:00:00.000000"
    op.add_column(
        "answers", sa.Column("first_sent_at", _TIME, nullable=False, server_default=long_ago)
    )
    op.execute("UPDATE answers SET first_sent_at = sent_at")
    op.add_column(
        "answers", sa.Column("what_changed", sa.String(), nullable=False, server_default="")
    )
    op.add_column("answers", sa.Column("superseded_at", _TIME, nullable=True))
    _add_number(
        "answers",
        "corrects_number",
        "correction_says_what_changed",
        "(corrects_number IS NULL) = (what_changed = '')",
    )
    op.add_column(
        "drill_assignments", sa.Column("withdrawn_by_number", sa.Integer(), nullable=True)
    )
    _stands_once(_ONE_STANDS)
    _make_refilm_requests()


def _add_number(table: str, column: str, check: str, condition: str) -> None:
    """A number that may be missing, with a check on it: of the column itself, so that both go together."""
    name = f"ck_{table}_{check}"
    op.execute(
        f"ALTER TABLE {table} ADD COLUMN {column} INTEGER CONSTRAINT {name} CHECK ({condition})"
    )


def _stands_once(condition: sa.TextClause) -> None:
    op.drop_index("uq_answers_standing", "answers")
    op.create_index(
        "uq_answers_standing",
        "answers",
        ["review_id"],
        unique=True,
        sqlite_where=condition,
        postgresql_where=condition,
    )


def _make_refilm_requests() -> None:
    op.create_table(
        "refilm_requests",
        sa.Column("review_id", sa.Uuid(), nullable=False),
        sa.Column("submission_id", sa.Uuid(), nullable=False),
        sa.Column("asked_by", sa.Uuid(), nullable=False),
        sa.Column("asked_at", _TIME, nullable=False),
        sa.Column("causes", _JSON, nullable=False),
        sa.Column("message", sa.String(), nullable=False),
        sa.Column("problems", _JSON, nullable=False),
        sa.Column("marked", _JSON, nullable=True),
        sa.Column("charge", sa.String(), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("created_at", _TIME, nullable=False),
        sa.CheckConstraint("charge IN ('free')", name=op.f("ck_refilm_requests_charge")),
        sa.ForeignKeyConstraint(
            ["review_id"], ["reviews.id"], name=op.f("fk_refilm_requests_review_id_reviews")
        ),
        sa.ForeignKeyConstraint(
            ["submission_id"],
            ["submissions.id"],
            name=op.f("fk_refilm_requests_submission_id_submissions"),
        ),
        sa.ForeignKeyConstraint(
            ["asked_by"], ["memberships.id"], name=op.f("fk_refilm_requests_asked_by_memberships")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_refilm_requests")),
        sa.UniqueConstraint("review_id", name=op.f("uq_refilm_requests_review_id")),
    )
    op.create_index(
        op.f("ix_refilm_requests_submission_id"), "refilm_requests", ["submission_id"], unique=False
    )


def downgrade() -> None:
    op.drop_table("refilm_requests")  # its index goes with it
    # A correction under way ends; its draft stays with the review.
    op.execute(
        "UPDATE reviews SET state = 'answered', lease_ends_at = NULL WHERE amends_number IS NOT NULL"
    )
    # Without corrections one answer of a review stands: the newest. The earlier ones stay, as called back.
    op.execute(
        "UPDATE answers SET recalled_at = superseded_at "
        "WHERE recalled_at IS NULL AND superseded_at IS NOT NULL"
    )
    _stands_once(_ONE_STOOD)
    # The numbers first: their checks name the columns beside them.
    for table, columns in _ADDED.items():
        for column in reversed(columns):
            op.drop_column(table, column)
