"""The table in the developers' page says what the kept results say."""

from __future__ import annotations

from tests.benchmark.measured import PAGE, ROWS, table, with_table
from tests.benchmark.outcome import RESULTS


def test_the_page_has_the_newest_figures() -> None:
    """Else run `python -m tests.benchmark measured --write`."""
    page = PAGE.read_text("utf-8")

    assert with_table(page) == page


def test_every_kept_result_of_these_is_told() -> None:
    """None is left out because it does not flatter."""
    kept = [name for name, *_ in ROWS if (RESULTS / f"{name}.json").exists()]

    assert len(table().splitlines()) == 2 + len(kept)
