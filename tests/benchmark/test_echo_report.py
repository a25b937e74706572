"""What the README says of a loudspeaker beside the microphone is what was measured."""

from __future__ import annotations

import json
from pathlib import Path

from tests.benchmark.echo_report import BEGIN, END, README, text
from tests.benchmark.outcome import RESULTS


def test_the_readme_tells_the_kept_result() -> None:
    told = README.read_text("utf-8").split(BEGIN)[1].split(END)[0].strip("\n")
    assert told == text(RESULTS)


def test_every_part_is_a_row_with_its_commit(tmp_path: Path) -> None:
    digits, readings = {"n": 5, "right": 4}, {"n": 9, "right": 6, "wrong": 1, "missed": 2}
    part = {
        "commit": "abc1234", "replies": 20, "reduction_db": {"median": 21.5, "least": 14.0},
        "false events": ["stop"], "stop": {"n": 30, "heard": 28}, "digits": digits, "readings": readings,
    }  # fmt: skip
    figures = {
        "room, nobody else speaks": {"commit": "abc1234", "digits": digits, "readings": readings},
        "room, echo +0 dB, cancel": part,
        "room, echo -20 dB, gate": {**part, "commit": "def5678"},
        "card, cancel": part,
    }
    result = {"date": "2026-01-02T03:04:05", "command": "python -m tests.benchmark echo", "figures": figures}
    (tmp_path / "echo.json").write_text(json.dumps(result), "utf-8")

    told = text(tmp_path)

    assert "| +0 dB | cancelling | 21.5 (14.0) dB | 1 of 20 | 28 of 30 | 4 of 5 | 6 / 1 / 2 |" in told
    assert "| -20 dB | a gate |  | 1 of 20 |" in told
    assert "| virtual card, 0 dB | cancelling |" in told
    assert "| no reply meanwhile | | | | | 4 of 5 | 6 / 1 / 2 |" in told
    assert told.endswith("Measured 2026-01-02 at abc1234, def5678, `python -m tests.benchmark echo`.")
    assert text(tmp_path / "nothing") == ""
