"""Making a vehicle sheet by questions: what is asked next, what an answer means, what is to be written.

The questions go vehicle, unit, its figures one by one, what only a keyboard can tell, versions of the unit,
the next unit. Every figure may be left out; it is asked in the job that needs it. The asking is a value;
`answer` gives the next one, the replies, and what is to be written before they are said.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from assistant.dialogue.reply import Heard, Reply
from assistant.dialogue.starting import place_of
from assistant.errors import WrongInput
from assistant.grammar.meaning import Meaning
from assistant.job.procedure import Procedure
from assistant.job.sheet import FIGURES, OF_TODAY, TEXTS
from assistant.units import Measure, choices, kind_of, read_measure, settled

ALWAYS = ("capacity", "drain-expected", "drain-least", "drain-most", "pan-holds", "run-minimum", "container")
"""Figures asked of every unit."""
DIFFERS = (
    "capacity", "drain-expected", "drain-least", "drain-most", "pan-holds", "run-minimum", "filter-holds",
    "drain-plug-torque", "filter-torque", "drain-washer", "filter",
)  # fmt: skip
"""What another version of a unit may have of its own: another pan, filter, plug or washer."""
COLOURS = "fluid-colours"
STICK = ("span", "span-length", "fluid-density", "workshop")
RECKONED_FROM: Mapping[str, tuple[str, ...]] = {
    "plan": ("fluid-density", "workshop"),
    "mix": ("coolant-share",),
    "overflow": ("overflow-too-much",),
    "hole": ("level-drop",),
    "hot": STICK,
    "cold": (*STICK, "cold-low", "cold-high"),
    "full": STICK,
}
"""Kind of step, or the mark a level is judged by -> figures the assistant reckons with there."""
OF_PART: Mapping[str, tuple[str, ...]] = {
    "fluid-class": ALWAYS,
    "drain-plug-tool": ("drain-plug-torque",),
    "drain-washer": ("drain-plug-torque",),
    "fill-washer": ("fill-plug-torque",),
    "overflow-washer": ("overflow-plug-torque",),
    "filter": ("filter-torque", "filter-holds"),
    "pan-gasket": ("pan-bolt-torque",),
}
"""Texts -> figures, one of which a unit has where it has that part."""
BY_VOICE = ("plate", COLOURS)
"""Texts that can be said; the others are typed."""
UNKNOWN = ("", "-", "?", "unknown", "skip")
"""Typed, these leave a question open."""

QUESTIONS: Mapping[str, Reply] = {
    "vehicle": Reply("sheet-vehicle"),
    "version-name": Reply("sheet-version-name"),
    "another": Reply("sheet-another"),
}
"""Questions that never vary, by where the asking stands."""


@dataclass(frozen=True, slots=True)
class Put:
    """Something to be written: a vehicle's name, a new unit or version, or a value of one of them."""

    what: str
    """vehicle, unit, variant, figure, text or colours."""
    unit: str = ""
    variant: str = ""
    key: str = ""
    text: str = ""
    measure: Measure | None = None
    again: bool = False
    """It takes the place of what was written before."""


@dataclass(frozen=True, slots=True)
class Asking:
    """Where the questions stand."""

    units: tuple[str, ...]
    """Units that services are for, as they are offered."""
    needs: Mapping[str, tuple[str, ...]]
    """Unit -> figures its services use."""
    at: str = "vehicle"
    """vehicle, unit, items, version, version-name, another or over."""
    unit: str = ""
    variant: str = ""
    taken: tuple[str, ...] = ()
    """Units that are in the sheet."""
    versions: int = 0
    todo: tuple[str, ...] = ()
    """Keys still to be asked, the first one now."""
    done: tuple[str, ...] = ()
    kept: frozenset[str] = frozenset()
    """Keys that were answered."""
    number: str = ""
    """A number that was said without its unit, or with one that leaves open which."""
    open_unit: str = ""
    said: tuple[str, ...] = ()
    """Units of measure that were used, the newest first."""
    typing: bool = False
    """Whether a keyboard was used: what cannot be said is asked only then."""


@dataclass(frozen=True, slots=True)
class Answered:
    """What became of an answer: the asking goes on, this is written, then that is said."""

    asking: Asking
    puts: tuple[Put, ...] = ()
    replies: tuple[Reply, ...] = ()


