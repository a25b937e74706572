"""What the README says of the open ear is what was measured."""

from __future__ import annotations

import json
from pathlib import Path

from tests.benchmark.ear_report import BEGIN, END, README, text
from tests.benchmark.outcome import RESULTS


def test_the_readme_tells_the_kept_results() -> None:
    told = README.read_text("utf-8").split(BEGIN)[1].split(END)[0].strip("\n")
    assert told == text(RESULTS)


def test_every_result_is_told_with_its_commit_and_what_is_asked(tmp_path: Path) -> None:
    known = {"date": "2026-01-02T03:04:05", "commit": "abc1234", "command": "python -m tests.benchmark x"}
    cells = {"taken": 9, "asked": 2, "wrong": 1}
    figures = {
        "ear-memory": {
            "hours": 8.0, "memory_mb": {"growth": 3.25},
            "core": {"nobody speaks": 0.001, "the day": 0.02, "commands without a pause": 0.04},
        },
        "enrolment": {"all": {"fitted, quiet": cells}, "speakers": {"a": {}, "b": {}}},
        "gain": {"none": {"-6 dBFS": cells}},
    }  # fmt: skip
    for name, one in figures.items():
        (tmp_path / f"{name}.json").write_text(json.dumps({**known, "figures": one}), "utf-8")

    told = text(tmp_path)

    assert told.count("Measured 2026-01-02 at abc1234, `python -m tests.benchmark x`.") == 3
    assert "grows by 3.2 MB after the first 15 minutes (asked under 20)" in told
    assert "by 2 people, their other sentences: fitted, quiet 9 taken, 2 asked, 1 wrong." in told
    assert "taken/wrong of 12 by peak level: none: 9/1 at -6 dBFS." in told
    assert text(tmp_path / "nothing") == ""
