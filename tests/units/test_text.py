"""Typed measures: the spellings of the trade, symbols that read back, and what is refused."""

from __future__ import annotations

import pytest

from assistant.errors import WrongInput
from assistant.units import Measure, kind_of, read_measure, settled, symbol_of
from assistant.units.table import UNIT_TABLE

READ = [
    ("4.2 L", "4.2", "litre"),
    ("4.2l", "4.2", "litre"),
    ("4,2 litres", "4.2", "litre"),
    ("-0.2 L", "-0.2", "litre"),
    ("\u22120.2 L", "-0.2", "litre"),
    ("950 cc", "950", "millilitre"),
    ("3 US qt", "3", "us_quart"),
    ("3 us quarts", "3", "us_quart"),
    ("2 imp gal", "2", "imperial_gallon"),
    ("1 imperial_pint", "1", "imperial_pint"),
    ("12 US fl oz", "12", "us_fluid_ounce"),
    ("35 N m", "35", "newton_metre"),
    ("35Nm", "35", "newton_metre"),
    ("13 lb-ft", "13", "pound_foot"),
    ("13 ft.lb", "13", "pound_foot"),
    ("106 in-lb", "106", "pound_inch"),
    ("106 inch pounds", "106", "pound_inch"),
    ("55 degC", "55", "celsius"),
    ("55 °C", "55", "celsius"),
    ("113 F", "113", "fahrenheit"),
    ("90%", "90", "percent"),
    ("0.62", "0.62", "one"),
    (".5 L", "0.5", "litre"),
    ("870 kg/m3", "870", "kilogram_per_cubic_metre"),
    ("7.3 mm2/s", "7.3", "centistokes"),
    ("10 min", "10", "minute"),
    ("5 cl", "0.05", "litre"),
    ("2 inch**3", "0.032774128", "litre"),
]


@pytest.mark.parametrize(("text", "value", "unit"), READ)
def test_typed_measures(text: str, value: str, unit: str) -> None:
    """The ways people write a measure."""
    assert read_measure(text) == Measure(value, unit)


@pytest.mark.parametrize(
    "text",
    ["4 qt", "4 quarts", "2 pt", "1 gal", "16 oz", "8 fl oz", "2 gallon", "55 degrees", "55 deg", "55°"],
)
def test_a_bare_unit_is_asked(text: str) -> None:
    """US or imperial, Celsius or Fahrenheit: the refusal is the question which."""
    with pytest.raises(WrongInput, match="which one"):
        read_measure(text)


@pytest.mark.parametrize(
    "text",
    ["", "L", "four L", "1e3 L", "4 hogsheads", "5 teaspoon", "2 barrel", "1 quart/min", "3 kg*m/s",
     "123,456 km", "4 L 5", "nan L", "3 __import__('os')", "2 yards of ale"],
)  # fmt: skip
def test_what_leaves_a_doubt_is_refused(text: str) -> None:
    """No number, no unit, a measure that differs by country, thousands or decimals."""
    with pytest.raises(WrongInput):
        read_measure(text)


@pytest.mark.parametrize(
    "unit",
    sorted(
        name
        for name in UNIT_TABLE
        if settled(name) and kind_of(name) not in ("temperature_difference", "energy", "angle", "expansion")
    ),
)
def test_a_measure_reads_back_from_its_own_text(unit: str) -> None:
    """What is printed for a measure is read as the same measure."""
    measure = Measure("3.5", unit)

    assert read_measure(str(measure)) == measure, symbol_of(unit)