def used_by(procedures: Iterable[Procedure]) -> Mapping[str, tuple[str, ...]]:
    """Return which figures the services of each unit use, in the order of the sheet's catalogue."""
    found: dict[str, set[str]] = {}
    for procedure in procedures:
        for step in procedure.steps:
            unit = procedure.units.get(step.unit, "") or procedure.unit
            if not unit:
                continue
            places = [name for name in FIGURES if f"{{{name}}}" in step.say + step.full]
            reckoned = RECKONED_FROM.get(step.mark if step.kind == "check" else step.kind, ())
            found.setdefault(unit, set()).update((*step.figures, *step.adds, *places, *reckoned))
    return {
        unit: tuple(name for name in FIGURES if name in {*names, *ALWAYS} - OF_TODAY)
        for unit, names in found.items()
    }


def begin(units: Sequence[str], needs: Mapping[str, tuple[str, ...]]) -> Answered:
    """Return the first question."""
    asking = Asking(tuple(units), needs)
    return Answered(asking, replies=(Reply("sheet-begins"), *ask(asking)))


def ask(asking: Asking) -> tuple[Reply, ...]:
    """Return the question that is open."""
    if asking.open_unit or asking.number:
        return (Reply("sheet-which-unit", {"unit": asking.open_unit}),)
    if asking.at == "unit":
        return (Reply("menu", {"what": "unit", "options": _offered(asking)}),)
    if asking.at == "items":
        return (Reply("sheet-ask", {"name": asking.todo[0], "typed": _typed(asking.todo[0])}),)
    return (QUESTIONS.get(asking.at) or Reply("sheet-version", {"unit": asking.unit}),)


def _typed(key: str) -> bool:
    return key in TEXTS and key not in BY_VOICE


def _offered(asking: Asking) -> tuple[str, ...]:
    return tuple(one for one in asking.units if one.casefold() not in asking.taken)


def answer(asking: Asking, heard: Heard) -> Answered:
    """Return what an utterance or a typed line does."""
    asking = replace(asking, typing=asking.typing or bool(heard.line))
    meaning = heard.meaning
    kind = meaning.kind if isinstance(meaning, Meaning) else ""
    if kind in ("say-again", "where", "list-words"):
        return Answered(asking, replies=ask(asking))
    if kind in ("finish", "park") or (asking.at == "another" and kind == "no"):
        over = replace(asking, at="over")
        return Answered(over, replies=(Reply("sheet-over"),))
    found = _AT[asking.at](asking, heard, kind)
    if found is None:
        if not heard.line and kind == "" and getattr(meaning, "reason", "") in ("empty", "talk"):
            return Answered(asking)
        return Answered(asking, replies=(Reply("sheet-anew"), *ask(asking)))
    return found


def _on(asking: Asking, *replies: Reply, puts: tuple[Put, ...] = ()) -> Answered:
    """Go on: what was said of the answer, then the next question."""
    return Answered(asking, puts, (*replies, *ask(asking)))


def _name_of(heard: Heard, kind: str) -> str:
    """Return a name: as it was typed, else a code spelled by the alphabet."""
    meaning = heard.meaning
    if isinstance(meaning, Meaning) and kind in ("plate", "initials"):
        return meaning.slot("code") or meaning.slot("who")
    return heard.line if heard.line.isprintable() else ""


def _vehicle(asking: Asking, heard: Heard, kind: str) -> Answered | None:
    name = _name_of(heard, kind)
    if not name or name.casefold() in UNKNOWN:
        return None
    put = Put("vehicle", text=name)
    return _on(replace(asking, at="unit"), Reply("sheet-name", {"name": name}), puts=(put,))


