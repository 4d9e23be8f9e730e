"""What a coach judges by eye, and what they draw on stills.

Revision ID: 0005
Revises: 0004
"""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

_JSON = sa.JSON().with_variant(postgresql.JSONB(), "postgresql")
_DRAFTED = ("draft_by_eye", "draft_drawings")


def upgrade() -> None:
    for name in _DRAFTED:
        # Reviews that are under way have ticked and drawn nothing yet.
        op.add_column("reviews", sa.Column(name, _JSON, nullable=False, server_default="[]"))


def downgrade() -> None:
    for name in _DRAFTED:
        op.drop_column("reviews", name)
