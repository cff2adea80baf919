"""The database: models, migrations and queries. SQLAlchemy is used here only."""