def _unit(asking: Asking, heard: Heard, kind: str) -> Answered | None:
    """Choose a unit by its number or name; a typed name of another unit is taken as it is."""
    offered, meaning = _offered(asking), heard.meaning
    name = ""
    if isinstance(meaning, Meaning) and kind in ("choice", "number") and meaning.value is not None:
        place = place_of(meaning, len(offered))
        name = "" if place is None else offered[place]
    elif heard.line and heard.line.casefold() not in UNKNOWN and heard.line.isprintable():
        name = next((one for one in asking.units if one.casefold() == heard.line.casefold()), heard.line)
    elif isinstance(meaning, Meaning) and kind == "switch-unit":
        name = next((one for one in offered if one.replace(" ", "-").endswith(meaning.slot("to"))), "")
    if not name or name.casefold() in asking.taken:
        return None
    after = _with_items(replace(asking, unit=name, variant="", versions=0), needs_of(asking, name))
    taken = (*asking.taken, name.casefold())
    return _on(
        replace(after, taken=taken), Reply("sheet-name", {"name": name}), puts=(Put("unit", name, text=name),)
    )


def needs_of(asking: Asking, unit: str) -> tuple[str, ...]:
    """Return what is asked of a unit: its services' figures, what can be said, what must be typed."""
    figures = asking.needs.get(unit, tuple(name for name in FIGURES if name in ALWAYS))
    typed = (name for name, beside in OF_PART.items() if any(one in figures for one in beside))
    return (*figures, *BY_VOICE, *typed)


def _with_items(asking: Asking, keys: Sequence[str]) -> Asking:
    return _next(
        replace(asking, at="items", todo=tuple(keys), done=(), kept=frozenset(), number="", open_unit="")
    )


def _next(asking: Asking) -> Asking:
    """Return the asking at its next question; what must be typed is passed over without a keyboard."""
    todo = asking.todo
    while todo and _typed(todo[0]) and not asking.typing:
        todo = todo[1:]
    return replace(asking, todo=todo) if todo else replace(asking, todo=(), at="version")


# ---------------------------------------------------------------- figures and texts


def _items(asking: Asking, heard: Heard, kind: str) -> Answered | None:
    key = asking.todo[0]
    if kind in ("done", "next") and not (asking.number or asking.open_unit):
        return _on(replace(asking, todo=(), at="version"))
    if kind in ("skip", "no") or (heard.line and heard.line.strip().casefold() in UNKNOWN):
        return _on(_past(replace(asking, number="", open_unit="")), Reply("sheet-left-open", {"name": key}))
    if kind in ("back", "disregard"):
        return _back(asking)
    if key in FIGURES:
        return _figure(asking, heard)
    return _text(asking, heard, kind, key)


def _past(asking: Asking, *, kept: bool = False) -> Asking:
    key = asking.todo[0]
    known = asking.kept | {key} if kept else asking.kept
    return _next(replace(asking, todo=asking.todo[1:], done=(*asking.done, key), kept=known))


def _back(asking: Asking) -> Answered:
    """Ask the question before once more."""
    if asking.number or asking.open_unit:
        return _on(replace(asking, number="", open_unit=""))
    if not asking.done:
        return _on(asking, Reply("sheet-first"))
    back = replace(asking, todo=(asking.done[-1], *asking.todo), done=asking.done[:-1])
    return _on(back)


def _figure(asking: Asking, heard: Heard) -> Answered | None:
    """Take a figure: a number with its unit, or the unit of a number that was given before."""
    key, meaning = asking.todo[0], heard.meaning
    try:
        measure = read_measure(heard.line) if heard.line[:1].isdigit() else None
    except WrongInput:
        measure = None
    if measure is not None and measure.unit != "one":
        return _keep(asking, key, measure)
    if not isinstance(meaning, Meaning):
        return None
    if asking.number or asking.open_unit:
        unit = _unit_said(asking, meaning)
        if unit is not None:
            return _keep(asking, key, Measure(asking.number, unit))
    if meaning.value is None:
        return None
    if not heard.sure:
        return _on(asking, Reply("figure-anew", {"figure": key}))
    if heard.twin is not None and not heard.typed:
        return _on(asking, Reply("figure-digits", {"figure": key}))
    name = meaning.slot("name") if meaning.kind == "figure" else key
    if name not in FIGURES:  # two figures in one sentence, a range or a wall: neither is the one asked for
        return None
    return _measured(asking, name, meaning.value, meaning.unit)


