"""The command `assistant reckon`: list, result, JSON, and refusals that name the key with exit code 2."""

from __future__ import annotations

import json

import pytest

from assistant.__main__ import main
from assistant.reckoning.catalogue import CATALOGUE


def said(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    """Return exit code, output and complaints of `assistant reckon words...`."""
    code = main(["reckon", *words])
    captured = capsys.readouterr()
    return code, captured.out, captured.err


def test_without_a_name_it_lists_every_computation_and_key(capsys: pytest.CaptureFixture[str]) -> None:
    """The list is complete: names, questions, keys."""
    code, out, _ = said(capsys)

    assert code == 0
    for name, computation in CATALOGUE.items():
        assert f"{name}: {computation.question}" in out
        for key in computation.keys:
            assert f"{key.name}=" in out


def test_a_result_shows_all_it_rests_on(capsys: pytest.CaptureFixture[str]) -> None:
    """Figure with unit and doubt, inputs, formula, range, source; values with blanks need no quotes."""
    words = "refill drained=4.2 L at=55 degC drained=0.4 L at=55 degC pour-at=20 degC density15=850 kg/m3"
    code, out, _ = said(capsys, *words.split(), "level-before=-0.2 L")

    assert code == 0
    for part in (
        "refill: 4.6795 L ± 0.098 L",
        "as spoken: 4.7 L",
        "4.2 L",
        "55 °C",
        "formula",
        "valid for",
        "source",
    ):
        assert part in out


def test_json_carries_decimal_strings(capsys: pytest.CaptureFixture[str]) -> None:
    """One object, numbers as decimal strings; the switch may stand anywhere."""
    for words in (
        ["torque", "torque=35", "N", "m", "in=lbf ft", "--json"],
        ["--json", "torque", "torque=35 N m", "in=lbf ft"],
        ["torque", "--json", "torque=35 N m", "in=lbf ft"],
    ):
        code, out, _ = said(capsys, *words)
        data = json.loads(out)

        assert code == 0
        assert data["value"].startswith("25.81")
        assert data["unit"] == "pound_foot"
        assert data["spoken"] == {"value": "26", "unit": "pound_foot"}
        assert data["inputs"] == [["torque", "35 N m"], ["in", "lbf ft"]]


def test_the_answer_comes_in_the_unit_wanted(capsys: pytest.CaptureFixture[str]) -> None:
    """Any figure can be told in another unit of its kind, its doubt too; a verdict has none."""
    _, out, _ = said(capsys, "to-go", "refill=4.9 US qt", "poured=3 US qt", "in=L")
    assert out.startswith("to-go: 1.7981 L ± 0.028 L")

    code, _, err = said(capsys, "to-go", "refill=4.9 L", "in=N m")
    assert (code, "in=N m" in err) == (2, True)
    code, _, err = said(capsys, "window", "temperature=40 degC", "low=35 degC", "high=45 degC", "in=L")
    assert (code, "verdict" in err) == (2, True)


def test_units_after_a_wrong_plug(capsys: pytest.CaptureFixture[str]) -> None:
    """Each unit has its own balance, in text and as data."""
    words = ["mixed-up", "drained=3.5", "L", "from=gearbox", "poured=4", "US", "qt", "into=engine"]
    _, out, _ = said(capsys, *words, "--json")
    units = json.loads(out)["units"]

    assert units["gearbox"]["value"] == "3.5"
    assert units["engine"]["value"] == "-4"
    assert said(capsys, *words)[1].count("do not run this unit") == 2


@pytest.mark.parametrize(
    ("words", "complaint"),
    [
        (["refil", "drained=4 L"], "perhaps refill"),
        (["dilution"], "its computations are old-left, cycles"),
        (["refill"], "drained: is needed"),
        (["refill", "4", "L"], "is no key=value"),
        (["refill", "drained=4 qt"], "which one, 'US qt' or 'imp qt'"),
        (["refill", "drained=4 L", "at=300 degC"], "at=300 °C: allowed is from -18 °C up to 150 °C"),
        (["refill", "drained=4 L", "colour=red"], "colour=red: no such key"),
        (["refill", "drained="], "drained=: a value is needed"),
        (["to-go", "refill=4 L", "in=L", "in=mL"], "in=mL: given twice"),
        (["to-go", "refill=4 L", "in=qt"], "in=qt: 'qt' could be several"),
        (["cycles", "capacity=10 L", "drain=12 L", "new=90 %"], "drain=12 L: must be under"),
        (["bolt-rounds", "torque=10 N m", "bolts=two"], "bolts=two: a whole number"),
        (["window", "temperature=40 degC", "low=45 degC", "high=35 degC"], "high=35 °C: must be above"),
        (["cycles", "capacity=10 L", "drain=4 L", "new=95 %", "old=5 %"], "give new or old, not both"),
        (["time-until", "goal=60 degC", "reading=38 degC"], "at: is needed, after each reading"),
        (["convert", "amount=4 L", "in=degC"], "in=°C: amount is a volume, allowed is L, mL"),
        (["must-stop", "refill=4 L", "poured=4 L", "takes-it=maybe"], "takes-it=maybe: allowed is yes or no"),
    ],
)
def test_wrong_input_is_one_line_and_exit_code_2(
    words: list[str], complaint: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Which key, why, what is allowed."""
    code, out, err = said(capsys, *words)

    assert code == 2
    assert out == ""
    assert complaint in err
    assert len(err.strip().splitlines()) == 1


def test_a_share_out_of_reach_is_not_shown_as_an_amount(capsys: pytest.CaptureFixture[str]) -> None:
    """Public question, recomputed: 8 quarts of water, 3 out: 4 must come out at least for half."""
    words = ("concentrate", "capacity=8 US qt", "drained=3 US qt", "target=50 %")
    code, out, _ = said(capsys, *words)

    assert code == 0
    assert out.startswith("concentrate: not reachable; drain at least 4 US qt\n")
    assert json.loads(said(capsys, *words, "--json")[1])["reachable"] is False
    reached = ("concentrate", "capacity=8 US qt", "drained=5 US qt", "target=50 %")
    assert json.loads(said(capsys, *reached, "--json")[1])["reachable"] is True


@pytest.mark.parametrize("name", sorted(CATALOGUE))
def test_help_on_one_computation(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    """`reckon NAME --help` lists that computation's keys alone."""
    code, out, _ = said(capsys, name, "--help")

    assert code == 0
    assert out.startswith(f"{name}: ")
