"""What the page shows of a job: figures, what was understood, timers, cautions, what fits."""

from __future__ import annotations

import json

import pytest

from assistant.display.page.amounts import MOST_ENTRIES, Picture
from assistant.display.page.picture import MOST_FITS, Live, picture
from assistant.display.page.signs import sign_of
from assistant.job.procedure import procedure_from_data
from assistant.phrasing.en.page import ENDS, SIGNALS, TOUCH
from assistant.shelf.procedure_file import list_procedures, load_procedure
from tests.bench import Bench, grammar, procedure
from tests.straight_job import SAID, bench_at, say


def seen(bench: Bench, live: Live | None = None, *, touch: bool = False) -> Picture:
    """What the page shows of a bench's job now."""
    return picture(bench.session.state, bench.history[-40:], bench.clock.now(), live, touch)


def test_the_balance_is_that_of_the_readings() -> None:
    """3 and 1.2 came out, 3 went in of 4.2 advised: 1.2 are still to pour."""
    bench = bench_at("pour")
    bench.hear("poured 3 litres")
    now = seen(bench)

    assert (now["out"]["number"], now["out"]["unit"]) == ("4.2", "L")
    assert (now["in"]["number"], now["in"]["unit"]) == ("3", "L")
    assert now["balance"]["to_go"] == {"number": "1.2", "unit": "L", "over": False}
    assert [one["text"] for one in now["out"]["entries"]] == ["3 L, can 1", "1.2 L, one more"]
    assert now["balance"]["out"] / now["balance"]["in"] == pytest.approx(4.2 / 3, abs=0.001)


def test_both_sides_and_the_marks_stand_on_one_scale() -> None:
    """The sheet's band is 3.1 to 5.6 L about 4.4 L: shares in the same proportion, nothing above the top."""
    bench = bench_at("pour")
    now = seen(bench)["balance"]
    sheet = bench.session.state.sheet

    for name, figure in {"least": "drain-least", "expected": "drain-expected", "most": "drain-most"}.items():
        wanted = sheet.figure(figure)
        assert wanted is not None
        assert now[name] / now["out"] == pytest.approx(float(wanted.exact) / 4.2, abs=0.001)
    assert max(share for share in now.values() if isinstance(share, float)) < 1


def test_too_much_poured_is_told_as_over() -> None:
    """Not as a negative amount to go."""
    bench = bench_at("pour")
    bench.hear("poured 3 litres", "another 1.9 litres")

    assert seen(bench)["balance"]["to_go"] == {"number": "0.7", "unit": "L", "over": True}


def test_a_corrected_reading_stays_visible_and_does_not_count() -> None:
    """Taken back, beside what took its place."""
    bench = bench_at("pour")
    bench.hear("poured 3 litres", "correction 2 litres")
    now = seen(bench)

    assert [(one["text"].split(",")[0], one["status"]) for one in now["in"]["entries"]] == [
        ("3 L", "withdrawn"),
        ("2 L", "heard"),
    ]
    assert now["in"]["number"] == "2"


def test_what_was_heard_stands_beside_what_it_was_taken_for() -> None:
    """The sentence and the reading; newest first; what was not understood says so."""
    bench = bench_at("measure-temperature")
    bench.hear("55 c", "the weather is fine")
    heard = seen(bench)["heard"]

    assert heard[0]["status"] == "refused"
    assert heard[1]["words"] == "fifty five degrees celsius"
    assert heard[1]["text"] == "temperature: 55 °C"


def test_a_sentence_that_leaves_no_fact_is_shown_while_the_job_runs() -> None:
    """A question to the assistant is heard, too."""
    bench = bench_at("pour")
    rows = seen(bench, Live(words="how much out", understood="how much out"))["heard"]

    assert rows[0] == {"at": 0, "words": "how much out", "text": "how much out", "status": "live"}


def test_a_timer_counts_to_its_due_instant() -> None:
    """Ten minutes from its start on the clock since boot; over when it is."""
    bench = bench_at("look")
    [timer] = seen(bench)["timers"]
    started = bench.session.state.timers["drain"].started

    assert timer["state"] == "runs"
    assert timer["due_up_ms"] == started.up_ms + 600_000
    bench.wait(600)
    assert bench.session.state.timers["drain"].due


def test_after_a_restart_of_the_computer_a_timer_goes_on() -> None:
    """Another boot: what is left is reckoned by UTC, and counted on the new boot's clock."""
    bench = bench_at("look")
    bench.restart(boot="another", gone_s=100)
    [timer] = seen(bench)["timers"]

    run = (bench.clock.now().utc_ms - bench.session.state.timers["drain"].started.utc_ms) / 1000
    assert timer["due_up_ms"] - bench.clock.now().up_ms == round((600 - run) * 1000)


