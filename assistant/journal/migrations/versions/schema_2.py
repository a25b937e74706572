"""Version 2, servers only: when an event arrived, by the server's clock; unknown for those before."""

import sqlalchemy as sa
from alembic import op

revision = "2"
down_revision = "1"


def upgrade() -> None:
    """Add the column; a default of the database fills it, so that no program has to."""
    op.add_column("journal_events", sa.Column("received", sa.DateTime(timezone=True)))
    op.alter_column("journal_events", "received", server_default=sa.text("clock_timestamp()"))
    op.execute("UPDATE journal_about SET value = '2' WHERE key = 'schema'")
