"""Alembic's revisions of the schema, shipped inside the package."""
