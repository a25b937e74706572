"""Procedures as files: every check finds its fault, with line and cure."""

from __future__ import annotations

import copy
import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any, cast

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.errors import BadFile
from assistant.shelf.places import procedures_folder
from assistant.shelf.procedure_check import findings
from assistant.shelf.procedure_file import load_procedure
from assistant.shelf.procedure_schema import Finding, schema_findings
from assistant.shelf.procedure_words import Known
from assistant.shelf.toml import line_in

NAME = "automatic-drain-refill"
SHARED = procedures_folder() / "shared"
MAIN = procedures_folder() / f"{NAME}.toml"
USES = re.findall(r'use = "([a-z-]+)"', MAIN.read_text(encoding="utf-8"))
FILES = [MAIN, *(SHARED / f"{name}.toml" for name in dict.fromkeys([*USES, "always", "phrases"]))]
"""Where the texts of the service are written: its file and the pieces, in order of use."""
TEXT = "\n".join(path.read_text(encoding="utf-8") for path in FILES)


def written(tmp_path: Path, old: str, new: str) -> tuple[Path, Path]:
    """Write the service with one place changed; return its file and the file that was changed."""
    used = {path: path.read_text(encoding="utf-8") for path in FILES}
    holder = next((path for path in FILES if old in used[path]), None)
    assert holder is not None, old
    used[holder] = used[holder].replace(old, new, 1)
    (tmp_path / "shared").mkdir()
    main = tmp_path / "changed.toml"
    main.write_text(used[FILES[0]], encoding="utf-8")
    for path in FILES[1:]:
        (tmp_path / "shared" / path.name).write_text(used[path], encoding="utf-8")
    return main, main if holder == FILES[0] else tmp_path / "shared" / holder.name


def broken(tmp_path: Path, old: str, new: str) -> BadFile:
    """Return the error of the shipped service with one place changed."""
    main, changed = written(tmp_path, old, new)
    with pytest.raises(BadFile) as caught:
        load_procedure(main)
    named = Path(caught.value.path)
    assert named in (main, changed) or named.parent == main.parent / "shared"
    return caught.value


