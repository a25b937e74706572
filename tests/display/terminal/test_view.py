"""The running job on a terminal: the facts of the page, live on a terminal and as plain lines elsewhere."""

from __future__ import annotations

import io

import pytest

from assistant.display.page.amounts import Picture
from assistant.display.page.picture import Live, picture
from assistant.display.terminal.told import Lines, told
from assistant.display.terminal.view import BAR, FULL, view
from assistant.phrasing.en.page import LABELS
from tests.bench import Bench
from tests.display.scripted import served
from tests.straight_job import bench_at


def seen(bench: Bench, live: Live | None = None) -> Picture:
    """What is shown of a bench's job now."""
    return picture(bench.session.state, bench.history[-40:], bench.clock.now(), live)


def drawn(now: Picture | None, up_ms: int = 0, width: int = 100, height: int = 40) -> str:
    """The view as a terminal without colours shows it."""
    from rich.console import Console

    out = io.StringIO()
    Console(file=out, width=width, height=height, highlight=False).print(view(now, up_ms))
    return out.getvalue()


def test_the_view_has_every_fact_of_the_page() -> None:
    """Step, figure, question, both amounts with their marks, what is still to go, cautions, what fits."""
    bench = bench_at("pour")
    bench.hear("poured 3 litres")
    now = seen(bench, Live("poured three litres", "in: 3 L", ("Three litres in.",)))
    text = " ".join(drawn(now, width=160).split())

    for wanted in told(now).values():
        assert wanted in text, wanted
    assert all(one in text for one in now["fits"])
    assert all(one["text"] in text for one in (*now["heard"], *now["readings"], *now["cautions"]))
    assert f"{LABELS['to-go']} 1.2 L" in text


def test_both_bars_are_on_one_scale() -> None:
    """Four point two out, three in: as long as they are large, to within a sign."""
    bench = bench_at("pour")
    bench.hear("poured 3 litres")
    bars = {name: drawn(seen(bench)).count(sign) for name, sign in FULL.items()}
    now = seen(bench)["balance"]

    assert bars["out"] == pytest.approx(now["out"] * BAR, abs=1.5)  # a mark may stand in the bar
    assert bars["in"] / bars["out"] == pytest.approx(3 / 4.2, abs=0.08)


def test_every_unit_is_told() -> None:
    """Each with what came out and went in."""
    text = drawn(seen(served("service-transfer", "front-pour")))

    assert "transfer case: Out 1.3 L, In 1.3 L" in text
    assert "front differential (now, fill plug loose): Out 1.1 L, In -" in text


@pytest.mark.parametrize("width", [40, 60, 80, 200])
def test_no_line_is_wider_than_the_terminal(width: int) -> None:
    """On a narrow one texts are broken, and no word of the step is lost."""
    bench = bench_at("open-plug")
    bench.hear("emergency")
    text = drawn(seen(bench), width=width)

    assert max(map(len, text.splitlines())) <= width
    assert LABELS["stop"].split(".")[0] in " ".join(text.split())


def test_a_timer_counts_by_the_clock() -> None:
    """Ten minutes at its start, half a minute at nine and a half, over at ten."""
    bench = bench_at("open-plug")
    bench.hear("it is running")
    now = seen(bench)
    [one] = now["timers"]
    due = one["due_up_ms"]

    assert f"{one['name']}: 10:00 to run" in drawn(now, due - 600_000)
    assert f"{one['name']}: 0:30 to run" in drawn(now, due - 30_000)
    assert f"{one['name']}: {LABELS['over']}" in drawn(now, due)


def test_plain_lines_tell_each_change_once() -> None:
    """The same picture says nothing; a pour says what was understood, the sum and what is to go."""
    bench = bench_at("pour")
    lines = Lines()
    lines.changed(seen(bench), 0)
    assert lines.changed(seen(bench), 0) == []
    bench.hear("poured 3 litres")
    found = lines.changed(seen(bench), 0)

    assert found == [
        f"{LABELS['in']}: 3 L",
        f"{LABELS['to-go']} 1.2 L",
        "\u201cpoured three litres\u201d in: 3 L (read back)",
    ]


def test_plain_lines_tell_a_timer_when_it_begins_and_when_it_is_over() -> None:
    """Not each second."""
    bench = bench_at("open-plug")
    lines = Lines()
    bench.hear("it is running")
    now = seen(bench)
    [one] = now["timers"]
    due = one["due_up_ms"]

    assert f"{one['name']}: 10:00 to run" in lines.changed(now, due - 600_000)
    assert lines.changed(now, due - 599_000) == []
    assert lines.changed(now, due) == [f"{one['name']}: {LABELS['over']}"]


def test_without_a_job_both_say_so() -> None:
    """Rather than nothing."""
    assert Lines().changed(None, 0) == [LABELS["waiting"]]
    assert LABELS["waiting"] in drawn(None)
