"""The page in a real browser: a whole job watched, touches, several clients, restarts, silence."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from assistant.display.page.picture import place_of
from assistant.display.page.server import Door
from assistant.job import balance
from assistant.phrasing.en import page as words
from tests.bench import Bench
from tests.display.conftest import Shown
from tests.display.page.looking import has, kept, live, shows
from tests.straight_job import SAID, bench_at, say

pytestmark = pytest.mark.full
Look = Callable[..., Any]
Serve = Callable[..., Shown]


AMOUNTS = ("drained", "poured")


def steps(one: Shown) -> int:
    """How many steps the service has."""
    return sum(not step.aside for step in one.bench.session.state.procedure.steps)


def test_a_whole_job_is_watched_from_start_to_finish(shown: Serve, look: Look) -> None:
    """After every sentence the page shows the step, both amounts and no line twice."""
    one = shown()
    tab = look(one.address)
    for lines in SAID.values():
        for item in lines:
            say(one.bench, item)
            state = one.bench.session.state
            shows(
                tab,
                {
                    "#count": f"Step {state.procedure.number(state.step_id)} of {steps(one)}",
                    "#out-number": words.shown(balance.drained(state))[0],
                    "#in-number": words.shown(balance.poured(state))[0],
                },
            )
    rows = tab.locator("#out-entries li, #in-entries li").all_inner_texts()
    assert len(rows) == len({reading.id for reading in state.readings.values() if reading.kind in AMOUNTS})
    has(tab, "#quiet", words.ENDS["complete"])
    assert tab.locator("#touch").is_hidden()


def test_touched_words_act_exactly_like_spoken_ones(shown: Serve, look: Look) -> None:
    """The same job once touched and once said leaves the same record."""
    touched, said = shown(bench=bench_at("plan")), bench_at("plan")
    tab = look(touched.address)
    for word in ("yes", "stand-by", "im-back", "back", "no", "say-again"):
        tab.locator(f'[data-word="{word}"]:visible').click()
        touched.answer_touch()
        said.session.hear(said_line(words.TOUCH[word][1]))
        has(tab, "#answer", f"{words.LABELS['taken']} {words.TOUCH[word][0]}")
        place = place_of(touched.bench.session.state)
        tab.wait_for_function("(place) => document.body.dataset.place === place", arg=place)

    mine, theirs = touched.bench.history, said.history
    assert [type(event) for event in mine] == [type(event) for event in theirs]
    assert all(
        replace(event, at=other.at) == other for event, other in zip(mine[1:], theirs[1:], strict=True)
    )


def said_line(line: str) -> Any:
    """A line as the ear brings it."""
    from assistant.commands.understanding import from_line
    from tests.bench import grammar

    return from_line(line, grammar())


def test_the_page_comes_up_with_one_answer(shown: Serve, look: Look) -> None:
    """Step and amounts are drawn before anything else is asked for; the stream alone is, and later."""
    one = shown(bench=bench_at("pour"))
    tab = look(one.address)
    has(tab, "#out-number", "4.2")

    asked = tab.evaluate("performance.getEntriesByType('resource').map(one => one.name)")
    assert [name for name in asked if not name.startswith("data:") and "/stream" not in name] == []


def test_two_screens_touched_at_once_move_the_job_once(shown: Serve, look: Look) -> None:
    """Both show it afterwards, and the slower is told."""
    one = shown(bench=bench_at("clean-plug"))
    first, second = look(one.address), look(one.address, viewport={"width": 390, "height": 844})
    for tab in (first, second):
        has(tab, "#step-title", "Clean round the plug")
        tab.locator('[data-word="next"]').click()
    has(second, "#answer", words.LABELS["too-soon"])
    one.answer_touch()
    for tab in (first, second):
        has(tab, "#step-title", "Open the plug")
    assert one.touched.empty()


def test_a_bouncing_knuckle_counts_once(shown: Serve, look: Look) -> None:
    """A double click is one word."""
    one = shown(bench=bench_at("clean-plug"))
    tab = look(one.address)
    tab.locator('[data-word="next"]').dblclick()
    has(tab, "#answer", f"{words.LABELS['taken']} Next")

    assert one.answer_touch() == "next step"
    assert one.touched.empty()


def test_the_words_work_by_keyboard(shown: Serve, look: Look) -> None:
    """Tab reaches them in their order, the focus is to be seen, Enter touches."""
    one = shown(bench=bench_at("plan"))
    tab = look(one.address)
    tab.locator('[data-word="yes"]').wait_for()
    order = []
    for _ in range(8):
        tab.keyboard.press("Tab")
        order.append(tab.evaluate("document.activeElement.dataset.word || document.activeElement.id"))
        assert tab.evaluate("getComputedStyle(document.activeElement).outlineStyle") == "solid"
    assert order == ["history", "shade", "back", "next", "say-again", "stand-by", "no", "yes"]
    tab.keyboard.press("Enter")
    assert one.answer_touch() == words.TOUCH["yes"][1]


def test_after_a_restart_the_page_is_right_within_five_seconds(shown: Serve, look: Look) -> None:
    """The server is gone, the job goes on, a new one serves it: the state of now, no line twice."""
    one = shown(bench=bench_at("pour"))
    tab = look(one.address)
    has(tab, "#in-number", "")
    one.page.close()
    live(tab, "lost")
    one.bench.hear("poured 3 litres")
    again = shown(bench=one.bench, door=Door(port=one.page.port))
    has(tab, "#in-number", "3")
    live(tab)

    assert tab.locator("#in-entries li").count() == 1
    tab.locator('[data-word="say-again"]').click()  # with the new server's token
    assert again.answer_touch() == "say again"


def test_a_paired_screen_comes_back_by_itself(shown: Serve, look: Look) -> None:
    """Where the secret is kept, a restart asks for no new code."""
    door = Door(host="0.0.0.0", code="482915", secret=b"k" * 32)
    one = shown(door=door)
    tab = look(f"http://127.0.0.1:{one.page.port}/")
    tab.locator("#code").fill("482915")
    tab.locator("button").click()
    has(tab, "#count", f"Step 1 of {steps(one)}")
    one.page.close()
    live(tab, "lost")
    one.bench.hear("plate reads quebec four tango eight")
    shown(bench=one.bench, door=replace(door, port=one.page.port, code="000000"))
    has(tab, "#count", f"Step 2 of {steps(one)}")


def streaming(tab: Any, bench: Bench) -> None:
    """Say what ends the step, and wait for the next: from then on nothing older comes by the stream."""
    title = tab.locator("#step-title").inner_text()
    bench.hear("red and clear", after_s=0.0)
    tab.wait_for_function(
        "(old) => document.querySelector('#step-title').textContent.trim() !== old", arg=title, polling=20
    )


def test_thirty_seconds_of_silence_are_not_live(shown: Serve, look: Look, chromium: Any) -> None:
    """Said in words, over everything; the words to touch are gone. Browser's clock, moved on by hand."""
    one = shown(bench=bench_at("look"))
    context = chromium.new_context(viewport={"width": 1280, "height": 800})
    tab = context.new_page()
    tab.clock.install()
    tab.goto(one.address)
    streaming(tab, one.bench)
    tab.clock.fast_forward(28_000)
    live(tab)
    tab.clock.fast_forward(3_000)
    live(tab, "no")
    assert words.LABELS["not-live"] in tab.locator("#alarm").inner_text()
    assert tab.locator("#touch").is_hidden()
    kept(tab, "not-live")
    one.bench.hear("washer on the plug")
    live(tab)
    context.close()


