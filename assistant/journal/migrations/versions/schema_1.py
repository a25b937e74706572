"""Version 1: a table of events, numbered per job, and one that says what version the tables have."""

import sqlalchemy as sa
from alembic import op

revision = "1"
down_revision = None


def upgrade() -> None:
    """Make both tables."""
    about = op.create_table(
        "journal_about", sa.Column("key", sa.String(64), primary_key=True), sa.Column("value", sa.Text)
    )
    op.create_table(
        "journal_events",
        sa.Column("job", sa.String(64), primary_key=True),
        sa.Column("seq", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("type", sa.String(64), nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("body", sa.Text, nullable=False),
        sa.Column("digest", sa.String(32), nullable=False),
    )
    op.bulk_insert(about, [{"key": "schema", "value": "1"}])
