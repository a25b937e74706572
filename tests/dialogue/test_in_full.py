"""Short by default; the longer text of a step when it is asked for by voice."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from assistant.dialogue.reply import Reply
from assistant.phrasing import phrase
from tests.bench import begun_by

SCRIPTS = sorted((Path(__file__).resolve().parent.parent / "dialogues").glob("service-*.toml"))


@pytest.mark.parametrize("script", SCRIPTS, ids=lambda path: path.stem)
def test_the_first_step_of_every_service_is_told_in_full_when_asked(script: Path) -> None:
    """The short text first; then every sentence of the long one."""
    told = tomllib.loads(script.read_text("utf-8"))
    bench = begun_by(told)
    state = bench.session.state
    step = state.procedure.step(state.step_id)
    assert step.full
    long = phrase(Reply("ask", {"text": step.full, "sheet": state.sheet}))
    assert set(phrase(Reply("ask", {"text": step.say, "sheet": state.sheet}))) <= set(bench.sentences)
    assert not set(long) <= set(bench.sentences)

    bench.hear("in full")

    assert set(long) <= set(bench.sentences)
