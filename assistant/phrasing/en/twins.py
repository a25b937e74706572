"""Number words that sound alike, -teen and -ty: the twin of a value has them exchanged."""

from __future__ import annotations

from collections.abc import Callable

from assistant.grammar.meaning import Meaning, NoMatch

TWINS = {
    f"{stem}{one}": f"{stem}{other}"
    for stem in ("thir", "four", "fif", "six", "seven", "eigh", "nine")
    for one, other in (("teen", "ty"), ("ty", "teen"))
} | {"fourteen": "forty", "forty": "fourteen"}
TWINS.pop("fourty")


def twin_value(words: str, parse: Callable[[str], Meaning | NoMatch]) -> str | None:
    """Return the value the words would have with one -teen or -ty word exchanged, None without such a word.

    A tens word before a further unit word ("thirty five") has no twin: "thirteen five" is no number. Nor
    has one that was taken back in the same breath: the last one decides.
    """
    said = words.split()
    meant = parse(words)
    value = meant.value if isinstance(meant, Meaning) else None
    for place, word in enumerate(said):
        if word in TWINS:
            exchanged = parse(" ".join((*said[:place], TWINS[word], *said[place + 1 :])))
            if isinstance(exchanged, Meaning) and exchanged.value not in (None, value):
                return exchanged.value
    return None
