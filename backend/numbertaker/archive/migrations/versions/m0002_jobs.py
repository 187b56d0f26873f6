"""Jobs with their pages, and the last reconciliation."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "job",
        sa.Column("job_id", sa.Integer, nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("state", sa.Text, nullable=False),
        sa.Column("by", sa.Text, nullable=False),
        sa.Column("began", sa.Text, nullable=False),
        sa.Column("ended", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("job_id", name="pk_job"),
    )
    op.create_table(
        "kept_history",
        sa.Column("component_id", sa.Text, nullable=False),
        sa.Column("digest", sa.Text, nullable=False),
        sa.Column("at", sa.Text, nullable=False),
        sa.Column("body", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("component_id", name="pk_kept_history"),
    )
    op.create_table(
        "job_item",
        sa.Column(
            "job_id", sa.Integer, sa.ForeignKey("job.job_id", name="fk_job_item_job_id_job"), nullable=False
        ),
        sa.Column("position", sa.Integer, autoincrement=False, nullable=False),
        sa.Column("card_id", sa.Text, nullable=False),
        sa.Column("sha256", sa.Text, nullable=False),
        sa.Column("page", sa.Integer, nullable=False),
        sa.Column("state", sa.Text, nullable=False),
        sa.Column("why", sa.Text, nullable=False),
        sa.Column("attempts", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("job_id", "position", name="pk_job_item"),
    )
