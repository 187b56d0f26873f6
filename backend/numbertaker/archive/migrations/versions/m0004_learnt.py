"""What an archive has taught of its own papers, in versions that are only added to."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"

_REFUSAL = "what was learnt is never changed or deleted; learn again instead"
_SQLITE = """
CREATE TRIGGER learnt_{act} BEFORE {act} ON learnt
BEGIN SELECT RAISE(ABORT, '{why}'); END
"""
_POSTGRESQL = (
    """
    CREATE FUNCTION learnt_stays() RETURNS trigger LANGUAGE plpgsql AS
    $$ BEGIN RAISE EXCEPTION '{why}'; END $$
    """,
    """
    CREATE TRIGGER learnt_stays BEFORE UPDATE OR DELETE ON learnt
    FOR EACH ROW EXECUTE FUNCTION learnt_stays()
    """,
)


def upgrade() -> None:
    """Make the table."""
    op.create_table(
        "learnt",
        sa.Column("version", sa.Integer, autoincrement=False, nullable=False),
        sa.Column("at", sa.Text, nullable=False),
        sa.Column("by", sa.Text, nullable=False),
        sa.Column("body", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("version", name="pk_learnt"),
    )
    if op.get_bind().dialect.name == "sqlite":
        for act in ("UPDATE", "DELETE"):
            op.execute(_SQLITE.format(act=act, why=_REFUSAL))
    else:
        for statement in _POSTGRESQL:
            op.execute(statement.format(why=_REFUSAL))
