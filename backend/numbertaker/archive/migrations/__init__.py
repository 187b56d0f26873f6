"""The archive's migrations, run by Alembic."""
