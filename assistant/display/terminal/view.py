"""The live view: step and question, then the balance as two bars on one scale, then all the rest."""

from __future__ import annotations

from collections.abc import Mapping

from rich.console import Group, RenderableType
from rich.rule import Rule
from rich.table import Table
from rich.text import Text

from assistant.display.page.amounts import Picture
from assistant.display.terminal.told import heard, reading, side, timer, told
from assistant.phrasing.en.page import LABELS

BAR = 36
"""Signs of a bar."""
FULL = {"out": "\u2592", "in": "\u2588"}
"""The two sides differ in their sign, not in colour alone."""
EMPTY, MARK = "\u00b7", "\u2502"


def view(picture: Picture | None, up_ms: int) -> RenderableType:
    """Return what a terminal shows of a picture at this moment of the clock since boot."""
    texts = told(picture)
    if picture is None:
        return Text(texts["step"])
    above: list[RenderableType] = [Text(texts["vehicle"], style="dim")]
    above += [
        Text(f" {texts[name]} ", style="reverse bold")
        for name in ("alarm", "unsaved", "quiet")
        if name in texts
    ]
    above += [
        Text(texts[name], style=style)
        for name, style in (
            ("step", "bold"),
            ("figure", "bold"),
            ("asked", "bold"),
            ("text", ""),
            ("tool", "dim"),
        )
        if name in texts
    ]
    above += [Text(text, style="bold") for name, text in texts.items() if name.startswith("caution ")]
    return Group(
        *above, Rule(style="dim"), _balance(picture, texts), Rule(style="dim"), _below(picture, up_ms)
    )


def _balance(now: Picture, texts: Mapping[str, str]) -> RenderableType:
    rows = Table.grid(padding=(0, 2))
    scale = now["balance"]
    notes = {
        "out": f"{LABELS['expected']} {scale['expected_text']}" if scale["expected_text"] else "",
        "in": f"{scale['advised_text']} {LABELS['advised']}" if scale["taken"] else "",
    }
    marks = {"out": scale.get("expected"), "in": scale.get("advised") if scale["taken"] else None}
    for name in ("out", "in"):
        bar = _bar(scale.get(name, 0.0), marks[name], FULL[name])
        rows.add_row(Text(side(now, name), style="bold"), bar, Text(notes[name]))
    parts: list[RenderableType] = [rows]
    parts += [Text(texts[name], style="bold") for name in ("to-go", "round") if name in texts]
    parts += [Text(texts[f"unit {one['name']}"], style="bold" if one["here"] else "") for one in now["units"]]
    return Group(*parts)


def _bar(share: float, mark: float | None, full: str) -> Text:
    signs = [full if at < round(share * BAR) else EMPTY for at in range(BAR)]
    if mark is not None:
        signs[min(round(mark * BAR), BAR - 1)] = MARK
    return Text("".join(signs))


def _below(now: Picture, up_ms: int) -> RenderableType:
    taken = [f"{one['kind']} {reading(one)}" for one in now["readings"]]
    columns = Table.grid(padding=(0, 3), expand=True)
    columns.add_column(ratio=1)
    columns.add_column(ratio=1)
    left = _listed("heard", [heard(one) for one in now["heard"]]) + _listed("readings", taken)
    right = _listed("timers", [timer(one, up_ms) for one in now["timers"]])
    right += _listed("fits", [f"\u201c{one}\u201d" for one in now["fits"]])
    right += _listed("said", [" ".join(now["said"])] if now["said"] else [])
    columns.add_row(Group(*left), Group(*right))
    return columns


def _listed(label: str, lines: list[str]) -> list[RenderableType]:
    return [Text(LABELS[label], style="dim bold"), *map(Text, lines)] if lines else []
