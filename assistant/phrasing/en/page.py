"""English words of the glance page: its labels, what is asked, what was heard, and the few words to touch.

Numbers are shown as numerals with the symbol of their unit: the page is read, not spoken.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from assistant.grammar.meaning import Meaning
from assistant.job.balance import plugs_open
from assistant.job.reading import Reading
from assistant.job.sheet import Sheet
from assistant.job.state import State
from assistant.phrasing.en.numbers import number_words
from assistant.phrasing.en.words import FIGURES, REASONS, sentence, timer
from assistant.units import Measure, for_speech, symbol_of

LABELS: Mapping[str, str] = {
    "title": "Workshop sheet",
    "step": "Step",
    "of": "of",
    "out": "Out",
    "in": "In",
    "to-go": "Still to pour",
    "too-much": "Over by",
    "expected": "usual",
    "advised": "to pour in all",
    "nothing": "none yet",
    "timers": "Timers",
    "left": "to run",
    "over": "over",
    "held": "held",
    "heard": "Understood",
    "said": "Spoken",
    "readings": "Taken down",
    "cautions": "Mind",
    "fits": "Fits now",
    "touch": "Or touch",
    "sound": "Ear",
    "voice-level": "sound",
    "noise-level": "noise",
    "tool": "Have ready",
    "not-live": "Not live. What stands here is old.",
    "silent-for": "Last word from the workshop computer:",
    "unwritten": "Not live. The program that writes this record has ended.",
    "lost": "Connection lost, looking for it",
    "ago": "ago",
    "unsaved": "NOT SAVED. Write readings down on paper.",
    "moved-on": "Not taken: the job had moved on. Look, then touch again.",
    "too-soon": "One word at a time. Touch again.",
    "not-taken": "Not taken. Say it instead.",
    "taken": "Passed on:",
    "shade": "Day or dark",
    "history": "Service history",
    "waiting": "No job in this journal yet.",
    "stop": "EMERGENCY CALLED. Timers are held.",
    "standing-by": "Standing by: quiet until you are back.",
    "more": "earlier ones not shown",
    "units": "Units of this job",
    "at-work": "now",
    "unit-left": "left as it was",
    "round": "Round",
    "in-all": "in all",
}

PLUGS: Mapping[str, str] = {"closed": "without its torque"}
"""How a plug is that is not done with, where another word tells it better."""

TOUCH: Mapping[str, tuple[str, str]] = {
    "back": ("Back", "step back"),
    "next": ("Next", "next step"),
    "say-again": ("Say again", "say again"),
    "stand-by": ("Stand by", "stand by"),
    "im-back": ("I am back", "i am back"),
    "all-clear": ("All clear", "all clear"),
    "no": ("No", "negative"),
    "yes": ("Yes", "affirmative"),
}
"""What can be touched: kind of meaning -> (label, the sentence it stands for)."""

PAIRING: Mapping[str, str] = {
    "title": "Pair this screen",
    "ask": "Six digits, as the workshop computer shows and speaks them",
    "go": "Pair",
    "wrong": "Not the code. Look again.",
    "later": "Too many wrong codes. Wait a minute.",
}

SIGNALS: Mapping[str, str] = {"warning": "WARNING", "caution": "CAUTION", "notice": "NOTICE"}
"""Signal words of ANSI Z535.4: warning and caution are of people, notice is of equipment alone."""
RISKS: Mapping[str, str] = {"person": "People", "equipment": "Equipment"}

ENDS: Mapping[str, str] = {
    "complete": "Job complete.",
    "stopped": "Job stopped before its end.",
    "handed-back": "Job handed back, not complete.",
}

MARKS: Mapping[str, str] = {
    "standing": "stands",
    "heard": "read back",
    "doubtful": "doubtful",
    "withdrawn": "taken back",
}

KIND_NAMES: Mapping[str, str] = {
    "drained": "out",
    "poured": "in",
    "can-left": "left in the can",
    "spilled": "spilled",
    "temperature": "temperature",
    "temperature-band": "warmth",
    "level": "level",
    "torque": "torque",
    "drip": "drip interval",
    "drip-state": "drip",
    "look": "look",
    "magnet": "on the magnet",
    "washer": "washer",
    "distance": "distance driven",
    "plate": "build plate",
}
"""What a reading is of, before its figure."""

ASKED: Mapping[str, str] = {
    "confirm": "{reading}. Is that right?",
    "implausible": "{reading}. Can that be so?",
    "which-system": "{reading}. American or imperial?",
    "which-unit": "{reading}. In which unit?",
    "which-form": "{reading}. One more, in total, or instead?",
    "which-plug": "Drain plug or fill plug?",
    "advice": "Pour {advice} in all?",
    "finish": "Close the job?",
    "timer": "Is the timer still right?",
    "skip": "Leave this step out, and why?",
    "note": "Speak the note now.",
    "which-measure": "American or imperial?",
    "figure": "How much is {figure}?",
}

SLOTS: Mapping[str, str] = {
    "bare": "", "part": "", "open": "how much of it is open", "another": "one more", "total": "in total",
    "old": "", "yes": "", "no": "", "new": "new fluid",
    "off-low": "below the stick", "off-high": "above the marks",
}  # fmt: skip
"""Values of slots that read better in other words, or are left out."""
SLOT_NAMES: Mapping[str, str] = {"can": "can {}", "mark": "{} mark", "plug": "{} plug"}
"""Slots whose value needs their name beside it."""

NO_MATCH: Mapping[str, str] = {
    "noisy": "too noisy",
    "quiet": "too quiet",
    "loud": "too loud",
    "torn": "cut off",
}
REFUSED = "not understood"
DONE = "step done"
LEFT_OUT = "left out"
NOTE = "note kept"
_PLACE = re.compile(r"\{([a-z-]+)\}")


def unit_marks(state: State, *, here: bool) -> str:
    """Return what is special about the unit the state is seen from: at work, left, a plug open."""
    if state.unit_id in state.left:
        marks = [LABELS["unit-left"]]
    else:
        marks = [LABELS["at-work"]] if here and not state.ended else []
    for name in plugs_open(state):
        marks.append(f"{name.replace('-', ' ')} {PLUGS.get(state.fact(name), state.fact(name))}")
    return ", ".join(marks)


def quoted(sentence_said: str) -> str:
    """Return a sentence as it is written: the grammar has no capitals."""
    return re.sub(r"\bi\b", "I", sentence_said)


def pairing_sentence(code: str) -> str:
    """Return the pairing code as it is spoken, digit by digit."""
    return f"The pairing code is {' '.join(number_words(digit) for digit in code)}."


def shown(measure: Measure | None) -> tuple[str, str]:
    """Return number and unit symbol of a measure as the page shows it, rounded as it would be said."""
    if measure is None:
        return "", ""
    said = for_speech(measure)
    return said.value, symbol_of(said.unit)


def together(measure: Measure | None) -> str:
    """Return number and unit on one line."""
    return " ".join(part for part in shown(measure) if part)


def reading_text(one: Reading) -> str:
    """Return what was understood: the figure with its unit as it was said, and what it is of."""
    figure = " ".join(part for part in (one.value or "", symbol_of(one.unit) if one.unit else "") if part)
    return ", ".join(part for part in (figure, reading_slots(one.slots)) if part)


def reading_slots(slots: Mapping[str, str]) -> str:
    """Return what was told of a reading beside its figure."""
    told = (_slot_text(name, value) for name, value in sorted(slots.items(), key=_slot_order))
    return ", ".join(part for part in told if part)


def understood_text(meaning: Meaning) -> str:
    """Return what a sentence was taken for."""
    figure = " ".join(
        part for part in (meaning.value or "", symbol_of(meaning.unit) if meaning.unit else "") if part
    )
    slots = (_slot_text(name, value) for name, value in sorted(meaning.slots, key=_slot_order))
    told = ", ".join(part for part in (figure, *slots) if part)
    kind = kind_text(meaning.kind)
    return f"{kind}: {told}" if told else kind


def _slot_text(name: str, value: str) -> str:
    """Return one slot of a reading."""
    told = SLOTS.get(value, value.replace("-", " "))
    return SLOT_NAMES.get(name, "{}").format(told) if told else ""


def _slot_order(slot: tuple[str, str]) -> tuple[bool, str]:
    return slot[0] == "mark", slot[0]


def kind_text(kind: str) -> str:
    """Return what a reading is of."""
    return KIND_NAMES.get(kind, kind.replace("-", " "))


def title_text(title: str) -> str:
    """Return the title of a step, a capital first."""
    return sentence(title).rstrip(".")


def timer_text(name: str) -> str:
    """Return what a timer is called."""
    return timer(name)


def skipped_text(reason: str) -> str:
    """Return that a step was left out, and why."""
    return f"{LEFT_OUT}, {REASONS.get(reason, reason)}"


def asked_text(state: State) -> str:
    """Return what the assistant waits for, empty where it is only the step itself."""
    question = state.question
    if question is None:
        return ""
    if question.name == "gate":
        return state.procedure.gates.get(state.procedure.step(question.about).gate, "")
    reading = state.readings.get(question.reading) if question.reading is not None else None
    advice = state.last_advice("refill")
    name = question.about.split("|")[0]
    return ASKED[question.name].format(
        reading=sentence(f"{kind_text(reading.kind)} {reading_text(reading)}").rstrip(".")
        if reading
        else "This",
        advice=" ".join((advice.spoken.value, symbol_of(advice.spoken.unit))) if advice else "it",
        figure=FIGURES.get(name, name),
    )


def wanted_figure(text: str, sheet: Sheet) -> str:
    """Return the first figure of the sheet that a text asks to be kept to, empty where it has none."""
    found = (sheet.figure(name) for name in _PLACE.findall(text))
    return next((together(one) for one in found if one is not None), "")


def filled_text(text: str, sheet: Sheet) -> str:
    """Return a text of the procedure with its `{places}` filled in numerals.

    A sentence whose place the sheet cannot fill is left out.
    """

    def place(found: re.Match[str]) -> str:
        figure = sheet.figure(found[1])
        if figure is not None:
            return together(figure)
        known = {
            "vehicle": sheet.vehicle,
            "unit": sheet.unit,
            "fluid-colours": " or ".join(sheet.fluid_colours),
        }
        return known.get(found[1]) or sheet.texts.get(found[1]) or found[0]

    told = [_PLACE.sub(place, one) for one in re.split(r"(?<=[.?!])\s+", text.strip())]
    return " ".join(sentence(one) for one in told if one and not _PLACE.search(one))
