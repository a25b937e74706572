"""Journals written by the wheels of earlier versions: a whole job and half of one, with what they came to.

They are made by `python -m tests.benchmark upgrade --keep`, which also builds and runs those wheels.
"""

from __future__ import annotations

import gzip
import json
from pathlib import Path

import pytest

from assistant.job.state import fold
from assistant.journal import open_journal
from tests.benchmark.upgrade import COMMITS, GOLDEN, golden
from tests.journal.facts import AT, note
from tests.journal.old_facts import differing, told


def test_there_is_one_of_every_version() -> None:
    """None was forgotten, and none is there that nothing can make anew."""
    kept = sorted(path.name.partition(".")[0] for path in GOLDEN.glob("*.sqlite.gz"))

    assert kept == sorted(path.stem for path in GOLDEN.glob("*.json")) == sorted(COMMITS)


@pytest.mark.parametrize("version", COMMITS)
def test_it_tells_what_its_own_version_told(version: str, tmp_path: Path) -> None:
    """The sums, readings, advice, steps and timers of both jobs; the half one can be taken up."""
    mine = tmp_path / "journal.sqlite"
    mine.write_bytes(gzip.decompress(golden(version).read_bytes()))
    then = json.loads((GOLDEN / f"{version}.json").read_text("utf-8"))
    assert differing(then, json.loads(json.dumps(told(mine)))) == []

    ended, half = sorted(then, key=lambda job: not then[job]["ended"])
    assert then[ended]["drained"] == then[ended]["poured"] == "4.2 litre"
    assert then[half]["readings"]
    with open_journal(mine, AT) as journal:
        assert journal.notices == ()
        events = journal.read(half)
        journal.append(half, [note("taken up")])
        assert journal.read(half) == [*events, note("taken up")]
        assert fold(journal.read(half)).notes == then[half]["notes"] + 1


def test_a_difference_would_be_told() -> None:
    """The comparison itself; a state may know more than it did."""
    then = {"J": {"drained": "4.2 litre", "facts": {"washer": "new"}}}

    assert (
        differing(then, {"J": {"drained": "4.2 litre", "facts": {"washer": "new", "fluid": "agrees"}}}) == []
    )
    assert len(differing(then, {"J": {"drained": "4 litre", "facts": {}}})) == 2
    assert len(differing(then, {})) == 2
