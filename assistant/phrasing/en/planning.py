"""English: what a job will need, told in a few sentences, or printed on a page."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Mapping

from assistant.job.plan import Bought, Fluid, Pan, Part, Plan, Purchase, Span
from assistant.phrasing.en import words
from assistant.phrasing.en.numbers import measure_words, number_words, rough_duration_words
from assistant.phrasing.en.parts import part_text
from assistant.phrasing.en.words import listed, sentence, speakable
from assistant.phrasing.language import Args, Wording
from assistant.units import Measure, for_speech, symbol_of

MOST_TOOLS, TOOLS_AT_ONCE = 6, 3
"""Tools named aloud; the others are named at their steps."""
PARTS: Mapping[str, tuple[str, str]] = {
    "washer": ("washer", "washers"),
    "filter": ("filter", "filters"),
    "pan-gasket": ("pan gasket", "pan gaskets"),
}
FLUIDS: Mapping[str, str] = {"fluid": "new fluid", "concentrate": "concentrate", "water": "water"}
TIMES: Mapping[str, str] = {
    "work": "work by hand",
    "warm-up": "warming up",
    "cool-down": "cooling down",
    "drain": "draining",
    "wait": "waiting",
    "drive": "driving",
}
WRENCH: Mapping[str, str] = {
    "fits": "your wrench reaches all of it",
    "below-range": "your wrench begins above the lowest of them",
    "above-range": "your wrench ends below the highest of them",
}
PANS: Mapping[str, str] = {
    "enough": "large enough",
    "too-small": "TOO SMALL, get a larger one or empty it in between",
    "unknown": "size not in the sheet",
}
MINUTE_MS = 60_000


# ---------------------------------------------------------------- spoken


def plan(args: Args) -> tuple[str, ...]:
    """plan: Plan."""
    one = args.value("plan", Plan)
    return tuple(_spoken(one))


def _spoken(one: Plan) -> Iterator[str]:
    for first in range(0, min(len(one.tools), MOST_TOOLS), TOOLS_AT_ONCE):
        tools = one.tools[first : first + TOOLS_AT_ONCE]
        yield sentence("you will need, " + ", ".join(speakable(tool) for tool in tools))
    if one.torques is not None:
        yield sentence(f"a torque wrench for {_span(one.torques)}")
    counts = _counted(one.parts)
    if counts:
        yield sentence(", ".join(_some(name, count) for name, count in counts.items()))
    several = len(one.units) > 1
    for fluid in one.fluids:
        unit = f"{speakable(fluid.unit)}, " if several else ""
        yield sentence(f"{unit}{_span(fluid.amount)} of {words.label(fluid.what, FLUIDS)}")
    for purchase in one.purchases:
        yield _buying(purchase, several=several)
    for waste in one.waste:
        room = measure_words(for_speech(waste.amount.most))
        yield sentence(f"room for {room} of {words.waste_text(waste.kind)}")
    yield from _pan(one.pans)
    yield sentence(f"time, {_minutes(one.time)}")
    if one.lacking:
        count = len(one.lacking)
        figures = "one figure is" if count == 1 else f"{number_words(str(count))} figures are"
        yield sentence(f"{figures} still to be asked on the way")


def _buying(one: Purchase, *, several: bool) -> str:
    if not one.buy:
        return "The stock will do."
    what = "" if one.what == "fluid" else f"{words.label(one.what, FLUIDS)}, "
    units = f"{_both(one.units)}, " if several else ""
    counts = (f"{number_words(str(can.count))} of {measure_words(can.size)}" for can in one.buy)
    return sentence(f"to be bought, {units}{what}{' and '.join(counts)}")


def _both(units: tuple[str, ...]) -> str:
    return " and ".join(speakable(one) for one in units)


def _pan(pans: tuple[Pan, ...]) -> Iterator[str]:
    small = tuple(speakable(one.unit) for one in pans if one.verdict == "too-small")
    if small:
        yield sentence(f"the pan is too small for the {listed(small)}")
    elif any(one.verdict == "unknown" for one in pans):
        yield "The data lacks the size of the pan."


def _span(span: Span) -> str:
    least, most = for_speech(span.least), for_speech(span.most)
    if least == most:
        return measure_words(most)
    if least.unit != most.unit:
        return f"{measure_words(least)} to {measure_words(most)}"
    return f"{number_words(least.value)} to {measure_words(most)}"


def _minutes(span: Span) -> str:
    least, most = (rough_duration_words(int(one.exact * MINUTE_MS)) for one in (span.least, span.most))
    return least if least == most else f"{least} to {most}"


def _counted(parts: tuple[Part, ...]) -> dict[str, int]:
    counts: dict[str, int] = {}
    for part in parts:
        counts[part.name] = counts.get(part.name, 0) + part.count
    return counts


def _some(name: str, count: int) -> str:
    return f"{'one' if count == 1 else number_words(str(count))} {_named(name, count)}"


def _named(name: str, count: int) -> str:
    one = part_text(name)
    return PARTS.get(name, (one, f"{one}s"))[count > 1]


# ---------------------------------------------------------------- printed


def as_text(one: Plan) -> str:
    """Return a plan as lines to be printed."""
    several = len(one.units) > 1
    blocks = {
        "TOOLS": [", ".join(one.tools), *_torques(one)],
        "PARTS": [_part(part, several) for part in one.parts],
        "FLUIDS": [_fluid_line(fluid, several) for fluid in one.fluids],
        "TO BUY": [_purchase_line(purchase, several) for purchase in one.purchases],
        "ROUNDS": [f"{unit}: {count} drains, mixed in between" for unit, count in one.rounds.items()],
        "OLD FLUID": [
            *(f"room for {_paper(waste.amount)} of {words.waste_text(waste.kind)}" for waste in one.waste),
            *(_pan_line(pan, several) for pan in one.pans),
        ],
        "TIME": [_clock(one.time), *(f"{TIMES[what]}: {_clock(span)}" for what, span in one.times.items())],
        "ASKED ON THE WAY": [
            (f"{lack.unit}: " if several else "") + words.label(lack.figure, words.FIGURES)
            for lack in one.lacking
        ],
    }
    lines = [", ".join(part for part in (one.title, one.vehicle) if part)]
    for heading, rows in blocks.items():
        told = [row for row in rows if row]
        lines += ["", heading, *(line for row in told for line in _wrapped(row))] if told else []
    return "\n".join([*lines, "", *textwrap.wrap(FOOTER, WIDTH)])


def _wrapped(row: str) -> list[str]:
    return textwrap.wrap(row, WIDTH, initial_indent="  ", subsequent_indent="    ", break_long_words=False)


WIDTH = 98
FOOTER = (
    "Times are estimates, amounts those of the sheet from least to most. "
    "The vehicle's own service data come first."
)


def _torques(one: Plan) -> Iterator[str]:
    if one.torques is not None:
        wrench = WRENCH.get(one.wrench, "the range of your wrench is not in the sheet")
        yield f"torque wrench for {_paper(one.torques)}: {wrench}"


def _part(part: Part, several: bool) -> str:
    where = ", ".join(name for name in (f"{part.plug} plug" if part.plug else "", part.text) if name)
    unit = f"{part.unit}: " if several else ""
    return f"{unit}{part.count} {_named(part.name, part.count)}" + (f" ({where})" if where else "")


def _fluid_line(fluid: Fluid, several: bool) -> str:
    kind = f" ({fluid.kind})" if fluid.kind else ""
    unit = f"{fluid.unit}: " if several else ""
    return f"{unit}{_paper(fluid.amount)} {words.label(fluid.what, FLUIDS)}{kind}"


def _purchase_line(one: Purchase, several: bool) -> str:
    stock = f", {one.stock} in stock" if one.stock is not None else ""
    units = f"{' and '.join(one.units)}: " if several else ""
    what = f"{words.label(one.what, FLUIDS)}, " if one.what != "fluid" else ""
    if not one.buy:
        return f"{units}{what}nothing{stock}"
    return f"{units}{what}{_shopping(one.buy)}{stock}; {_short(one.leftover)} left over"


def _shopping(bought: tuple[Bought, ...]) -> str:
    return " and ".join(f"{one.count} x {one.size}" for one in bought)


def _pan_line(pan: Pan, several: bool) -> str:
    unit = f"{pan.unit}: " if several else ""
    holds = f"pan of {pan.holds}" if pan.holds is not None else "pan"
    return f"{unit}{holds} for up to {_short(pan.most)}: {PANS[pan.verdict]}"


def _short(one: Measure) -> str:
    told = for_speech(one)
    return f"{told.value} {symbol_of(told.unit)}"


def _paper(span: Span) -> str:
    least, most = for_speech(span.least), for_speech(span.most)
    if least.unit != most.unit:
        return f"{_short(span.least)} to {_short(span.most)}"
    return _short(span.most) if least == most else f"{least.value} to {_short(span.most)}"


def _clock(span: Span) -> str:
    least, most = (f"{int(one.exact) // 60}:{int(one.exact) % 60:02}" for one in (span.least, span.most))
    return f"{least} h" if least == most else f"{least} to {most} h"


PLANNING: Mapping[str, Wording] = {"plan": plan}
