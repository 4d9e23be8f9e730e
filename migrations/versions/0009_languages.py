"""Languages people read: of the academy, of a person, and of an invitation.

Revision ID: 0009
Revises: 0008
"""

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column(
        "academies", sa.Column("language", sa.String(), nullable=False, server_default="en-GB")
    )
    op.add_column("people", sa.Column("language", sa.String(), nullable=True))
    op.add_column("invitations", sa.Column("language", sa.String(), nullable=True))


def downgrade() -> None:
    for table in ("invitations", "people", "academies"):
        op.drop_column(table, "language")
