"""A service nobody planned, written from an empty file by the guide alone: sound, and driven to its end."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.commands import check_file as checking
from tests.bench import Bench, grammar
from tests.straight_job import say

FOLDER = Path(__file__).parent.parent / "data" / "new_service"
SERVICE, SHEET = FOLDER / "winch-gearbox.toml", FOLDER / "recovery-truck.toml"
SAID: tuple[str | float, ...] = (
    "all laid out", "done", "done", "plate reads romeo five whiskey two", "done", "done", "honey", "yes",
    "it is running", "washer on the plug", "fine fuzz", 600.0, "a drop every nine seconds", "done",
    "new washer on", "drain plug 25 nm", "yes", "drained 0.8 litres", "done", "20 c", "done", "yes",
    "poured 0.8 litres", "done", "at the rim", "new washer on", "fill plug 20 nm", "yes", "done", "done",
    "done", "yes",
)  # fmt: skip


def test_it_is_sound(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing to mend in the service or its sheet."""
    monkeypatch.setattr(checking, "with_own", lambda *_: grammar())

    assert checking.check_file(str(SERVICE)) == []
    assert checking.check_file(str(SHEET)) == []


def test_it_is_driven_to_its_end() -> None:
    """With no line of code: rope before plugs, fill plug before drain plug, tried before it is closed."""
    bench = Bench(sheet=SHEET, service=str(SERVICE))
    order = [bench.step]
    for item in SAID:
        say(bench, item)
        order += [bench.step] if bench.step != order[-1] else []

    assert bench.session.state.ended == "complete", order
    marks = ["rope-slack", "find-plugs", "loosen-fill", "open-plug", "pour", "level-hole", "torque-fill"]
    marks += ["try-winch", "close"]
    assert [step for step in order if step in marks] == marks


def test_no_plug_is_touched_before_the_rope_is_slack() -> None:
    """Its own gate holds as the shipped ones do."""
    bench = Bench(sheet=SHEET, service=str(SERVICE))
    bench.hear("all laid out", "done")
    bench.hear("skip step not needed")
    bench.hear("plate reads romeo five whiskey two")

    assert bench.step == "rope-slack"
    assert "the rope slack" in " ".join(bench.sentences)
