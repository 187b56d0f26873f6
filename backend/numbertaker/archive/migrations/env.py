"""What Alembic runs: the migrations, on the connection that the archive hands over."""

from __future__ import annotations

from alembic import context

from numbertaker.archive.tables import METADATA

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=METADATA,
    render_as_batch=True,
    compare_type=True,
)
context.run_migrations()
