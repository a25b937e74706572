"""Journals of every version that ever was still load, in full."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from assistant.journal import open_journal, read_journal
from assistant.journal.codec import encode
from assistant.journal.export import read_export, to_lines
from assistant.journal.sql import STORE_SCHEMA
from tests.journal.facts import AT, note
from tests.journal.golden_files import FOLDER, JOB

STORES = sorted(FOLDER.glob("*.sqlite"))
EXPORTS = sorted(FOLDER.glob("*.jsonl"))


def test_there_is_one_of_every_version() -> None:
    """From the first to the present one, each in both forms."""
    wanted = [f"schema-{number}" for number in range(1, STORE_SCHEMA + 1)]

    assert [path.stem for path in STORES] == [path.stem for path in EXPORTS] == wanted


@pytest.mark.parametrize("path", STORES, ids=lambda path: path.stem)
def test_an_old_journal_loads_and_goes_on(path: Path, tmp_path: Path) -> None:
    """Every event is read, its rows agree with the export made then, and the job can be taken up."""
    mine = Path(shutil.copy(path, tmp_path))
    with read_journal(mine) as journal:
        events = journal.read(JOB)
        assert list(to_lines(journal)) == path.with_suffix(".jsonl").read_text("ascii").splitlines()
    with open_journal(mine, AT) as journal:
        journal.append(JOB, [note("taken up")])
        assert journal.read(JOB) == [*events, note("taken up")]
        assert journal.notices == ()


@pytest.mark.parametrize("path", EXPORTS, ids=lambda path: path.stem)
def test_an_old_export_loads(path: Path) -> None:
    """Every line is an event; one of a version that is still written has every field as it was written."""
    found = list(read_export(path))

    assert len(found) >= 30
    for row, event in found:
        kind, version, body = encode(event)
        then, now = json.loads(row.body), json.loads(body)
        assert kind == row.type
        if version == row.version:
            assert {field: now[field] for field in then} == then
