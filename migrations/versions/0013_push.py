"""Notices on devices: subscriptions, and messages waiting to be sent.

Revision ID: 0013
Revises: 0012
"""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None

_TIME = sa.DateTime(timezone=True)
_JSON = sa.JSON().with_variant(postgresql.JSONB(), "postgresql")


def upgrade() -> None:
    op.add_column(
        "notice_choices", sa.Column("push_off", _JSON, nullable=False, server_default="[]")
    )
    op.create_table(
        "push_subscriptions",
        sa.Column("membership_id", sa.Uuid(), nullable=False),
        sa.Column("endpoint", sa.String(), nullable=False),
        sa.Column("p256dh", sa.String(), nullable=False),
        sa.Column("auth", sa.String(), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("created_at", _TIME, nullable=False),
        sa.ForeignKeyConstraint(
            ["membership_id"],
            ["memberships.id"],
            name="fk_push_subscriptions_membership_id_memberships",
        ),
        sa.PrimaryKeyConstraint("id", name="pk_push_subscriptions"),
        sa.UniqueConstraint("endpoint", name="uq_push_subscriptions_endpoint"),
    )
    op.create_index(
        op.f("ix_push_subscriptions_membership_id"), "push_subscriptions", ["membership_id"]
    )
    op.create_table(
        "push_messages",
        sa.Column("subscription_id", sa.Uuid(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("submission_id", sa.Uuid(), nullable=True),
        sa.Column("child_id", sa.Uuid(), nullable=True),
        sa.Column("sent_at", _TIME, nullable=True),
        sa.Column("held_until", _TIME, nullable=True),
        sa.Column("left_out", sa.String(), nullable=False, server_default=""),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("created_at", _TIME, nullable=False),
        sa.ForeignKeyConstraint(
            ["subscription_id"],
            ["push_subscriptions.id"],
            name="fk_push_messages_subscription_id_push_subscriptions",
        ),
        sa.ForeignKeyConstraint(
            ["submission_id"], ["submissions.id"], name="fk_push_messages_submission_id_submissions"
        ),
        sa.ForeignKeyConstraint(
            ["child_id"], ["memberships.id"], name="fk_push_messages_child_id_memberships"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_push_messages"),
    )
    for column in ("subscription_id", "submission_id", "child_id"):
        op.create_index(op.f(f"ix_push_messages_{column}"), "push_messages", [column])


def downgrade() -> None:
    op.drop_table("push_messages")
    op.drop_table("push_subscriptions")
    op.drop_column("notice_choices", "push_off")
