"""Which packages came in, when and by whom."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Make the table."""
    op.create_table(
        "import",
        sa.Column("import_id", sa.Integer, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("prefix", sa.Text, nullable=False),
        sa.Column("rows", sa.Integer, nullable=False),
        sa.Column("by", sa.Text, nullable=False),
        sa.Column("at", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("import_id", name="pk_import"),
    )
