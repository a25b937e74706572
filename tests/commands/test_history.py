"""`assistant history` and `assistant waste` on a journal in a file."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from assistant.__main__ import main
from assistant.commands.book import Book
from assistant.display.history.entry import Entry
from assistant.journal.open import open_journal, read_journal
from assistant.journal.store import BESIDE
from tests.bench import START, Bench
from tests.display.history.jobs import job

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a journal with two services of one vehicle, written once."""
    path = tmp_path_factory.mktemp("written") / "journal.sqlite"
    with open_journal(path, START) as journal:
        job(journal, 0)
        job(journal, 20, until="lower")
    return path


@pytest.fixture
def place(written: Path, tmp_path: Path) -> Path:
    """Return a copy of that journal."""
    return Path(shutil.copy(written, tmp_path))


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], place: Path) -> Run:
    """Return what runs a command on that journal: exit code, what it printed, what it complained of."""

    def command(*given: str) -> tuple[int, str, str]:
        code = main([*given, "--journal", str(place)])
        told = capsys.readouterr()
        return code, told.out, told.err

    return command


def test_the_history_is_printed_and_given_as_json(run: Run) -> None:
    """Both jobs, with the amounts; JSON has the same."""
    code, out, _ = run("history")

    assert code == 0
    assert out.count("Quarry Road") >= 3
    table = json.loads(run("history", "--json")[1])
    assert [one["into"]["value"] for one in table["services"]] == ["4.2", "4.2"]
    assert "4.2 L" in run("history", "quarry")[1]
    first, second = (one["job"] for one in table["services"])
    assert "Side by side" in run("history", "--compare", first, second)[1]


def test_a_hand_over_is_kept_and_taken_off(run: Run, place: Path) -> None:
    """8.4 litres came out, 6 went: 2.4 are here; the list of jobs shows none more; others may read it."""
    code, out, err = run("waste", "--hand-over", "6 litres", "--to", "county collection", "--who", "MK")

    assert (code, "2.4 L" in out, "county collection" in out) == (0, True, True)
    assert "6 litre to county collection" in err
    assert len(run("jobs")[1].splitlines()) == 2
    assert "complete" in run("report")[1] or "Mechanic" in run("report")[1]
    assert '"WasteHandedOver"' in run("export", "--who", "mk")[1]
    with read_journal(place) as journal:
        assert [row.id[: len(BESIDE)] for row in journal.beside()] == [BESIDE]
    table = json.loads(run("waste", "--json")[1])
    assert [one["here"] for one in table["kinds"]] == [{"value": "2.4", "unit": "litre"}]


@pytest.mark.parametrize(
    ("given", "why"),
    [
        (("--hand-over", "6 litres"), "--to NAME"),
        (("--hand-over", "6 quarts", "--to", "x"), "US"),
        (("--hand-over", "6 metres", "--to", "x"), "no amount of fluid"),
        (("--hand-over", "0 litres", "--to", "x"), "no amount of fluid"),
        (("--hand-over", "6 litres", "--to", "x", "--kind", "soup"), "oil, coolant"),
        (("--to", "x"), "how much"),
    ],
)
def test_an_unclear_hand_over_is_refused_and_not_kept(run: Run, given: tuple[str, ...], why: str) -> None:
    """In one line that says what to give."""
    code, _, err = run("waste", *given)

    assert (code, why in err, len(err.splitlines())) == (2, True, 1)
    assert json.loads(run("waste", "--json")[1])["handed_over"] == []


def test_a_job_that_runs_is_not_written_over(run: Run, place: Path) -> None:
    """While a program writes to the journal a hand-over says so, and is not lost unseen."""
    with open_journal(place, START):
        code, _, err = run("waste", "--hand-over", "6 litres", "--to", "x")

    assert (code, "another assistant" in err) == (2, True)


def test_the_book_reads_again_only_what_went_on(place: Path) -> None:
    """The entry of an unchanged job is the same object; of a longer one a new."""

    def by_job(book: Book) -> dict[str, Entry]:
        return {one.job: one for one in book.entries()}

    book = Book(str(place))
    before = by_job(book)
    with open_journal(place, START) as journal:
        bench = Bench(journal=journal)
    after = by_job(book)

    assert all(after[name] is before[name] for name in before)
    assert set(after) - set(before) == {bench.session.state.job}
