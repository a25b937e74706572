"""The history as HTML: rows and forms, every text escaped, nothing that needs a script."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape
from urllib.parse import urlencode

from assistant.phrasing.en.history import LABELS, NOTHING, PAGES, Part

SHORT = frozenset({"Day", "When", "Last", "Out", "In", "Went in", "Amount", "Distance", "Next due", "Jobs"})
"""Columns whose cells stay on one line."""
JOB = "Job"
"""The column whose cells lead to the record of a job."""
LINKED: Mapping[str, str] = {"vehicles": "vehicle"}
"""Parts whose first cell leads to more: part -> the word of the address."""


def links(here: str) -> str:
    """Return the way to the other pages; `here` is the one that is shown."""
    current = {here: ' aria-current="page"'}
    return "".join(
        f'<li><a href="{place}"{current.get(place, "")}>{escape(label)}</a></li>'
        for place, label in PAGES.items()
    )


def parts_html(parts: Sequence[Part]) -> str:
    """Return parts as sections with a table each."""
    return "\n".join(_part(one) for one in parts)


def _part(part: Part) -> str:
    name, heading, columns, rows = part
    head = f'<section id="{escape(name)}"><h2>{escape(heading)}</h2>'
    if not rows:
        return f"{head}<p>{escape(NOTHING)}</p></section>"
    stack = all(columns)
    cells = "".join(f'<th scope="col">{escape(one)}</th>' if one else "<td></td>" for one in columns)
    body = "".join(f"<tr>{_cells(name, columns, row, stack)}</tr>" for row in rows)
    look = ' class="stack"' if stack else ""
    table = f"<table{look}><thead><tr>{cells}</tr></thead><tbody>{body}</tbody></table>"
    wide = f'<div class="wide" tabindex="0" role="region" aria-label="{escape(heading)}">'
    return f"{head}{wide}{table}</div></section>"


def _cells(name: str, columns: Sequence[str], row: Sequence[str], stack: bool) -> str:
    made = []
    for at, (column, cell) in enumerate(zip(columns, row, strict=True)):
        text = escape(cell)
        if at == 0 and name in LINKED:
            text = f'<a href="{address("/history", **{LINKED[name]: cell})}">{text}</a>'
        elif column == JOB:
            text = f'<a href="{address("/record", job=cell)}">{text}</a>'
        if not stack and at == 0:
            made.append(f'<th scope="row">{text}</th>')
            continue
        look = ' class="name"' if column == JOB else ' class="short"' if column in SHORT else ""
        made.append(f'<td{look} data-head="{escape(column)}"><span>{text}</span></td>')
    return "".join(made)


def address(page: str, **asked: str) -> str:
    """Return the address of a view, escaped for an attribute."""
    return escape(f"{page}?{urlencode(asked)}")


def forms(jobs: Sequence[tuple[str, str]], asked: Mapping[str, str]) -> str:
    """Return what can be asked: a search, a month, two jobs; `jobs` are (name, what to call it)."""
    search = _field("search", "search", asked.get("search", ""), 'maxlength="200"')
    month = _field("month", "month", asked.get("month", ""), 'placeholder="2026-11" maxlength="7" size="8"')
    made = [_form("search", search), _form("month", month)]
    if len(jobs) > 1:
        first, second = asked.get("first") or jobs[1][0], asked.get("second") or jobs[0][0]
        pair = _choice("first", jobs, first) + _choice("second", jobs, second)
        made.append(_form("compare", pair))
    return f'<div class="ask">{"".join(made)}</div>'


def _form(name: str, fields: str) -> str:
    return (
        f'<form action="/history" method="get">{fields}'
        f'<button type="submit">{escape(LABELS[f"{name}-go"])}</button></form>'
    )


def _field(name: str, label: str, value: str, more: str) -> str:
    return (
        f'<div><label for="ask-{name}">{escape(LABELS[label])}</label>'
        f'<input id="ask-{name}" name="{name}" value="{escape(value)}" required {more}></div>'
    )


def _choice(name: str, jobs: Sequence[tuple[str, str]], chosen: str) -> str:
    options = "".join(
        f'<option value="{escape(job)}"{" selected" if job == chosen else ""}>{escape(label)}</option>'
        for job, label in jobs
    )
    return (
        f'<div><label for="ask-{name}">{escape(LABELS[name])}</label>'
        f'<select id="ask-{name}" name="{name}">{options}</select></div>'
    )


def wrong(text: str) -> str:
    """Return what could not be shown, and why."""
    return f'<p class="wrong" role="alert">{escape(text)}</p>'
