"""Questions about levels, draining, pouring and the next service, asked by name and typed.

"Derived" is the formula of the computation's own docstring worked by hand.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.units import Measure
from tests.dialogue.reckoning_bench import answered, bench_with
from tests.straight_job import bench_at

C, L = "celsius", "litre"


# ---------------------------------------------------------------- levels and draining

STICK = {"span": "0.36 litre", "span_length": "6 millimetre"}


def test_what_a_level_is_in_litres(tmp_path: Path) -> None:
    """Geometry: 0.36 L over 6 mm; five of them short is 0.3 L. From the low mark it is a whole span more."""
    bench = bench_with(tmp_path, **STICK)
    assert bench.hear("how much is that on the stick") == ["needs-reading"]
    bench.hear("five millimetres below the hot mark")

    _, told = answered(bench, "how much is that on the stick")
    assert (told["away"], told["low"]) == (Measure("0.3", L), True)
    _, told = answered(bench, "how much to the mark")
    assert (told["amount"], told["drain"]) == (Measure("0.3", L), False)
    bench.hear("three millimetres above the low mark")
    assert answered(bench, "how much to the mark")[1]["amount"] == Measure("0.2", L)  # 3 mm, 0.18 L
    bench.hear("two millimetres above the hot mark")
    assert answered(bench, "how much to the mark")[1]["drain"] is True


def test_how_far_it_rises(tmp_path: Path) -> None:
    """Derived: 8 L of 860 kg/m3 from 20 to 80 C rise 0.373 L, 6.2 mm on this stick."""
    bench = bench_with(
        tmp_path, **STICK, capacity="8 litre", fluid_density="860 kilogram per cubic metre",
        hot_low="75 degree celsius", hot_high="85 degree celsius",
    )  # fmt: skip
    assert bench.hear("how far will it rise") == ["needs-temperature"]
    bench.hear("temperature two zero degrees celsius")

    _, told = answered(bench, "how far will it rise")
    assert (told["away"], told["falls"]) == (Measure("6", "millimetre"), False)


def test_a_height_in_the_pan(tmp_path: Path) -> None:
    """Geometry: 30 by 20 cm, 15 mm, 0.9 L."""
    bench = bench_with(tmp_path)
    assert bench.hear("how much is one five millimetres in the pan") == ["needs-figure"]
    bench.hear("pan is three zero by two zero centimetres")
    assert bench.session.state.sheet.figure("pan-area") == Measure("600", "square_centimetre")

    assert answered(bench, "how much is one five millimetres in the pan")[1]["volume"] == Measure("0.9", L)


WINDOW = {"overflow_low": "35 degree celsius", "overflow_high": "45 degree celsius"}


def test_what_the_open_plug_says(tmp_path: Path) -> None:
    """Public questions: too cold would overfill, with the engine off it is not judged."""
    bench = bench_with(tmp_path, **WINDOW)
    assert bench.hear("what does the plug say") == ["needs-reading"]
    bench.hear("just drops", "temperature three zero degrees celsius")
    assert bench.hear("what does the plug say") == ["plug-says"]
    assert bench.replies[-1].args == {"verdict": "engine-off"}


def test_a_stick_found_dry_is_believed_only_twice(tmp_path: Path) -> None:
    """Common practice, no source."""
    bench = bench_with(tmp_path)
    bench.hear("nothing on the stick")
    assert answered(bench, "can i believe the stick")[1] == {"verdict": "wipe-and-dip-again"}
    bench.hear("nothing on the stick")
    assert answered(bench, "can i believe the stick")[1] == {"verdict": "believed"}


def test_what_a_drip_is_a_minute(tmp_path: Path) -> None:
    """Pharmacopoeia: 20 drops to the millilitre; one a second is 3 mL a minute."""
    bench = bench_with(tmp_path)
    assert bench.hear("how much does it drip") == ["needs-drip"]
    bench.hear("a drop a second")
    assert answered(bench, "how much does it drip")[1]["rate"] == Measure("3", "millilitre_per_minute")


def test_how_long_it_drains(tmp_path: Path) -> None:
    """Derived: 5 L over 0.06 m2 through 12 mm, discharge 0.60: 115 s, a lower bound."""
    bench = bench_with(tmp_path, drain_expected="5 litre")
    bench.hear("pan is three zero by two zero centimetres", "hole is twelve millimetres")

    time = answered(bench, "how long does it take to drain")[1]["time"]
    assert time.unit == "second"  # type: ignore[attr-defined]
    assert float(time.value) == pytest.approx(115, abs=3)  # type: ignore[attr-defined]


def test_what_clings_and_what_warmth_is_worth(tmp_path: Path) -> None:
    """Film formula: 30 cSt on half a square metre, 0.2 m high, after 300 s 15.1 mL; 1.79 at 20 C."""
    bench = bench_with(tmp_path, workshop="20 degree celsius")
    bench.hear("wall is two five zero by two zero centimetres", "viscosity at forty is three zero")
    bench.hear("viscosity at one hundred is six", "start drain timer ten minutes")
    bench.hear("temperature four zero degrees celsius", after_s=292)

    clings = answered(bench, "how much clings to the wall")[1]["volume"]
    assert float(clings.value) == pytest.approx(15.1, abs=0.6)  # type: ignore[attr-defined]
    bench.hear("correction viscosity at forty is three five")
    bench.hear("correction viscosity at one hundred is seven point three")
    bench.hear("temperature five zero degrees celsius")
    assert answered(bench, "how much more clings cold")[1]["times"] == Measure("1.8", "one")


# ---------------------------------------------------------------- pouring, units, the next service


def test_when_pouring_must_stop() -> None:
    """4.2 L are advised: 5.5 L are more than 120 % of it (common practice, no source)."""
    bench = bench_at("pour")
    assert answered(bench, "must i stop pouring")[1]["verdict"] == "go-on"
    bench.hear("poured three litres")
    assert answered(bench, "must i stop pouring")[1]["verdict"] == "go-on"
    _, told = answered(bench, "how much first")
    assert (told["first"], told["by_sheet"]) == (Measure("3.6", L), False)
    bench.hear("poured another two point five litres", "yes")
    assert answered(bench, "must i stop")[1]["verdict"] == "stop-over"


def test_is_that_amount_plausible(tmp_path: Path) -> None:
    """Within 30 % of what the sheet expects (common practice, no source)."""
    bench = bench_with(tmp_path, drain_expected="4.7 litre")
    assert bench.hear("is that plausible") == ["nothing-measured"]
    bench.hear("drained four point two litres")
    assert answered(bench, "is that plausible")[1]["verdict"] == "plausible"


def test_what_each_unit_is_owed(tmp_path: Path) -> None:
    """Public question: 3.5 L came out of the wrong unit and nothing went back."""
    bench = bench_with(tmp_path)
    assert bench.hear("what does each unit need") == ["nothing-measured"]
    bench.hear("drained three point five litres")
    assert answered(bench, "what does each unit need") == (
        "unit-owed", {"unit": "automatic transmission", "how": "still-short", "amount": Measure("3.5", L)},
    )  # fmt: skip


def test_on_which_date_it_is_due(tmp_path: Path) -> None:
    """Calendar: the job is of 21 September 2026; 12 months, or 12 000 km at 15 000 a year, 292 days."""
    bench = bench_with(tmp_path)
    assert bench.hear("which date is the next service") == ["needs-figure"]
    bench.hear("service every twelve months")
    assert answered(bench, "which date is the next service")[1] == {"date": "2027-09-21", "first": False}
    bench.hear("service every one two thousand kilometres", "it runs one five thousand kilometres a year")
    assert answered(bench, "which date is the next service")[1] == {"date": "2027-07-10", "first": True}


def test_how_far_to_the_next_service(tmp_path: Path) -> None:
    """Subtraction, across units."""
    bench = bench_with(tmp_path)
    assert bench.hear("how far to the next service") == ["needs-distance"]
    bench.hear("clock reads one two three four five six kilometres")
    assert bench.hear("how far to the next service") == ["needs-figure"]
    bench.hear("service due at one three zero thousand kilometres")
    _, told = answered(bench, "how far to the next service")
    assert (told["distance"], told["past"]) == (Measure("6500", "kilometre"), False)