FAULTS = [
    # shape
    ("format = 2", "format = 3", "format is not as it must be"),
    ("format = 2\n", "", "format is missing"),
    ("format = 2", "format = true", "format is not as it must be"),
    ('language = "en"', 'language = "en"\ncolour = "red"', "'colour' is not known"),
    ('title = "lay out"', 'title = "lay out"\ntitel = "x"', "'titel' is not known"),
    ('title = "lay out"\n', "", "title is missing"),
    ('title = "lay out"', 'title = " "', "title is not as it must be"),
    ('title = "lay out"', "title = 7", "title is not as it must be"),
    ('title = "lay out"', f'title = "{"long " * 200}"', "title is not as it must be"),
    ('kind = "pour"', 'kind = "fill"', "kind is not as it must be"),
    ('mark = "cold"', 'mark = "lukewarm"', "mark is not as it must be"),
    ('cautions = ["stands"]', 'cautions = "stands"', "cautions is not as it must be"),
    ('requires = ["engine=off"]', 'requires = ["engine off"]', "requires is not as it must be"),
    ("many = true", 'many = "yes"', "many is not as it must be"),
    ('minutes = "10"', "minutes = 10", "minutes is not as it must be"),
    ('warm = "40"', "warm = 40", "bands is not as it must be"),
    ('when = { colour = ["milky"] }', 'when = { colour = "milky" }', "when is not as it must be"),
    (
        'timer = { name = "drain", minutes = "10", on = "running"',
        'timer = { name = "drain", on = "running"',
        "minutes is missing",
    ),
    ('[[step.await]]\nreading = "plate"', '[step.await]\nreading = "plate"', "await is no array of tables"),
    # ids and targets
    ('id = "close"', 'id = "switch-off-after"', "two steps are called 'switch-off-after'"),
    ('id = "lay-out"', 'id = "park"', "a step cannot be called 'park'"),
    ('id = "confirm"', 'id = "confirm"\naside = true\nafter = "lay-out"', "the first step is an aside"),
    ('then = "stuck-plug"', 'then = "stuck-plugg"', "'stuck-plugg', which is no step"),
    ('then = "wrong-one"', 'then = "wrong-two"', "'wrong-two', which is no step"),
    ('after = "magnet"', 'after = "magnit"', "'magnit', which is no step"),
    ('after = "magnet"\n', "", "search-washer has no way back"),
    ('after = "magnet"', 'after = "search-washer"', "goes round in a ring"),
    ('id = "keep-old"', 'id = "keep-old"\nafter = "plan"', "is no aside and has after"),
    ('then = "search-washer"', 'then = "stay"', "aside search-washer is never reached"),
    # readings
    ('reading = "magnet"\nask', 'reading = "magnat"\nask', "there is no reading 'magnat'"),
    ('reading = "poured"', 'reading = "amount"', "there is no reading 'amount'"),
    ('when = { find = ["chips"] }', 'when = { found = ["chips"] }', "magnet has no slot 'found'"),
    ('when = { find = ["chips"] }', 'when = { find = ["bolts"] }', "find is never 'bolts'"),
    (
        'name = "burnt"\nreading = "look"\nwhen = { smell = ["burnt"] }',
        'name = "burnt"\nreading = "magnet"\nwhen = { find = ["fuzz"] }',
        "which the step does not await",
    ),
    ('warm = "40"\n', "", "[bands] lacks warm"),
    ('kind = "check"\nmark = "cold"', 'kind = "check"', "level-cold checks no level"),
    ('id = "keep-old"', 'id = "keep-old"\nkind = "read"', "keep-old reads nothing"),
    ('reading = "poured"', 'reading = "spilled"', "pours and awaits no amount"),
    (
        'kind = "read"\nsay = "${magnet-on-paper}',
        'kind = "plan"\nsay = "${magnet-on-paper}',
        "plans and awaits a reading",
    ),
    # exits
    ('on = "drip-endless"', 'on = "drip-forever"', "'drip-forever', which nobody can say"),
    ('on = "plug-rounded"', 'on = "plug-stuck"', "two exits for plug-stuck"),
    (
        '[[step.exit]]\non = "no-thermometer"\nsay = "Feel the container from outside.',
        '[[step.finding]]\nname = "x"\nreading = "temperature"\nwhen = {}\nsay = "Feel it.',
        "measure-temperature awaits a reading and has no exit",
    ),
    # timers
    ('timer = { name = "drain"', 'timer = { name = "draining"', "nobody can ask for a timer 'draining'"),
    ('minutes = "10"', 'minutes = "0"', "0 minutes"),
    ('minutes = "10"', 'minutes = "12"', "timer drain has two lengths"),
    # what is named exists
    ('cautions = ["hot-fluid"]', 'cautions = ["hot-oil"]', "there is no caution 'hot-oil'"),
    ('soft-thread = "notice"', 'soft-thread = "danger"', "signals is not as it must be"),
    ('gate = "everyone-clear"', 'gate = "everyone-gone"', "there is no gate 'everyone-gone'"),
    ('"washer=new" = "the new washer"\n', "", "'washer=new' has no words"),
    (
        'figures = ["drain-plug-torque"]',
        'figures = ["drain-plug-torque", "plug-size"]',
        "no sheet has a figure 'plug-size'",
    ),
    ('language = "en"', 'language = "en"\n\n[cautions]\nice = "Mind the ice."', "'ice' is used by no step"),
    # texts
    ("{fluid-class}", "{fluid-sort}", "no sheet has 'fluid-sort'"),
    ("{fluid-class}", "{fluid-class", "a brace stands alone"),
    ('figures = ["drain-plug-torque"]\n', "", "say needs drain-plug-torque"),
    ("Work from the side", "Beyond {hot-low} work from the side", "a place cannot be filled here"),
    ('say = "Now the refill."', 'say = "Now the refill: 5 litres."', "holds 5 :"),
    # pieces
    ('use = "confirm-plate"', 'use = "confirm-plate"\nwithout = 5', "without is no list of steps"),
    ('use = "confirm-plate"', 'use = "confirm-plate"\nprefix = 5', "prefix is no text"),
    ('use = "confirm-plate"', 'use = "confirm-plate"\nwith = ["x"]', "with is no table of texts"),
    ('use = "confirm-plate"', 'use = "confirm-plate"\nlike = "x"', "'like' is not known"),
    ('use = "confirm-plate"', 'use = "confirm-chassis"', "there is no such piece"),
    # laws of the trade
    (
        'gate = "everyone-clear"\nrequires = ["vehicle=on-wheels"]\n',
        'requires = ["vehicle=on-wheels"]\n',
        "engine on and no gate",
    ),
    (
        'gate = "everyone-clear"\nrequires = ["vehicle=on-wheels"]\n',
        'gate = "everyone-clear"\n',
        "engine on, maybe on stands",
    ),
    (
        'requires = ["engine=off"]\nsets = ["vehicle=on-stands"]',
        'sets = ["vehicle=on-stands"]',
        "with the engine on",
    ),
    (
        'requires = ["washer=new", "drain-plug=torqued", "fluid=agrees"]',
        'requires = ["washer=new", "fluid=agrees"]',
        "pours before the torque is in",
    ),
    (
        'requires = ["washer=new", "drain-plug=torqued", "fluid=agrees"]',
        'requires = ["drain-plug=torqued", "fluid=agrees"]',
        "pours before the washer is in",
    ),
    (
        'requires = ["washer=new", "drain-plug=torqued", "fluid=agrees"]',
        'requires = ["washer=new", "drain-plug=torqued"]',
        "before the old fluid was held against the sheet",
    ),
    (
        '"plug=confirmed", "${filler}", "fluid',
        '"plug=confirmed", "fluid',
        "opens the drain before the way in is sure",
    ),
    ('"plug=confirmed", "${filler}", "fluid', '"${filler}", "fluid', "opens a plug nobody confirmed"),
    ('"${filler}", "fluid=agrees"]', '"${filler}"]', "opens the drain whatever fluid is in it"),
    ('sets = ["last=checked"]\n', "", "nothing is looked over after step drive"),
    ('id = "plan"', 'id = "plan"\nsets = ["fill-plug=loose"]', "opens the fill plug, and nobody closes it"),
    ('id = "plan"', 'id = "plan"\nsets = ["filter=new"]', "fits a filter, maybe on the old gasket"),
    ('cautions = ["road"]\n', "", "meets exhaust gas and moving parts without a caution"),
    (
        'cautions = ["hot-fluid"]\nrequires = ["engine=off", "plug',
        'requires = ["engine=off", "plug',
        "meets hot fluid without a caution",
    ),
    (
        'sets = ["vehicle=on-wheels"]',
        'sets = ["vehicle=on-rails"]',
        "requires vehicle=on-wheels, which no step before it",
    ),
]