def test_an_emergency_holds_the_timers_and_leaves_one_word_to_touch() -> None:
    """Only that all is clear, or that somebody is back, is listened to then."""
    bench = bench_at("look")
    bench.hear("emergency")
    held = seen(bench, touch=True)
    bench.wait(60)
    later = seen(bench, touch=True)

    assert held["quiet"] == "stop"
    assert [one["state"] for one in held["timers"]] == ["held"]
    assert held["timers"][0]["held_ms"] == later["timers"][0]["held_ms"]
    assert [one["word"] for one in held["touch"]] == ["all-clear"]
    bench.hear("all clear")
    assert seen(bench)["quiet"] == ""
    bench.hear("stand by", "all clear")
    assert [one["word"] for one in seen(bench, touch=True)["touch"]] == ["im-back"]


def test_people_and_equipment_are_told_apart() -> None:
    """Words of ANSI Z535.4: warning and caution are of people, notice of things; people come first."""
    shipped = procedure_from_data(procedure())
    assert sign_of(shipped, "hot-fluid") == ("warning", "person")
    assert sign_of(shipped, "eyes-skin") == ("caution", "person")
    assert sign_of(shipped, "soft-thread") == ("notice", "equipment")
    assert sign_of(shipped, "a caution of somebody's own procedure") == ("warning", "person")
    bench = bench_at("open-plug")
    assert [(one["word"], one["at_risk"]) for one in seen(bench)["cautions"]] == [("WARNING", "People")]


def test_signals_are_of_the_cautions_a_service_has() -> None:
    """A shared file offers more than each service needs: what is left names its cautions alone."""
    for name in list_procedures():
        one = procedure_from_data(load_procedure(name))
        assert set(one.signals) <= set(one.cautions)
        assert set(one.signals.values()) <= set(SIGNALS)


def test_only_what_a_browser_can_pass_on_can_be_touched() -> None:
    """Each touched word is a sentence of the grammar with that very meaning."""
    for word, (_, sentence) in TOUCH.items():
        assert getattr(grammar().parse(sentence), "kind", None) == word
    bench = bench_at("pour")
    assert seen(bench)["touch"] == []
    assert [one["word"] for one in seen(bench, touch=True)["touch"]] == [
        "back", "next", "say-again", "stand-by", "no", "yes",
    ]  # fmt: skip


def test_a_question_makes_yes_and_no_fit() -> None:
    """And no longer "next"."""
    bench = bench_at("plan")
    fitting = {one["word"] for one in seen(bench, touch=True)["touch"] if one["fits"]}

    assert fitting == {"yes", "no"}
    assert seen(bench)["asked"].startswith("Pour 4.")


def test_the_place_changes_with_step_and_question() -> None:
    """So that a word touched for one is not taken at another; a repeated question is the same place."""
    bench = bench_at("plan")
    asked = seen(bench)["place"]
    bench.hear("say again")
    assert seen(bench)["place"] == asked
    bench.hear("yes")
    assert seen(bench)["place"] != asked


def test_figures_of_the_sheet_are_put_into_the_texts() -> None:
    """As numerals; no place is left open, at no step of the straight job."""
    bench = Bench()
    for lines in SAID.values():
        for item in lines:
            now = seen(bench)
            for text in (now["step"]["text"], now["asked"], now["step"]["tool"], now["step"]["title"]):
                assert "{" not in text
            say(bench, item)
    assert seen(bench, touch=True)["ended"] == ENDS["complete"]
    assert seen(bench, touch=True)["touch"] == []


def test_the_figure_of_a_step_stands_by_itself() -> None:
    """What the wrench is to be set to, in numerals; a step without one has none."""
    assert seen(bench_at("torque"))["step"]["figure"] == "36 N m"
    assert seen(bench_at("look"))["step"]["figure"] == ""


def test_a_picture_is_plain_data_and_small() -> None:
    """A long job makes it no larger: lists are cut, and say so."""
    bench = bench_at("pour")
    for _ in range(8):
        bench.hear("another nought point one litres")
    now = seen(bench, Live(), touch=True)

    assert len(json.dumps(now)) < 8000
    assert len(now["in"]["entries"]) == MOST_ENTRIES
    poured = [one for one in bench.session.state.readings.values() if one.kind == "poured"]
    assert now["in"]["more"] == len(poured) - MOST_ENTRIES > 0
    assert len(now["fits"]) <= MOST_FITS
