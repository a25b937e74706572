"""The spoken exchange of the README is what the program says, word for word."""

from __future__ import annotations

import re
from pathlib import Path

from assistant.shelf.places import procedures_folder
from tests.bench import Bench

README = Path(__file__).resolve().parent.parent / "README.md"
LINE = re.compile(r"^    (mechanic|assistant)\s+(.+)$", re.MULTILINE)
BEFORE = (
    "plate reads hotel seven kilo two", "done", "done", "all clear", "done", "done",
    "five millimetres below the hot mark", "red", "done", "done", "next step", "running", "red and clear",
    "old washer on the plug", "magnet clean", "a drop every eight seconds", "done", "new washer on",
    "torque two nine newton metres", "yes",
)  # fmt: skip
"""The job of the example sheet up to where the exchange begins."""


def test_the_exchange_is_what_is_said() -> None:
    """Each sentence of the mechanic, answered as it stands there."""
    bench = Bench(sheet=procedures_folder() / "vehicles" / "example.toml")
    for said in BEFORE:
        bench.hear(said)
    assert bench.step == "measure"

    told, got = LINE.findall(README.read_text("utf-8")), []
    assert [who for who, _ in told] == ["mechanic", "assistant"] * (len(told) // 2)
    assert len(told) >= 6
    for who, text in told:
        if who == "mechanic":
            bench.hear(text)
            got += [(who, text), ("assistant", " ".join(bench.sentences))]
    assert got == told