@pytest.mark.parametrize(("old", "new", "what"), FAULTS, ids=[fault[2] for fault in FAULTS])
def test_each_fault_is_found_with_its_cure(tmp_path: Path, old: str, new: str, what: str) -> None:
    """One change makes one plain sentence."""
    error = broken(tmp_path, old, new)

    assert what in error.why
    assert error.cure
    assert "\n" not in str(error)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('then = "stuck-plug"', 'then = "stuck-plugg"'),
        ('when = { find = ["chips"] }', 'when = { find = ["bolts"] }'),
        ('title = "lay out"', 'title = "lay out"\ntitel = "x"'),
        ('figures = ["drain-plug-torque"]', 'figures = ["plug-size"]'),
        ('on = "drip-endless"', 'on = "drip-forever"'),
        ('after = "magnet"', 'after = "magnit"'),
    ],
)
def test_the_line_is_the_line_of_the_fault(tmp_path: Path, old: str, new: str) -> None:
    """The named line holds what was changed."""
    error = broken(tmp_path, old, new)
    changed = Path(error.path).read_text(encoding="utf-8").splitlines()

    assert error.line is not None
    assert changed[error.line - 1] == new.splitlines()[-1]


def test_a_bare_file_says_what_it_lacks(tmp_path: Path) -> None:
    """An empty file is no procedure; the first missing thing is named and the rest counted."""
    path = tmp_path / "empty.toml"
    path.write_text("", encoding="utf-8")

    with pytest.raises(BadFile, match=r"format is missing; 4 more faults"):
        load_procedure(path)


# ---------------------------------------------------------------- words


def spoken(**known: Any) -> list[Finding]:
    """Return the findings of the shipped procedure with something known of the language."""
    return findings(copy.deepcopy(dict(load_procedure(NAME))), TEXT, Known(**known))


