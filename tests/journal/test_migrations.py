"""Tables made in one go and tables made step by step are the same."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Connection, create_engine, inspect, text

from assistant.journal import open_journal
from assistant.journal.migrations import migrate
from assistant.journal.sql import SERVER_SCHEMA, STORE_SCHEMA
from assistant.journal.sqlite import APPLICATION_ID
from tests.journal.facts import AT, reading, started

VERSIONS = Path(migrate.__globals__["__file__"]).parent / "versions"


def shape(connection: Connection) -> dict[str, list[tuple[object, ...]]]:
    """The columns of every table of a journal."""
    found = inspect(connection)
    return {
        table: [
            (one["name"], repr(one["type"]), one["nullable"], one["primary_key"])
            for one in found.get_columns(table)
        ]
        for table in ("journal_about", "journal_events")
    }


def test_a_file_has_the_tables_of_its_version(tmp_path: Path) -> None:
    """Made by the program, and made by the steps."""
    open_journal(tmp_path / "made.sqlite", AT).close()
    shapes, versions = [], []
    for name in ("made", "stepped"):
        engine = create_engine(f"sqlite:///{tmp_path / name}.sqlite")
        with engine.begin() as connection:
            if name == "stepped":
                migrate(connection, 0, STORE_SCHEMA)
            shapes.append(shape(connection))
            versions.append(connection.scalar(text("SELECT value FROM journal_about WHERE key = 'schema'")))
        engine.dispose()

    assert shapes[0] == shapes[1]
    assert versions == [str(STORE_SCHEMA)] * 2


def test_every_version_has_its_step() -> None:
    """And none is missing between."""
    there = sorted(path.stem for path in VERSIONS.glob("schema_*.py"))
    assert there == [f"schema_{number}" for number in range(1, max(STORE_SCHEMA, SERVER_SCHEMA) + 1)]


def test_alembic_has_no_say_in_opening(tmp_path: Path) -> None:
    """Whatever its own table holds: the version in the journal is the one that counts."""
    engine = create_engine(f"sqlite:///{tmp_path / 'x.sqlite'}")
    with engine.begin() as connection:
        migrate(connection, 0, 1)
        connection.execute(text("UPDATE journal_alembic SET version_num = 'nonsense'"))
        migrate(connection, 1, 1)
    engine.dispose()
    path = tmp_path / "x.sqlite"
    with engine.begin() as connection:
        connection.execute(text(f"PRAGMA application_id = {APPLICATION_ID}"))
    engine.dispose()
    with open_journal(path, AT) as journal:
        journal.append("J", [started("J"), reading(1)])
        assert journal.read("J") == [started("J"), reading(1)]
