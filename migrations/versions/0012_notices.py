"""Which notices come by mail, quiet hours, and what a mail is about.

Revision ID: 0012
Revises: 0011
"""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None

_TIME = sa.DateTime(timezone=True)
_JSON = sa.JSON().with_variant(postgresql.JSONB(), "postgresql")
_REFERENCES = (("to_id", "memberships"), ("submission_id", "submissions"))


def upgrade() -> None:
    op.create_table(
        "notice_choices",
        sa.Column("membership_id", sa.Uuid(), nullable=False),
        sa.Column("mail_off", _JSON, nullable=False),
        sa.Column("quiet_from", sa.String(), nullable=True),
        sa.Column("quiet_to", sa.String(), nullable=True),
        sa.Column("time_zone", sa.String(), nullable=True),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("created_at", _TIME, nullable=False),
        sa.CheckConstraint(
            "(quiet_from IS NULL) = (quiet_to IS NULL) AND "
            "(quiet_from IS NULL OR quiet_from <> quiet_to)",
            name=op.f("ck_notice_choices_quiet_hours"),
        ),
        sa.ForeignKeyConstraint(
            ["membership_id"],
            ["memberships.id"],
            name="fk_notice_choices_membership_id_memberships",
        ),
        sa.PrimaryKeyConstraint("id", name="pk_notice_choices"),
        sa.UniqueConstraint("membership_id", name="uq_notice_choices_membership_id"),
    )
    id_ = "UUID" if op.get_bind().dialect.name == "postgresql" else "CHAR(32)"
    for column, table in _REFERENCES:
        op.execute(
            f"ALTER TABLE mails ADD COLUMN {column} {id_} "
            f"CONSTRAINT fk_mails_{column}_{table} REFERENCES {table} (id)"
        )
        op.create_index(op.f(f"ix_mails_{column}"), "mails", [column])
    op.add_column("mails", sa.Column("kind", sa.String(), nullable=True))
    op.add_column("mails", sa.Column("held_until", _TIME, nullable=True))
    op.add_column("mails", sa.Column("left_out", sa.String(), nullable=False, server_default=""))


def downgrade() -> None:
    for column in ("left_out", "held_until", "kind"):
        op.drop_column("mails", column)
    for column, _table in reversed(_REFERENCES):
        op.drop_index(op.f(f"ix_mails_{column}"), "mails")
        op.drop_column("mails", column)
    op.drop_table("notice_choices")
