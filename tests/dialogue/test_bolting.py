"""Bolts counted aloud: order, rounds, what was left out, and that the record knows where it stood.

Three rounds of 30, 60 and 100 % and a check round: a flange standard (from memory); criss-cross: common
practice, no source.
"""

from __future__ import annotations

from pathlib import Path

from assistant.dialogue.expectation import expected_kinds
from assistant.dialogue.reply import Heard
from assistant.job import events as e
from assistant.reckoning.again import recheck
from assistant.reckoning.torque import criss_cross
from assistant.units import Measure
from tests.bench import Bench, grammar
from tests.dialogue.reckoning_bench import bench_with

ONES = ("", "one", "two", "three", "four", "five", "six", "seven", "eight")


def pan_of_eight(folder: Path) -> Bench:
    """Return a job whose pan has eight bolts of 10 N m, just begun."""
    bench = bench_with(folder, bolt_count="8 one", pan_bolt_torque="10 newton metre")
    assert bench.hear("start the bolts") == ["bolts-begin"]
    return bench


def count(bench: Bench, *numbers: int) -> list[str]:
    """Say the numbers of bolts; return the keys of the answers."""
    return bench.hear(*(f"bolt {ONES[number]}" for number in numbers))


def test_what_is_missing_is_named(tmp_path: Path) -> None:
    bench = bench_with(tmp_path)
    assert bench.hear("start the bolts") == ["needs-figure"]
    assert bench.hear("there are eight bolts", "start the bolts") == ["figure-kept", "needs-figure"]
    assert bench.hear("bolt torque one zero newton metres", "start the bolts") == [
        "figure-kept",
        "bolts-begin",
    ]


def test_three_rounds_and_a_check_round(tmp_path: Path) -> None:
    """10 N m by 30, 60, 100 %: 3, 6 and 10 N m, then once round at 10."""
    bench = pan_of_eight(tmp_path)
    assert bench.replies[-1].args == {"count": 8, "torque": Measure("3", "newton_metre"), "first": 1}
    order = criss_cross(8)
    for number, torque in ((1, "6"), (2, "10"), (3, "10")):
        keys = count(bench, *order)
        assert keys == ["bolt-next"] * 7 + ["bolts-round"]
        assert [one.args["next"] for one in bench.replies[:-1]] == list(order[1:])
        assert bench.replies[-1].args == {
            "number": number + 1, "torque": Measure(torque, "newton_metre"), "first": 1,
        }  # fmt: skip
    keys = count(bench, *range(1, 9))
    assert keys == ["bolt-next"] * 7 + ["bolts-all-done"]
    assert bench.session.state.has("bolts=torqued")
    assert bench.hear("bolt one") == ["bolts-all-done"]


def test_a_count_is_awaited_while_the_bolts_are_tightened(tmp_path: Path) -> None:
    """So that the ear takes a short "bolt one" then."""
    bench = pan_of_eight(tmp_path)
    assert {"bolt", "bolt-round"} <= set(expected_kinds(bench.session.state))
    bench.hear("round one done", "round two done", "round three done", "all bolts done")
    assert "bolt" not in expected_kinds(bench.session.state)


def test_opposite_bolts_follow_each_other(tmp_path: Path) -> None:
    bench = pan_of_eight(tmp_path)
    count(bench, 1)
    assert bench.replies[-1].args["next"] == 5


def test_a_round_may_be_told_without_its_bolts(tmp_path: Path) -> None:
    bench = pan_of_eight(tmp_path)
    assert bench.hear("round one done") == ["bolts-round"]
    assert bench.hear("round one done") == ["bolts-other-round"]
    assert bench.hear("round two done", "round three done", "all bolts done") == [
        "bolts-round", "bolts-round", "bolts-all-done",
    ]  # fmt: skip


def test_bolts_left_out_are_named_before_a_round_ends(tmp_path: Path) -> None:
    bench = pan_of_eight(tmp_path)
    count(bench, *criss_cross(8)[:6])
    assert bench.hear("round one done") == ["bolts-missing"]
    assert bench.replies[-1].args == {"count": 2, "next": criss_cross(8)[6]}
    assert count(bench, *criss_cross(8)[6:]) == ["bolt-next", "bolts-round"]


def test_what_was_tightened_out_of_turn_is_kept(tmp_path: Path) -> None:
    """What happened is not refused."""
    bench = pan_of_eight(tmp_path)
    assert count(bench, 2) == ["bolt-next"]
    assert bench.replies[-1].args == {"next": 1, "in_turn": False}
    assert count(bench, 2) == ["bolt-counted-before"]
    assert [one.bolt for one in bench.history if isinstance(one, e.BoltTightened)] == [2]


def test_a_bolt_there_is_not_and_one_hardly_heard_are_asked_again(tmp_path: Path) -> None:
    bench = pan_of_eight(tmp_path)
    assert bench.hear("bolt nine") == ["bolt-anew"]
    assert bench.hear_so(Heard(grammar().parse("bolt one"), "bolt one", sure=False)) == ["bolt-anew"]
    assert bench.hear("which bolt") == ["bolts-where"]
    assert bench.replies[-1].args["next"] == 1


def test_after_a_restart_the_next_bolt_is_known(tmp_path: Path) -> None:
    bench = pan_of_eight(tmp_path)
    count(bench, 1, 5)
    before = bench.hear("which bolt is next"), dict(bench.replies[-1].args)
    bench.restart()
    assert (bench.hear("which bolt is next"), dict(bench.replies[-1].args)) == before


def test_a_round_before_the_bolts_were_begun_is_none(tmp_path: Path) -> None:
    bench = bench_with(tmp_path, bolt_count="8 one", pan_bolt_torque="10 newton metre")
    assert bench.hear("round one done") == ["bolts-not-begun"]
    assert bench.hear("bolt one") == ["bolt-next"]


def test_two_bolts_have_no_order(tmp_path: Path) -> None:
    """Three at least."""
    bench = bench_with(tmp_path, bolt_count="2 one", pan_bolt_torque="10 newton metre")
    assert bench.hear("start the bolts") == ["out-of-range"]


def test_the_rounds_are_advice_with_inputs_and_formula(tmp_path: Path) -> None:
    bench = pan_of_eight(tmp_path)
    (one,) = (event for event in bench.history if isinstance(event, e.AdviceGiven))
    assert recheck(one.name, one.inputs, Measure(one.value, one.unit), one.formula).verdict == "same"
