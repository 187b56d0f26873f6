"""The rows of the evidence, scans, readings, and a log of decisions that can only grow."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None

_REFUSAL = "a decision is never changed or deleted; take it back by another one"
_SQLITE = """
CREATE TRIGGER decisions_{act} BEFORE {act} ON decisions
BEGIN SELECT RAISE(ABORT, '{why}'); END
"""
_POSTGRESQL = (
    """
    CREATE FUNCTION decisions_stay() RETURNS trigger LANGUAGE plpgsql AS
    $$ BEGIN RAISE EXCEPTION '{why}'; END $$
    """,
    """
    CREATE TRIGGER decisions_stay BEFORE UPDATE OR DELETE ON decisions
    FOR EACH ROW EXECUTE FUNCTION decisions_stay()
    """,
)


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "archive_state",
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("value", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("name", name="pk_archive_state"),
    )
    op.create_table(
        "cards",
        sa.Column("position", sa.Integer, autoincrement=False, nullable=False),
        sa.Column("card_id", sa.Text, nullable=False),
        sa.Column("source_id", sa.Text, nullable=False),
        sa.Column("form", sa.Text, nullable=False),
        sa.Column("subject_id", sa.Text, nullable=False),
        sa.Column("covers", sa.Text, nullable=False),
        sa.Column("state", sa.Text, nullable=False),
        sa.Column("scans", sa.Text, nullable=False),
        sa.Column("sha256", sa.Text, nullable=False),
        sa.Column("locator", sa.Text, nullable=False),
        sa.Column("note", sa.Text, nullable=False),
        sa.Column("extra", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("position", name="pk_cards"),
        sa.UniqueConstraint("card_id", name="uq_cards_card_id"),
    )
    op.create_table(
        "components",
        sa.Column("position", sa.Integer, autoincrement=False, nullable=False),
        sa.Column("component_id", sa.Text, nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("type", sa.Text, nullable=False),
        sa.Column("built", sa.Text, nullable=False),
        sa.Column("condemned", sa.Text, nullable=False),
        sa.Column("note", sa.Text, nullable=False),
        sa.Column("extra", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("position", name="pk_components"),
        sa.UniqueConstraint("component_id", name="uq_components_component_id"),
    )
    op.create_table(
        "decisions",
        sa.Column("position", sa.Integer, autoincrement=False, nullable=False),
        sa.Column("decision_id", sa.Text, nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("target", sa.Text, nullable=False),
        sa.Column("ruling", sa.Text, nullable=False),
        sa.Column("reason", sa.Text, nullable=False),
        sa.Column("by", sa.Text, nullable=False),
        sa.Column("at", sa.Text, nullable=False),
        sa.Column("revokes", sa.Text, nullable=False),
        sa.Column("extra", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("position", name="pk_decisions"),
        sa.UniqueConstraint("decision_id", name="uq_decisions_decision_id"),
    )
    op.create_table(
        "designations",
        sa.Column("position", sa.Integer, autoincrement=False, nullable=False),
        sa.Column("subject_id", sa.Text, nullable=False),
        sa.Column("scheme", sa.Text, nullable=False),
        sa.Column("value", sa.Text, nullable=False),
        sa.Column("from", sa.Text, nullable=False),
        sa.Column("to", sa.Text, nullable=False),
        sa.Column("extra", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("position", name="pk_designations"),
    )
    op.create_table(
        "engines",
        sa.Column("position", sa.Integer, autoincrement=False, nullable=False),
        sa.Column("engine_id", sa.Text, nullable=False),
        sa.Column("class", sa.Text, nullable=False),
        sa.Column("built", sa.Text, nullable=False),
        sa.Column("withdrawn", sa.Text, nullable=False),
        sa.Column("works", sa.Text, nullable=False),
        sa.Column("note", sa.Text, nullable=False),
        sa.Column("extra", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("position", name="pk_engines"),
        sa.UniqueConstraint("engine_id", name="uq_engines_engine_id"),
    )
    op.create_table(
        "events",
        sa.Column("position", sa.Integer, autoincrement=False, nullable=False),
        sa.Column("event_id", sa.Text, nullable=False),
        sa.Column("subject_id", sa.Text, nullable=False),
        sa.Column("date", sa.Text, nullable=False),
        sa.Column("statement", sa.Text, nullable=False),
        sa.Column("source_id", sa.Text, nullable=False),
        sa.Column("locator", sa.Text, nullable=False),
        sa.Column("extra", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("position", name="pk_events"),
        sa.UniqueConstraint("event_id", name="uq_events_event_id"),
    )
    op.create_table(
        "fits",
        sa.Column("position", sa.Integer, autoincrement=False, nullable=False),
        sa.Column("component_type", sa.Text, nullable=False),
        sa.Column("engine_class", sa.Text, nullable=False),
        sa.Column("extra", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("position", name="pk_fits"),
    )
    op.create_table(
        "lines",
        sa.Column("position", sa.Integer, autoincrement=False, nullable=False),
        sa.Column("line_id", sa.Text, nullable=False),
        sa.Column("source_id", sa.Text, nullable=False),
        sa.Column("card_id", sa.Text, nullable=False),
        sa.Column("locator", sa.Text, nullable=False),
        sa.Column("side", sa.Text, nullable=False),
        sa.Column("heading", sa.Text, nullable=False),
        sa.Column("heading_name", sa.Text, nullable=False),
        sa.Column("row", sa.Text, nullable=False),
        sa.Column("says", sa.Text, nullable=False),
        sa.Column("engine", sa.Text, nullable=False),
        sa.Column("engine_name", sa.Text, nullable=False),
        sa.Column("component", sa.Text, nullable=False),
        sa.Column("fitted", sa.Text, nullable=False),
        sa.Column("removed", sa.Text, nullable=False),
        sa.Column("miles", sa.Text, nullable=False),
        sa.Column("total_miles", sa.Text, nullable=False),
        sa.Column("place", sa.Text, nullable=False),
        sa.Column("remarks", sa.Text, nullable=False),
        sa.Column("marks", sa.Text, nullable=False),
        sa.Column("reading", sa.Text, nullable=False),
        sa.Column("region", sa.Text, nullable=False),
        sa.Column("extra", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("position", name="pk_lines"),
        sa.UniqueConstraint("line_id", name="uq_lines_line_id"),
    )
    op.create_table(
        "readings",
        sa.Column("position", sa.Integer, autoincrement=False, nullable=False),
        sa.Column("line_id", sa.Text, nullable=False),
        sa.Column("field", sa.Text, nullable=False),
        sa.Column("text", sa.Text, nullable=False),
        sa.Column("reading", sa.Text, nullable=False),
        sa.Column("by", sa.Text, nullable=False),
        sa.Column("at", sa.Text, nullable=False),
        sa.Column("extra", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("position", name="pk_readings"),
    )
    op.create_table(
        "scan",
        sa.Column("sha256", sa.Text, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("media_type", sa.Text, nullable=False),
        sa.Column("pages", sa.Integer, nullable=False),
        sa.Column("bytes", sa.Integer, nullable=False),
        sa.Column("by", sa.Text, nullable=False),
        sa.Column("at", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("sha256", name="pk_scan"),
    )
    op.create_table(
        "sources",
        sa.Column("position", sa.Integer, autoincrement=False, nullable=False),
        sa.Column("source_id", sa.Text, nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("title", sa.Text, nullable=False),
        sa.Column("author", sa.Text, nullable=False),
        sa.Column("publisher", sa.Text, nullable=False),
        sa.Column("repository", sa.Text, nullable=False),
        sa.Column("collection", sa.Text, nullable=False),
        sa.Column("reference", sa.Text, nullable=False),
        sa.Column("item", sa.Text, nullable=False),
        sa.Column("created", sa.Text, nullable=False),
        sa.Column("seen", sa.Text, nullable=False),
        sa.Column("rights", sa.Text, nullable=False),
        sa.Column("address", sa.Text, nullable=False),
        sa.Column("compiled_from", sa.Text, nullable=False),
        sa.Column("reliability", sa.Text, nullable=False),
        sa.Column("note", sa.Text, nullable=False),
        sa.Column("extra", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("position", name="pk_sources"),
        sa.UniqueConstraint("source_id", name="uq_sources_source_id"),
    )
    op.create_table(
        "table_column",
        sa.Column("table_name", sa.Text, nullable=False),
        sa.Column("column_name", sa.Text, nullable=False),
        sa.Column("position", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("table_name", "column_name", name="pk_table_column"),
    )
    op.create_table(
        "card_reading",
        sa.Column("reading_id", sa.Integer, nullable=False),
        sa.Column(
            "card_id",
            sa.Text,
            sa.ForeignKey("cards.card_id", name="fk_card_reading_card_id_cards"),
            nullable=False,
        ),
        sa.Column(
            "sha256",
            sa.Text,
            sa.ForeignKey("scan.sha256", name="fk_card_reading_sha256_scan"),
            nullable=False,
        ),
        sa.Column("page", sa.Integer, nullable=False),
        sa.Column("recogniser", sa.Text, nullable=False),
        sa.Column("at", sa.Text, nullable=False),
        sa.Column("body", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("reading_id", name="pk_card_reading"),
    )
    op.create_index("ix_card_reading_card_id", "card_reading", ["card_id"])
    op.create_table(
        "card_scan",
        sa.Column(
            "card_id",
            sa.Text,
            sa.ForeignKey("cards.card_id", name="fk_card_scan_card_id_cards"),
            nullable=False,
        ),
        sa.Column(
            "sha256", sa.Text, sa.ForeignKey("scan.sha256", name="fk_card_scan_sha256_scan"), nullable=False
        ),
        sa.Column("page", sa.Integer, autoincrement=False, nullable=False),
        sa.Column("position", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("card_id", "sha256", "page", name="pk_card_scan"),
    )
    op.execute("INSERT INTO archive_state (name, value) VALUES ('revision', 0)")
    _guard_decisions()


def _guard_decisions() -> None:
    """Let the database itself refuse to alter the log."""
    if op.get_bind().dialect.name == "sqlite":
        for act in ("UPDATE", "DELETE"):
            op.execute(_SQLITE.format(act=act, why=_REFUSAL))
    else:
        for statement in _POSTGRESQL:
            op.execute(statement.format(why=_REFUSAL))
