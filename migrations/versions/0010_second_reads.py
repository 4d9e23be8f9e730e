"""Second opinions and blind double reads: reviews of the same clips beside the student's own.

Revision ID: 0010
Revises: 0009
"""

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None

_OPEN = sa.text("state IN ('waiting', 'claimed')")
_MAIN_OPEN = sa.text("state IN ('waiting', 'claimed') AND kind = 'main'")
_QUESTION_OPEN = sa.text("state IN ('waiting', 'claimed') AND kind = 'second'")
_BLIND = sa.text("kind = 'blind'")
_ADDED = ("kind", "read_of_id", "asked_by", "asked_of", "question", "committed")
_BELONG = ("readings", "marks", "overlay_points")


def upgrade() -> None:
    postgresql = op.get_bind().dialect.name == "postgresql"
    number, id_, json = (
        ("DOUBLE PRECISION", "UUID", "JSONB") if postgresql else ("DOUBLE", "CHAR(32)", "JSON")
    )
    _add(
        "academies",
        "double_read_share",
        f"{number} DEFAULT 0 NOT NULL",
        "double_read_share BETWEEN 0 AND 1",
        name="double_read_share",
    )
    _add(
        "reviews",
        "kind",
        "VARCHAR DEFAULT 'main' NOT NULL",
        "kind IN ('main', 'second', 'blind')",
        name="kind",
    )
    _add(
        "reviews",
        "read_of_id",
        f"{id_} {_reference('read_of_id', 'reviews')}",
        "(kind = 'main') = (read_of_id IS NULL)",
        name="read_is_of_a_review",
    )
    _add(
        "reviews",
        "asked_by",
        f"{id_} {_reference('asked_by', 'memberships')}",
        "(kind = 'second') = (asked_by IS NOT NULL)",
        name="second_was_asked",
    )
    op.execute(
        f"ALTER TABLE reviews ADD COLUMN asked_of {id_} {_reference('asked_of', 'memberships')}"
    )
    op.execute("ALTER TABLE reviews ADD COLUMN question VARCHAR DEFAULT '' NOT NULL")
    op.execute(f"ALTER TABLE reviews ADD COLUMN committed {json} DEFAULT '{{}}' NOT NULL")
    op.drop_index("uq_reviews_open", "reviews")
    _unique("uq_reviews_open", "submission_id", _MAIN_OPEN)
    _unique("uq_reviews_question", "read_of_id", _QUESTION_OPEN)
    _unique("uq_reviews_blind", "read_of_id", _BLIND)


def _add(table: str, column: str, kind: str, condition: str, *, name: str) -> None:
    """A column with a check of its own: both go together. SQLite takes references and checks so, or not at all."""
    op.execute(
        f"ALTER TABLE {table} ADD COLUMN {column} {kind} CONSTRAINT ck_{table}_{name} CHECK ({condition})"
    )


def _reference(column: str, table: str) -> str:
    return f"CONSTRAINT fk_reviews_{column}_{table} REFERENCES {table} (id)"


def _unique(name: str, column: str, condition: sa.TextClause) -> None:
    op.create_index(
        name,
        "reviews",
        [column],
        unique=True,
        sqlite_where=condition,
        postgresql_where=condition,
    )


def downgrade() -> None:
    for name in ("uq_reviews_blind", "uq_reviews_question", "uq_reviews_open"):
        op.drop_index(name, "reviews")
    # Without its kind a second read would be taken for the student's own review.
    for table in _BELONG:
        op.execute(
            f"DELETE FROM {table} WHERE review_id IN (SELECT id FROM reviews WHERE kind <> 'main')"  # noqa: S608 - no value of anybody's
        )
    op.execute("DELETE FROM reviews WHERE kind <> 'main'")
    _unique("uq_reviews_open", "submission_id", _OPEN)
    # The newest first: the checks of some name the columns beside them.
    for column in reversed(_ADDED):
        op.drop_column("reviews", column)
    op.drop_column("academies", "double_read_share")
