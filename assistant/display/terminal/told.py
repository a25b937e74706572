"""The facts of a picture as short texts, each under its name: the view lays them out, lines print them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from assistant.display.page.amounts import Picture
from assistant.phrasing.en.page import LABELS


def told(picture: Picture | None) -> Mapping[str, str]:
    """Return the texts of a picture, in the order they are read; nothing that is empty is in it."""
    if picture is None:
        return {"step": LABELS["waiting"]}
    return {name: text for name, text in _texts(picture) if text}


def _texts(now: Picture) -> Iterator[tuple[str, str]]:
    yield "vehicle", now["vehicle"] or now["title"]
    yield "alarm", "" if now.get("written", True) else LABELS["unwritten"]
    yield "unsaved", LABELS["unsaved"] if now["unsaved"] else ""
    yield "quiet", now["ended"] or {"stop": LABELS["stop"], "": ""}.get(now["quiet"], LABELS["standing-by"])
    step = now["step"]
    if step is not None:
        yield "step", f"{LABELS['step']} {step['number']} {LABELS['of']} {step['of']}: {step['title']}"
        yield "figure", step["figure"]
        yield "asked", now["asked"]
        yield "text", step["text"]
        yield "tool", f"{LABELS['tool']}: {step['tool']}" if step["tool"] else ""
    for number, one in enumerate(now["cautions"]):
        yield f"caution {number}", f"{one['word']} ({one['at_risk']}): {one['text']}"
    yield "out", side(now, "out")
    yield "in", side(now, "in")
    yield "to-go", to_go(now)
    if now["round"]:
        sums = [f"{now['round'][name]} {LABELS[name]}" for name in ("out", "in") if now["round"][name]]
        yield "round", f"{LABELS['round']} {now['round']['number']}; {LABELS['in-all']} {', '.join(sums)}"
    for one in now["units"]:
        marks = f" ({one['marks']})" if one["marks"] else ""
        yield (
            f"unit {one['name']}",
            f"{one['name']}{marks}: {LABELS['out']} {one['out'] or '-'}, {LABELS['in']} {one['in'] or '-'}",
        )
    for one in now["heard"][:1]:
        yield "heard", heard(one)
    yield "said", " ".join(now["said"] or ())
    for one in reversed(now["readings"]):
        yield f"reading {one['id']}", f"{one['kind']} {reading(one)}"


def reading(one: Picture) -> str:
    """Return what was understood, with its standing in words."""
    mark = one.get("mark", "")
    return f"{one['text']} ({mark})" if mark else str(one["text"])


def heard(one: Picture) -> str:
    """Return a sentence and what it was taken for."""
    return f"\u201c{one['words']}\u201d {reading(one)}" if one["words"] else reading(one)


def side(now: Picture, name: str) -> str:
    """Return one side of the balance: its sum, or that there is none yet."""
    one = now[name]
    return f"{LABELS[name]}: {LABELS['nothing'] if one['none'] else one['number'] + ' ' + one['unit']}"


def to_go(now: Picture) -> str:
    """Return what is still to pour, or by how much it is over; empty where no refill is under way."""
    one = now["balance"]["to_go"]
    label = LABELS["too-much" if one and one["over"] else "to-go"]
    return f"{label} {one['number']} {one['unit']}" if one else ""


def timer(one: Picture, up_ms: int) -> str:
    """Return a timer with what is left of it by the clock of the computer that counts it."""
    if _state(one, up_ms) == "over":
        return f"{one['name']}: {LABELS['over']}"
    left = one["held_ms"] if one["state"] == "held" else one["due_up_ms"] - up_ms
    minutes, seconds = divmod(-(-max(left, 0) // 1000), 60)
    word = LABELS["held" if one["state"] == "held" else "left"]
    return f"{one['name']}: {minutes}:{seconds:02d} {word}"


def _state(one: Picture, up_ms: int) -> str:
    """Return over, held or runs; one that is held does not run out."""
    return "over" if one["state"] == "runs" and one["due_up_ms"] <= up_ms else str(one["state"])


class Lines:
    """Gives of each picture only what changed since the one before, as plain lines."""

    def __init__(self) -> None:
        self._shown: Mapping[str, str] = {}
        self._timers: dict[str, str] = {}

    def changed(self, picture: Picture | None, up_ms: int) -> list[str]:
        """Return the lines to print; a timer is told when it begins and when its state changes."""
        texts = told(picture)
        lines = [text for name, text in texts.items() if self._shown.get(name) != text]
        self._shown = texts
        rows = picture["timers"] if picture is not None else ()
        states = {one["name"]: _state(one, up_ms) for one in rows}
        lines += [timer(one, up_ms) for one in rows if self._timers.get(one["name"]) != states[one["name"]]]
        self._timers = states
        return lines
