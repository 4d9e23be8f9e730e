"""Views of the queue kept by name; who drafted a review and when it changed; indexes of the queue.

Revision ID: 0003
Revises: 0002
"""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

_TIME = sa.DateTime(timezone=True)
_JSON = sa.JSON().with_variant(postgresql.JSONB(), "postgresql")
_OPEN = sa.text("state IN ('waiting', 'claimed')")
_DRAFTER = "fk_reviews_drafted_by_memberships"
_BEGUN = """
    draft_text <> '' OR CAST(draft_drills AS VARCHAR) <> '[]'
    OR EXISTS (SELECT 1 FROM marks WHERE review_id = reviews.id AND retired_at IS NULL)
    OR EXISTS (SELECT 1 FROM overlay_points WHERE review_id = reviews.id AND retired_at IS NULL)
"""


def upgrade() -> None:
    op.create_table(
        "queue_views",
        sa.Column("membership_id", sa.Uuid(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("name_folded", sa.String(), nullable=False),
        sa.Column("queue", sa.String(), nullable=False),
        sa.Column("filters", _JSON, nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("created_at", _TIME, nullable=False),
        sa.ForeignKeyConstraint(
            ["membership_id"],
            ["memberships.id"],
            name=op.f("fk_queue_views_membership_id_memberships"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_queue_views")),
    )
    op.create_index(
        "uq_queue_views_name", "queue_views", ["membership_id", "name_folded"], unique=True
    )
    _add_drafter()
    op.add_column(
        "reviews",
        sa.Column(
            "changed_at",
            _TIME,
            nullable=False,
            server_default=sa.text("'1970-01-01 00:00:00+00:00'"),
        ),
    )
    op.execute("UPDATE reviews SET changed_at = created_at")
    op.execute(
        f"UPDATE reviews SET drafted_by = claimed_by WHERE claimed_by IS NOT NULL AND ({_BEGUN})"  # noqa: S608 - no value of anybody's
    )
    op.create_index(
        "ix_reviews_open",
        "reviews",
        ["academy_id", "due_at", "id"],
        sqlite_where=_OPEN,
        postgresql_where=_OPEN,
    )
    op.create_index("ix_reviews_newest", "reviews", ["academy_id", "state", "id"])
    op.create_index("ix_reviews_changed", "reviews", ["academy_id", "changed_at"])


def _add_drafter() -> None:
    if op.get_bind().dialect.name == "sqlite":
        # SQLite takes a reference with its column or not at all.
        op.execute(
            f"ALTER TABLE reviews ADD COLUMN drafted_by CHAR(32) CONSTRAINT {_DRAFTER} "
            "REFERENCES memberships (id)"
        )
        return
    op.add_column("reviews", sa.Column("drafted_by", sa.Uuid(), nullable=True))
    op.create_foreign_key(_DRAFTER, "reviews", "memberships", ["drafted_by"], ["id"])


def downgrade() -> None:
    for index in ("ix_reviews_changed", "ix_reviews_newest", "ix_reviews_open"):
        op.drop_index(index, "reviews")
    op.drop_column("reviews", "changed_at")
    op.drop_column("reviews", "drafted_by")
    op.drop_table("queue_views")  # its index goes with it
