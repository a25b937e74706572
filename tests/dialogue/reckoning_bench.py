"""A job whose sheet has just the figures a case needs, and what it answers."""

from __future__ import annotations

from pathlib import Path

from tests.bench import Bench


def bench_with(folder: Path, **figures: str) -> Bench:
    """Return a job on the bench with these figures alone (`drain_plug_torque="80 newton metre"`)."""
    file = folder / "sheet.toml"
    lines = [f'{name.replace("_", "-")} = "{value}"' for name, value in figures.items()]
    head = ["format = 1", "[vehicle]", 'name = "a van"', "[[unit]]", 'name = "automatic transmission"']
    file.write_text("\n".join([*head, *lines]) + "\n", encoding="utf-8")
    return Bench(sheet=file)


def answered(bench: Bench, words: str) -> tuple[str, dict[str, object]]:
    """Return the key and the arguments of the one answer to a question."""
    keys = bench.hear(words)
    assert len(keys) == 1, keys
    return keys[0], dict(bench.replies[-1].args)
