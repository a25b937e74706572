"""Questions about the fluid: how thick, how much cold, how far the drum goes, how much concentrate."""

from __future__ import annotations

from collections.abc import Callable

from assistant.dialogue import warmth
from assistant.dialogue.asking import (
    drained,
    drained_or_expected,
    known,
    needed,
    sides,
    thickness,
    volume_said,
    warmth_said,
)
from assistant.dialogue.keeping import keep
from assistant.dialogue.reply import Turn
from assistant.errors import WrongInput
from assistant.grammar.meaning import Meaning
from assistant.job import balance
from assistant.reckoning import coolant, dilution, expansion, viscosity, warming
from assistant.reckoning.figure import Figure
from assistant.units import Measure, for_speech

WORKSHOP = Measure("20", "celsius")
"""Where the sheet names none; it is said with the answer."""


def _share(meaning: Meaning) -> Measure:
    assert meaning.value is not None, "the sentence holds a share"
    assert meaning.unit is not None, "and percent"
    return Measure(meaning.value, meaning.unit)


# ---------------------------------------------------------------- thick and thin


def _viscosity(turn: Turn, meaning: Meaning) -> None:
    at = warmth_said(turn, meaning)
    figure = thickness(turn, at) if at is not None else None
    if at is not None and figure is not None:
        outside = "limited-range" in figure.notes
        turn.say("viscosity-at", viscosity=keep(turn, figure), at=at, outside=outside)


def _index(turn: Turn, meaning: Meaning) -> None:
    found = needed(turn, "fluid-viscosity-40", "fluid-viscosity")
    if found is not None:
        figure = viscosity.index(at40=found[0], at100=found[1])
        turn.say("viscosity-index", index=keep(turn, figure))


def _blend(turn: Turn, meaning: Meaning) -> None:
    """Thickness at 100 °C of what is in after one change: old and new fluid by their shares."""
    out = drained_or_expected(turn)
    found = needed(turn, "capacity", "fluid-viscosity", "old-viscosity") if out is not None else None
    if out is None or found is None:
        return
    capacity, new, old = found
    left = dilution.old_left(capacity=capacity, drains=[out])
    figure = viscosity.blend(parts=[(old, left.value), (new, left.part("new"))])
    turn.say("blend", viscosity=keep(turn, figure), share=left.spoken)


# ---------------------------------------------------------------- warm and cold


def _cold_volume(turn: Turn, meaning: Meaning) -> None:
    volume = volume_said(turn, meaning.slot("first"), meaning.slot("first-unit"))
    at = warmth_said(turn, meaning) if volume is not None else None
    if volume is None or at is None:
        return
    to = known(turn, "workshop") or WORKSHOP
    fluid = meaning.slot("fluid", "oil")
    if fluid == "oil":
        density = turn.state.sheet.figure("fluid-density")
        figure = expansion.oil(volume=volume, at=at, to=to, density15=density)
    else:
        figure = {"coolant": expansion.coolant, "water": expansion.water}[fluid](volume=volume, at=at, to=to)
    turn.say("volume-cold", fluid=fluid, volume=volume, at=at, cold=keep(turn, figure), to=for_speech(to))


def _factor(turn: Turn, meaning: Meaning) -> None:
    at = warmth_said(turn, meaning)
    if at is not None:
        figure = expansion.factor(at=at, density15=turn.state.sheet.figure("fluid-density"))
        keep(turn, figure)
        turn.say("oil-factor", factor=Measure(f"{float(figure.value.exact):.4f}", "one"), at=at)


def _after(turn: Turn, meaning: Meaning) -> None:
    assert meaning.value is not None, "the sentence holds a time"
    assert meaning.unit is not None, "and its unit"
    wait = Measure(meaning.value, meaning.unit)
    trend = warmth.course(turn)
    if trend is not None:
        figure = warming.temperature_after(wait=wait, readings=trend, surroundings=warmth.around(turn, trend))
        rough = "straight-line" in figure.notes or "extrapolated" in figure.notes
        turn.say("warm-after", temperature=keep(turn, figure), wait=wait, rough=rough)


def _settles(turn: Turn, meaning: Meaning) -> None:
    trend = warmth.course(turn)
    if trend is None:
        return
    if len(trend) < 3:
        turn.say("needs-third-temperature")
        return
    try:
        figure = warming.surroundings_from(readings=trend)
    except WrongInput:
        turn.say("needs-third-temperature")
        return
    sure = "three-points-ill-conditioned" not in figure.notes
    if sure:
        keep(turn, figure)
    turn.say("settles-at", temperature=figure.spoken, sure=sure)