def test_timers_count_on_in_the_browser(shown: Serve, look: Look, chromium: Any) -> None:
    """No word from the server: ten minutes, then nine and a half, then over."""
    one = shown(bench=bench_at("look"))
    context = chromium.new_context()
    tab = context.new_page()
    tab.clock.install()
    tab.goto(one.address)
    streaming(tab, one.bench)
    has(tab, "#timers .digits", "10:00")
    tab.clock.fast_forward(29_500)
    assert tab.locator("#timers .digits").inner_text() in ("9:31", "9:30")
    tab.clock.fast_forward(575_000)
    has(tab, "#timers .word", "over")
    context.close()


def test_eight_tabs_of_one_browser_are_all_live(shown: Serve, look: Look) -> None:
    """A browser opens six connections to one place; the tabs share one stream."""
    one = shown(bench=bench_at("pour"))
    first = look(one.address)
    tabs = [first, *(look.in_(first.context, one.address) for _ in range(7))]  # type: ignore[attr-defined]
    for tab in tabs:
        has(tab, "#step-title", "Refill")
    one.bench.hear("poured 3 litres")
    for tab in tabs:
        has(tab, "#in-number", "3")
    assert one.page.watchers == 1


def test_an_emergency_and_quiet_are_told_in_words(shown: Serve, look: Look) -> None:
    """With one large word to come back by."""
    one = shown(bench=bench_at("look"))
    tab = look(one.address)
    one.bench.hear("emergency")
    has(tab, "#quiet", words.LABELS["stop"])
    has(tab, "#timers .word", "held")
    assert tab.locator("#words button").all_inner_texts() == ["All clear"]


def test_texts_from_outside_are_only_text(shown: Serve, look: Look) -> None:
    """A note or a name with markup in it is shown as it was written."""
    bench = bench_at("pour")
    state = bench.session.state
    named = replace(state.sheet, vehicle="<img src=x onerror=alert(1)>")
    bench.session.state = replace(state, sheets=dict.fromkeys(state.sheets, named))
    one = shown(bench=bench)
    one.feed._state = bench.session.state
    one.feed.said(["<b>bold</b>"])
    tab = look(one.address)
    has(tab, "#said", "<b>bold</b>")

    assert tab.locator("#vehicle").inner_text().startswith("<img src=x")
    assert tab.locator("img").count() == 0


def test_what_is_touched_without_a_network_is_told_and_never_sent_later(shown: Serve, look: Look) -> None:
    """A word that comes minutes late would answer another question."""
    one = shown(bench=bench_at("plan"))
    tab = look(one.address)
    tab.locator('[data-word="yes"]').wait_for()
    tab.context.set_offline(True)
    tab.locator('[data-word="yes"]').click()
    has(tab, "#answer", words.LABELS["not-taken"])
    tab.context.set_offline(False)
    tab.locator('[data-word="no"]').click()
    has(tab, "#answer", f"{words.LABELS['taken']} No")

    assert one.answer_touch() == words.TOUCH["no"][1]
    assert one.touched.empty()
