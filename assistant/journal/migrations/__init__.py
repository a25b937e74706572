"""Steps from one version of a journal's tables to the next, by alembic; each is in `versions`.

`journal_about` says which version a store has; alembic's own table follows it. Stores in SQLite have
version 1; servers, which also tell when an event arrived, have version 2.
"""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Connection

VERSION_TABLE = "journal_alembic"


def migrate(connection: Connection, have: int, want: int) -> None:
    """Bring the tables of version `have` (0: there are none) to version `want`, in the transaction given."""
    if have == want:
        return
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent).replace("%", "%%"))
    config.attributes["connection"] = connection
    if have:
        command.stamp(config, str(have), purge=True)
    command.upgrade(config, str(want))