def test_a_word_that_cannot_be_spoken_is_found() -> None:
    """The caller's vocabulary decides."""
    found = spoken(speakable=lambda word: word != "extractor")

    assert {re.findall(r"'(\w+)' cannot be spoken", one.what)[0] for one in found} == {"extractor"}
    assert all(one.line and one.cure for one in found)


def test_a_sentence_that_would_answer_for_the_mechanic_is_found() -> None:
    """Whole runs of words are held against the grammar, at the step where they are said."""
    found = spoken(acted_on=lambda run, step: run == "now the refill" and step.kind == "plan")

    assert {one.what.split(":")[0] for one in found} == {"step plan"}
    assert spoken(acted_on=lambda run, step: run == "now refill") == []


# ---------------------------------------------------------------- absurd files


SCALARS = st.none() | st.booleans() | st.integers() | st.text(max_size=8) | st.decimals() | st.dates()
ANY = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=6,
)


@settings(max_examples=150, deadline=None)
@given(st.data())
def test_any_value_anywhere_is_taken_or_told(data: st.DataObject) -> None:
    """Whatever stands at a place of a procedure, checking it ends in findings or in none."""
    procedure = cast("dict[str, Any]", copy.deepcopy(dict(load_once())))
    table: Any = procedure
    for _ in range(data.draw(st.integers(0, 3))):
        inside = list(table.values()) if isinstance(table, dict) else table
        tables = [one for one in inside if isinstance(one, dict | list) and one]
        table = data.draw(st.sampled_from(tables)) if tables else table
    places = list(table) if isinstance(table, dict) else list(range(len(table)))
    table[data.draw(st.sampled_from(places))] = data.draw(ANY)

    found = schema_findings(procedure, TEXT) or findings(procedure, TEXT)

    assert all(one.what and one.cure for one in found)


@cache
def load_once() -> Mapping[str, object]:
    """Return the shipped procedure, read once."""
    return load_procedure(NAME)


@pytest.mark.parametrize(
    ("content", "what"),
    [
        ("x = 1\n" * 2_000_000, "larger than"),
        ("a = " + "[" * 100_000, "not TOML"),
        ("a" + ".a" * 100_000 + " = 1", "not TOML"),
        ("format = 1" + "0" * 5_000, "not TOML"),
        ("format = 1e999999999", "format is not as it must be"),
        ("format = nan", "format is not as it must be"),
        ("\x00", "not TOML"),
        ("step = 5", "step is no array of tables"),
        ("[[step]]\n" * 301, "steps"),
        ("[[step]]\n[[step.exit]]\n[[step.await]]\n[[step.finding]]\n", "is missing"),
        ("[step]\nid = 1", "step is no array of tables"),
        ('step = [1, "x", {}]', "step is no array of tables"),
        ("format = 2026-01-01", "format is not as it must be"),
        ("[labels]\n" + "\n".join(f'"a{n}" = "x"' for n in range(61)), "labels is not as it must be"),
    ],
    ids=lambda value: str(value)[:30],
)
def test_absurd_files_fail_plainly(tmp_path: Path, content: str, what: str) -> None:
    """Bombs, numbers and wrong shapes end in one sentence, never in another error."""
    path = tmp_path / "absurd.toml"
    path.write_text(content, encoding="utf-8")

    with pytest.raises(BadFile) as caught:
        load_procedure(path)
    everything = str(caught.value)
    assert what in everything or "more faults" in everything
    assert len(everything) < 800


@pytest.mark.parametrize("name", ["no-such-service", "../secrets.toml", "/", "", "a\x00b"])
def test_a_name_that_is_no_procedure_is_refused(name: str) -> None:
    """Neither a wrong name nor a wrong path is any other error."""
    with pytest.raises(BadFile):
        load_procedure(name)


# ---------------------------------------------------------------- lines


def test_a_line_is_looked_for_inside_its_table_only() -> None:
    """The first word chooses the table; what is not in it leaves the line at the table."""
    text = (
        '# id = "b"\n[[step]]\nid = "a"\nsay = "x"\n[[step.exit]]\non = "leak"\n'
        '[[step]]\nid = "b"\nkind = "do"\n'
    )

    assert line_in(text, "a", "leak") == 6
    assert line_in(text, "a", "kind") == 3
    assert line_in(text, "b") == 8
    assert line_in(text, "b", "kind") == 9
    assert line_in(text, "nothing", "here") is None
