"""What a job is sure to say is known before it is said, word for word."""

from __future__ import annotations

from assistant.commands.ahead import fixed_replies, steps_ahead
from assistant.phrasing import phrase
from assistant.shelf.places import procedures_folder
from tests.bench import Bench


def test_the_sentences_of_the_steps_are_the_ones_that_are_said_later() -> None:
    """Figures of the sheet filled in; what is behind is left out."""
    bench = Bench(sheet=procedures_folder() / "vehicles" / "example.toml")
    known = {*steps_ahead(bench.session.state, "en"), *fixed_replies("en")}
    bench.hear("plate reads hotel seven kilo two", "done", "done", "all clear", "done")
    steps = [one for one in bench.replies if one.key in ("step", "ask")]

    assert len(steps) >= 4
    assert {sentence for one in steps for sentence in phrase(one)} <= known
    assert set(steps_ahead(bench.session.state, "en")) < known