# ---------------------------------------------------------------- exchange and drum


def _exchange_leaves(turn: Turn, meaning: Meaning) -> None:
    said = meaning.value is not None and meaning.unit is not None
    volume = volume_said(turn, str(meaning.value), str(meaning.unit)) if said else None
    if said and volume is None:
        return
    found = needed(turn, "capacity") if said else needed(turn, "capacity", "stock")
    if found is None:
        return
    volume = volume or found[1]
    figure = dilution.line_exchange(capacity=found[0], volume=volume)
    plug = for_speech(figure.part("plug-flow"))
    turn.say("exchange-leaves", volume=volume, mixed=keep(turn, figure), plug=plug)


def _exchange_takes(turn: Turn, meaning: Meaning) -> None:
    found = needed(turn, "capacity")
    if found is None:
        return
    ((side, share),) = sides(meaning).items()
    old = share if side == "old" else Measure(str(100 - share.exact), "percent")
    figure = dilution.exchange_volume(capacity=found[0], old=old)
    turn.say("exchange-takes", volume=keep(turn, figure), share=share, of=side)


def _drum(turn: Turn, meaning: Meaning) -> None:
    out = drained_or_expected(turn)
    found = needed(turn, "capacity", "stock") if out is not None else None
    if out is None or found is None:
        return
    figure = dilution.drum(stock=found[1], capacity=found[0], drain=out, **sides(meaning))
    parts = dict(figure.also)
    turn.say(
        "drum",
        count=int(keep(turn, figure).exact),
        stock=found[1],
        old=for_speech(parts["old-left"]),
        over=for_speech(parts["over"]),
        wanted=int(parts["wanted-cycles"].exact) if "wanted-cycles" in parts else None,
        short=for_speech(parts["short"]) if "short" in parts else None,
    )


# ---------------------------------------------------------------- coolant


def _fresh(turn: Turn, meaning: Meaning) -> None:
    amount = volume_said(turn, str(meaning.value), str(meaning.unit))
    if amount is None:
        return
    said = meaning.slot("first")
    share = Measure(said, "percent") if said else known(turn, "coolant-share")
    if share is None:
        turn.say("needs-figure", figure="coolant-share")
        return
    _say_mixture(turn, coolant.fresh(amount=amount, target=share), share)


def _by_weight(turn: Turn, meaning: Meaning) -> None:
    found = needed(turn, "capacity", "density-ratio")
    if found is not None:
        share = _share(meaning)
        _say_mixture(turn, coolant.by_weight(amount=found[0], target=share, density_ratio=found[1]), share)


def _say_mixture(turn: Turn, figure: Figure, share: Measure) -> None:
    turn.say("mixture", share=share, concentrate=keep(turn, figure), water=for_speech(figure.part("water")))


def _exchange_coolant(turn: Turn, meaning: Meaning) -> None:
    found = needed(turn, "capacity", "coolant-left")
    if found is None:
        return
    share = _share(meaning)
    stronger = share.exact > found[1].exact
    supply = None if stronger else Measure("0", "percent")
    figure = coolant.exchange(amount=found[0], now=found[1], target=share, supply=supply)
    turn.say("coolant-exchange", amount=keep(turn, figure), share=share, water=not stronger)


def _air(turn: Turn, meaning: Meaning) -> None:
    out, inside = drained(turn), balance.poured(turn.state)
    if out is None or inside is None:
        turn.say("nothing-measured")
        return
    verdict = coolant.taken(drained=out, poured=inside)
    trapped = verdict.verdict == "air-trapped"
    turn.say("coolant-taken", trapped=trapped, out=for_speech(out), back=for_speech(inside))


ASKED: dict[str, Callable[[Turn, Meaning], None]] = {
    "viscosity": _viscosity,
    "viscosity-index": _index,
    "blend": _blend,
    "oil-volume": _cold_volume,
    "oil-factor": _factor,
    "temperature-after": _after,
    "surroundings": _settles,
    "line-exchange": _exchange_leaves,
    "exchange-volume": _exchange_takes,
    "drum": _drum,
    "fresh-coolant": _fresh,
    "by-weight": _by_weight,
    "coolant-exchange": _exchange_coolant,
    "coolant-taken": _air,
}
"""Name of a computation -> what answers the question for it."""
