"""What the page shows of a job at one moment: plain data made from its state and its last events.

Laid out from the balance outwards: what came out and what went in, each with the readings it is made of,
on one scale. Every picture is whole, so a browser that missed some needs only the newest.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from assistant.dialogue.expectation import expected_kinds
from assistant.display.page import amounts
from assistant.display.page.amounts import Picture, row_of, side_of, status_of
from assistant.display.page.signs import sign_of
from assistant.job import balance, commands, timers
from assistant.job import events as e
from assistant.job.instant import Instant
from assistant.job.state import State
from assistant.phrasing import examples
from assistant.phrasing.en import page as words

MOST_HEARD, MOST_READINGS, MOST_FITS = 2, 4, 5
TAIL = 40
"""How many of the last events a picture looks at."""


@dataclass(frozen=True, slots=True)
class Live:
    """What only a running job can tell beside its journal."""

    words: str = ""
    """The sentence heard last."""
    understood: str = ""
    """What it was taken for; empty where it was not understood."""
    said: tuple[str, ...] = ()
    """What the assistant spoke last."""
    unsaved: str = ""
    """Why the newest events are not saved, empty when all are."""


def picture(
    state: State, tail: Sequence[e.Event], now: Instant, live: Live | None = None, touch: bool = False
) -> Picture:
    """Return all the page shows; `tail` are the newest events, `touch` whether words can be touched."""
    step = state.step if state.step_id else None
    return {
        "job": state.job,
        "title": state.procedure.title,
        "vehicle": ", ".join(part for part in (state.sheet.vehicle, state.sheet.unit, state.who) if part),
        "place": place_of(state),
        "step": _step(state) if step else None,
        "asked": "" if _quiet(state) else words.asked_text(state) or _awaited(state),
        "out": amounts.side(state, "out", balance.drained(state)),
        "in": amounts.side(state, "in", balance.poured(state)),
        "balance": amounts.scale(state),
        "units": amounts.units(state),
        "round": amounts.repeated(state),
        "timers": _timers(state, now),
        "heard": _heard(state, tail, live),
        "said": list(live.said) if live else None,
        "readings": _readings(state),
        "cautions": _cautions(state),
        "fits": _fits(state),
        "touch": _touch(state) if touch else [],
        "quiet": _quiet(state),
        "ended": words.ENDS.get(state.ended, state.ended),
        "unsaved": bool(live and live.unsaved),
    }


def _quiet(state: State) -> str:
    """Return why the assistant is silent, empty when it is not."""
    return "stop" if state.frozen is not None else "standing-by" if state.standing_by else ""


def place_of(state: State) -> str:
    """Return a name of where the job stands: a word touched for one place is not taken at another."""
    question = state.question
    asked = f"{question.name}:{question.reading}:{question.about}" if question else ""
    quiet = "held" if state.frozen is not None or state.standing_by else ""
    return "/".join((state.job, state.step_id, asked, quiet, state.ended))


def _step(state: State) -> Picture:
    step, procedure = state.step, state.procedure
    main = [one for one in procedure.steps if not one.aside]
    return {
        "id": step.id,
        "number": procedure.number(step.id),
        "of": len(main),
        "title": words.title_text(step.title or step.id),
        "text": words.filled_text(step.say, state.sheet),
        "figure": words.wanted_figure(step.say, state.sheet),
        "tool": words.filled_text(step.tool, state.sheet).rstrip("."),
        "aside": step.aside,
    }


def _awaited(state: State) -> str:
    """Return the question of the reading the step waits for."""
    if not state.step_id:
        return ""
    for kind in commands.missing(state, state.step):
        awaited = state.step.awaited(kind)
        return words.filled_text(awaited.ask, state.sheet) if awaited is not None else ""
    return ""


def _timers(state: State, now: Instant) -> list[Picture]:
    """Return the timers that count: `due_up_ms` is on the since-boot clock of the computer that serves."""
    rows = []
    for one in state.timers.values():
        if state.ended or one.stopped or (one.said and one.key not in _newest(state)):
            continue
        left = timers.remaining(one, now).ms
        held = state.frozen is not None
        frozen = timers.remaining(one, state.frozen).ms if state.frozen is not None else 0
        over = one.due or one.said or (left == 0 and not held)
        rows.append(
            {
                "name": " ".join(
                    part for part in (state.unit_name(one.of), words.timer_text(one.name)) if part
                ),
                "whole_ms": one.ms,
                "due_up_ms": now.up_ms + left,
                "held_ms": frozen,
                "state": "over" if over else "held" if held else "runs",
            }
        )
    return rows


def _newest(state: State) -> tuple[str, ...]:
    """Return the timer that ended last, while the job is still at what it was for."""
    ended = [one for one in state.timers.values() if one.said and not one.stopped]
    plan = state.step.timer if state.step_id else None
    return tuple(
        one.key
        for one in ended
        if plan is not None and plan.name == one.name and one.of in ("", state.unit_id)
    )


def _heard(state: State, tail: Sequence[e.Event], live: Live | None) -> list[Picture]:
    """Return what was heard and how it was understood, newest first."""
    rows: list[Picture] = []
    for one in reversed(tail):
        row = _heard_row(state, one)
        if row is not None:
            rows.append({"at": one.at.utc_ms, **row})
    if live is not None and live.words and (not rows or rows[0]["words"] != live.words):
        text = live.understood or words.REFUSED
        rows.insert(
            0,
            {"at": 0, "words": live.words, "text": text, "status": "live" if live.understood else "refused"},
        )
    return rows[:MOST_HEARD]


def _heard_row(state: State, one: e.Event) -> Picture | None:
    if isinstance(one, e.ReadingHeard):
        reading = state.readings[one.reading]
        text = f"{words.kind_text(reading.kind)}: {words.reading_text(reading)}"
        status = status_of(reading)
        return {"words": one.words, "text": text, "status": status, "mark": words.MARKS[status]}
    if isinstance(one, e.Refused):
        why = words.NO_MATCH.get(one.reason, words.REFUSED)
        return {"words": one.words, "text": why, "status": "refused", "mark": ""}
    if isinstance(one, e.StepSkipped):
        return {"words": "", "text": words.skipped_text(one.reason), "status": "standing", "mark": ""}
    if isinstance(one, e.NoteTaken):
        return {"words": one.words, "text": words.NOTE, "status": "standing", "mark": ""}
    return None


def _readings(state: State) -> list[Picture]:
    """Return the newest readings of this unit that are no amounts of the balance."""
    rows = [
        one
        for one in state.readings.values()
        if not side_of(one) and not one.withdrawn and one.of in ("", state.unit_id)
    ]
    return [row_of(one) for one in rows[: -MOST_READINGS - 1 : -1]]


def _cautions(state: State) -> list[Picture]:
    if not state.step_id:
        return []
    rows = []
    for name in state.step.cautions:
        signal, risk = sign_of(state.procedure, name)
        text = state.procedure.cautions.get(name, "")
        rows.append(
            {
                "text": text,
                "signal": signal,
                "word": words.SIGNALS[signal],
                "risk": risk,
                "at_risk": words.RISKS[risk],
            }
        )
    return sorted(rows, key=lambda row: list(words.SIGNALS).index(row["signal"]))


def _fits(state: State) -> list[str]:
    """Return sentences that fit now, the most wanted first."""
    if state.ended:
        return []
    language = state.procedure.language
    found = [
        words.quoted(sentences[0])
        for kind in expected_kinds(state)
        if (sentences := examples(kind, language))
    ]
    return list(dict.fromkeys(found))[:MOST_FITS]


def _touch(state: State) -> list[Picture]:
    """Return the words that can be touched now, each with whether it is one that fits."""
    if state.ended:
        return []
    if state.frozen is not None:
        names: tuple[str, ...] = ("all-clear",)
    elif state.standing_by:
        names = ("im-back",)
    else:
        names = ("back", "next", "say-again", "stand-by", "no", "yes")
    wanted = expected_kinds(state)
    asked = state.question is not None
    return [
        {
            "word": name,
            "label": words.TOUCH[name][0],
            "fits": name in wanted or (name == "next" and not asked and "done" in wanted),
        }
        for name in names
    ]