def _measured(asking: Asking, key: str, value: str, unit: str | None) -> Answered:
    """Keep a number with its unit; one without is in the unit of its kind that was used last."""
    if unit is None or unit == "degree":
        unit = next((one for one in asking.said if kind_of(one) == FIGURES[key]), unit)
    elif not settled(unit):
        unit = next((one for one in asking.said if one in choices(unit or "")), unit)
    if unit is None or not settled(unit):
        return _on(replace(asking, number=value, open_unit=unit or ""))
    return _keep(asking, key, Measure(value, unit))


def _unit_said(asking: Asking, meaning: Meaning) -> str | None:
    """Return the unit an answer names for the number that waits, None where it names none that fits."""
    if meaning.kind == "unit-tail" and meaning.unit is not None and settled(meaning.unit):
        return meaning.unit
    if meaning.kind == "which-system" and asking.open_unit:
        system = f"{meaning.slot('system')}_{asking.open_unit}"
        return system if system in choices(asking.open_unit) else None
    return None


def _keep(asking: Asking, key: str, measure: Measure) -> Answered:
    asking = replace(asking, number="", open_unit="")
    wrong = kind_of(measure.unit) != FIGURES[key]
    if wrong or (measure.exact <= 0 and FIGURES[key] != "temperature"):
        return _on(asking, Reply("sheet-other-kind", {"name": key}))
    put = Put("figure", asking.unit, asking.variant, key, measure=measure, again=key in asking.kept)
    said = (measure.unit, *(one for one in asking.said if one != measure.unit))
    after = replace(asking, said=said)
    if key == asking.todo[0]:
        after = _past(after, kept=True)
    else:  # another figure than was asked, by its name
        rest = tuple(one for one in after.todo if one != key)
        after = replace(after, todo=rest, done=(*after.done, key), kept=after.kept | {key})
    return _on(after, Reply("figure-kept", {"figure": key, "measure": measure}), puts=(put,))


def _text(asking: Asking, heard: Heard, kind: str, key: str) -> Answered | None:
    """Take a colour or a code as said, any other text as typed."""
    meaning, again = heard.meaning, key in asking.kept
    if key == COLOURS:
        colour = meaning.slot("colour") if isinstance(meaning, Meaning) and kind == "look" else ""
        if not colour:
            return None
        put = Put("colours", asking.unit, asking.variant, key, text=colour, again=again)
        return _on(_past(asking, kept=True), Reply("sheet-text", {"name": key, "text": colour}), puts=(put,))
    if key == "plate":
        typed = heard.line.upper().replace(" ", "")
        text = meaning.slot("code") if isinstance(meaning, Meaning) and kind == "plate" else typed
        if not (text.isascii() and text.isalnum() and 2 <= len(text) <= 6):
            return None
    else:
        text = "" if kind in ("yes", "no") else heard.line
    if not text or not text.isprintable():
        return None
    put = Put("text", asking.unit, asking.variant, key, text=text, again=again)
    return _on(_past(asking, kept=True), Reply("sheet-text", {"name": key, "text": text}), puts=(put,))


# ---------------------------------------------------------------- versions and further units


def _version(asking: Asking, heard: Heard, kind: str) -> Answered | None:
    if kind == "no" or (heard.line and heard.line.casefold() in UNKNOWN):
        return _on(replace(asking, at="another"))
    if kind != "yes":
        return None
    if asking.typing:
        return _on(replace(asking, at="version-name"))
    return _new_version(asking, f"version {asking.versions + 2}")


def _version_name(asking: Asking, heard: Heard, kind: str) -> Answered | None:
    name = _name_of(heard, kind)
    return _new_version(asking, name) if name else None


def _new_version(asking: Asking, name: str) -> Answered:
    put = Put("variant", asking.unit, name, text=name)
    after = _with_items(replace(asking, variant=name, versions=asking.versions + 1), DIFFERS)
    return _on(after, Reply("sheet-name", {"name": name}), puts=(put,))


def _another(asking: Asking, heard: Heard, kind: str) -> Answered | None:
    return _on(replace(asking, at="unit")) if kind == "yes" else None


_AT: Mapping[str, Callable[[Asking, Heard, str], Answered | None]] = {
    "vehicle": _vehicle,
    "unit": _unit,
    "items": _items,
    "version": _version,
    "version-name": _version_name,
    "another": _another,
}
