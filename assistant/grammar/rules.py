"""The rules of several files as one set: complete, all used, none recursive."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.errors import BadFile
from assistant.grammar.tree import Rule, references_in


def unite(files: tuple[Mapping[str, Rule], ...]) -> Mapping[str, Rule]:
    """Return the rules of several files as one set; a later rule replaces one of the same name.

    Raises `BadFile` where a rule is missing, never used, or uses itself, or none is public.
    """
    rules: dict[str, Rule] = {}
    for file in files:
        rules.update(file)
    if not any(rule.public for rule in rules.values()):
        name = next((rule.file for rule in rules.values()), "grammar")
        raise BadFile(name, "no rule is public", cure="write public before the rule of whole sentences")
    used: set[str] = set()
    for rule in rules.values():
        if rule.public:
            _follow(rule, rules, (), used)
    for rule in rules.values():
        if rule.name not in used:
            cure = "use it in another rule or remove it"
            raise BadFile(rule.file, f"<{rule.name}> is never used", line=rule.line, cure=cure)
    return rules


def _follow(rule: Rule, rules: Mapping[str, Rule], path: tuple[str, ...], used: set[str]) -> None:
    if rule.name in used and rule.name not in path:
        return
    used.add(rule.name)
    for reference in references_in(rule.expansion):
        if reference.name in (*path, rule.name):
            cure = "a rule must not use itself, not even through others"
            raise BadFile(rule.file, f"<{reference.name}> is recursive", line=reference.line, cure=cure)
        if reference.name not in rules:
            cure = "write that rule or correct the name"
            raise BadFile(
                rule.file, f"<{reference.name}> is not written anywhere", line=reference.line, cure=cure
            )
        _follow(rules[reference.name], rules, (*path, rule.name), used)
