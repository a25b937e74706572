"""The recommended sentences by kind, for the printed card and for "list the words"."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.errors import BadFile
from assistant.grammar.grammar import Grammar
from assistant.grammar.meaning import KINDS, Meaning
from assistant.grammar.tree import tags_of


def phrases(grammar: Grammar) -> Mapping[str, tuple[str, ...]]:
    """Return kind -> recommended sentences, in the order of the catalogue of kinds.

    They are the `{card ...}` tags of the grammar; each must be a sentence of it. Raises `BadFile`
    for one that is not.
    """
    found: dict[str, list[str]] = {}
    for rule in grammar.rules.values():
        for tag in tags_of(rule.expansion):
            if not tag.text.startswith("card "):
                continue
            sentence = " ".join(tag.text.split()[1:])
            meaning = grammar.parse(sentence)
            if not isinstance(meaning, Meaning):
                cure = f"write a sentence that is allowed; this one is refused: {meaning.reason}"
                raise BadFile(rule.file, f"{sentence!r} is on the card", line=tag.line, cure=cure)
            found.setdefault(meaning.kind, []).append(sentence)
    return {kind: tuple(found[kind]) for kind in KINDS if kind in found}
