"""Every finding of a procedure, a shared piece, a vehicle sheet or a grammar, each with line and cure."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from assistant.commands.language import (
    UNKNOWN,
    Lacking,
    ear_lacks,
    likeliest_line,
    own_files,
    united,
    with_own,
)
from assistant.errors import AssistantError, BadFile
from assistant.grammar import Grammar
from assistant.grammar.meaning import Meaning
from assistant.job.procedure import Step, procedure_from_data
from assistant.phrasing.en.speakable import speakable, unit_faults
from assistant.shelf.procedure_file import SHARED, faults_of, list_procedures, procedure_path, read_procedure
from assistant.shelf.procedure_hearing import hearing_faults
from assistant.shelf.procedure_places import Places
from assistant.shelf.procedure_schema import MOST_FINDINGS, Finding, found, schema_findings
from assistant.shelf.procedure_words import Known, sign_faults, unspeakable
from assistant.shelf.toml import line_in, read_toml
from assistant.shelf.vehicle_file import units_in

ANSWERED = {"temperature": "temperature-band", "drip": "drip-state"}
IDLE = frozenset({"trap", "which-plug", "which-form", "which-system", "unit-tail", "decimal-tail"})
"""Kinds that do nothing unless the assistant has just asked for them."""
KNOWN = Known(speakable=speakable, unit_faults=unit_faults)
CURE = "use another word"
SPOKEN = ("fluid-class", "drain-plug-tool")
"""Texts of a sheet that are read aloud."""


def check_file(name: str, model: Path | None = None) -> list[Finding]:
    """Return every finding of a file or of a service's name; what cannot be read is one finding.

    `model` is the folder of the speech model, None for the one in the cache.
    """
    try:
        if name.endswith(".jsgf"):
            return _grammar(Path(name), ear_lacks(model))
        path = procedure_path(name)
        data, text = read_toml(path)
        if "vehicle" in data or ("unit" in data and "step" not in data and "title" not in data):
            return _vehicle(path, text)
        if "takes" in data or (path.parent.name == SHARED and "title" not in data):
            return _piece(path)
        return _procedure(path, {})
    except BadFile as trouble:
        return [Finding(trouble.line, trouble.why, trouble.cure or "put it right", trouble.path)]
    except AssistantError as trouble:
        return [Finding(None, str(trouble), "put it right", name)]


def _procedure(path: Path, grammars: dict[str, Grammar]) -> list[Finding]:
    data, places = read_procedure(path)
    findings = schema_findings(data, places)
    if findings:
        return findings
    language = str(data["language"])
    if language not in grammars:
        grammars[language] = with_own(language, lambda _: None)
    grammar = grammars[language]
    acted_on = ActedOn(grammar)
    faults = faults_of(data, places, replace(KNOWN, acted_on=acted_on, mean=acted_on.mean))
    unheard = hearing_faults(procedure_from_data(data), grammar)
    return faults + [found(places, *fault) for fault in unheard]


def _piece(path: Path) -> list[Finding]:
    """Check every service that uses a shared piece; what is found in other files is theirs."""
    grammars: dict[str, Grammar] = {}
    used, findings = False, dict[Finding, None]()
    for name in list_procedures():
        service = procedure_path(name)
        try:
            _, places = read_procedure(service)
        except BadFile as trouble:
            if _same(trouble.path, path):
                return [Finding(trouble.line, trouble.why, trouble.cure or "put it right", trouble.path)]
            continue
        if _uses(places, path):
            used = True
            findings |= dict.fromkeys(one for one in _procedure(service, grammars) if _same(one.file, path))
    if not used:
        cure = "lay it into shared beside the service that uses it"
        return [Finding(None, "no service uses this piece", cure, str(path))]
    return list(findings)


def _uses(places: Places, path: Path) -> bool:
    sources = (*places.others, *(one for step in places.steps.values() for one in step))
    return any(_same(one.file, path) for one in sources)


def _same(file: str, path: Path) -> bool:
    return Path(file).resolve() == path.resolve()


def _vehicle(path: Path, text: str) -> list[Finding]:
    findings, sheets = _each_fault(str(path), text)
    for sheet in sheets:
        texts = sheet["texts"]
        assert isinstance(texts, Mapping)
        spoken = {"name": str(sheet["unit"]), **{key: str(texts[key]) for key in SPOKEN if key in texts}}
        for key, value in (("vehicle", str(sheet["vehicle"])), *spoken.items()):
            needles = (value,) if key == "vehicle" else (str(sheet["unit"]), key)
            faults = [*sign_faults(value), *unit_faults(value)]
            faults += [(f"has {word!r}, which cannot be spoken", CURE) for word in unspeakable(value, KNOWN)]
            findings += [
                Finding(line_in(text, *needles), f"{key} {what}", cure, str(path)) for what, cure in faults
            ]
    return list(dict.fromkeys(findings))


def _each_fault(where: str, text: str) -> tuple[list[Finding], Sequence[Mapping[str, object]]]:
    """Return every fault of a sheet's figures and texts, and its units as they can be read without those.

    What is at fault is read over and the rest looked at once more, up to a fault of the sheet as a whole.
    """
    findings, lines = list[Finding](), text.splitlines()
    while True:
        try:
            return findings, units_in("\n".join(lines), where)
        except BadFile as trouble:
            findings.append(Finding(trouble.line, trouble.why, trouble.cure or "put it right", where))
            at = (trouble.line or 0) - 1
            key = _A_LINE.match(lines[at]) if 0 <= at < len(lines) else None
            if key is None or key[1] in ("name", "format") or len(findings) == MOST_FINDINGS:
                return findings, ()
            lines[at] = ""


_A_LINE = re.compile(r"\s*([a-z0-9-]+)\s*=.*[^\[,\s]\s*$", re.ASCII)
"""A line that holds a key and the whole of its value."""


class ActedOn:
    """Whether a run of words is a sentence the assistant would act on; each run is parsed once."""

    def __init__(self, grammar: Grammar) -> None:
        self._grammar, self._kinds = grammar, dict[str, str]()

    def __call__(self, run: str, step: Step) -> bool:
        """Return whether these words, heard at that step, would answer for the mechanic.

        One word alone counts where it is awaited only: it is refused elsewhere.
        """
        if not self.mean(run):
            return False
        kind = self._kinds[run]
        if " " in run or kind == "emergency":
            return True
        awaited = {one.reading for one in step.awaits}
        awaited |= {ANSWERED[one] for one in awaited if one in ANSWERED}
        awaited |= {"yes", "no", "all-clear"} if step.gate else set()
        awaited |= {"running"} if step.timer is not None else set()
        return kind in awaited | {"done", "next"}

    def mean(self, run: str) -> bool:
        """Return whether these words are a sentence that does something at one step or another."""
        if run not in self._kinds:
            meaning = self._grammar.parse(run)
            self._kinds[run] = meaning.kind if isinstance(meaning, Meaning) else ""
        return bool(self._kinds[run]) and self._kinds[run] not in IDLE


_FOR_A_LANGUAGE = re.compile(r"([a-z]+)-[\w-]+", re.ASCII)


def _grammar(path: Path, lacking: Lacking) -> list[Finding]:
    name = _FOR_A_LANGUAGE.fullmatch(path.stem)
    if name is None:
        cure = "name it LANGUAGE-ANYTHING.jsgf, such as en-mine.jsgf, so that it goes beside ours"
        return [Finding(None, f"{path.name} would take the place of a whole language", cure, str(path))]
    beside = tuple(one for one in own_files(name[1]) if one.name < path.name)
    try:
        grammar = united(name[1], (*beside, path))
    except BadFile as trouble:
        line = trouble.line or likeliest_line(path, " ".join(re.findall("'([^']*)'", trouble.why)))
        return [Finding(line, trouble.why, trouble.cure or "put it right", trouble.path)]
    return [
        Finding(likeliest_line(path, word), f"the ear does not know the word {word!r}", UNKNOWN, str(path))
        for word in lacking(grammar.words)
    ]
