"""Input that is small and asks for much: grammars, tables and archives made to be worked on for ever."""

from __future__ import annotations

import hashlib
import io
import json
import warnings
import zipfile
from functools import cache

from hypothesis import strategies as st

from assistant.journal.archive import FORMAT, MANIFEST

_PIECES = (
    "a", "[a]", "[a|b]", "(a|b)", "[a b]", "(a|b|c) [c]", "<ones>", "[<tens>]", "<whole> point {point}",
    "a {digit 1}", "[one {digit 1} | two {digit 2}]", "a {form=part}", "(a | [b] a | [b] [c] a)", "<more>",
)  # fmt: skip
_NAMES = (
    "journal.sqlite", "settings.toml", "clips/J/1.flac", "vehicles/van.toml", "../x", "/etc/x", "a/../../x",
    "..\\x", "C:\\x", "C:x", "CON", "clips/../../../x", ".x", "x/", "", "\0", "a\0b", "x" * 300, "\u00e9",
    "clips/J", "clips/J/../1.flac", "~/x", "vehicles//x.toml", "journal.sqlite/x", MANIFEST,
    "./journal.sqlite",
)  # fmt: skip
_DOUBLING = ("{0} {0}", "[{0}] {0}", "({0} a | {0} b)", "[{0}] (a {0} | b {0} c)", "({0} | {0} | a)")


@st.composite
def grammars(draw: st.DrawFn, toy: bytes) -> bytes:
    """A toy grammar with a rule more: one piece over and over, brackets in brackets, rules of rules."""
    how = draw(st.sampled_from(("row", "row", "nest", "rules")))
    count = draw(st.one_of(st.integers(1, 60), st.integers(1, 20_000)))
    if how == "row":
        pieces = draw(
            st.lists(st.tuples(st.sampled_from(_PIECES), st.integers(1, count)), min_size=1, max_size=4)
        )
        body = " ".join(" ".join([piece] * many) for piece, many in pieces)
        more = f"public <more> = go {{kind=yes}} {body};"
    elif how == "nest":
        left, right = draw(st.sampled_from((("(", ")"), ("[", "]"), ("(a ", ")"), ("[b ", "| c]"))))
        more = f"public <more> = go {{kind=yes}} {left * count}a{right * count};"
    else:
        shape = draw(st.sampled_from(_DOUBLING))
        rules = (f"<r{one}> = {shape.format(f'<r{one - 1}>')};" for one in range(1, count % 400 + 1))
        steps = "\n".join(rules)
        more = f"<r0> = a | b;\n{steps}\npublic <more> = go {{kind=yes}} <r{count % 400}>;"
    return toy + more.encode()


@st.composite
def tables(draw: st.DrawFn, *good: bytes) -> bytes:
    """A TOML file that goes on with one thing thousands of times, or with a figure beyond all measure."""
    many = draw(st.integers(1, 60_000))
    digits = min(many, 1900)
    more = draw(st.sampled_from((*_endless(many), *_figures(digits))))
    return draw(st.sampled_from((b"", *good))) + b"\n" + more.encode()


def _endless(many: int) -> tuple[str, ...]:
    few = many // 9
    return (
        "x = " + "[" * many,
        "x = " + "[\n" * many + "]\n" * many,
        "x = " + "{a=" * few,
        "x = " + "{a=" * 300 + "1" + "}" * 300,
        ".".join("a" * min(many, 900)) + " = 1",
        "".join(f"k{one} = {one}\n" for one in range(few)),
        "".join(f"[t{one}]\n" for one in range(few)),
        "[[step]]\n" * few,
        "[[fact]]\nid = 'x'\n" * few,
        "[a.b.c.d.e.f]\n" * min(many, 2000),
        "x = '''" + "\n" * many + "'''",
        "# " + "x\n" * many,
        "x = [\n" + "1,\n" * few + "]",
    )


def _figures(digits: int) -> tuple[str, ...]:
    figures = (
        "9" * digits,
        "1e1000000000",
        "-1e-1000000000",
        "0x" + "f" * digits,
        f"1.{'0' * digits}1",
        "-0.0",
    )
    keys = ("x", "voice_rate", "clip_days", "gain_db", "capacity_litres")
    return tuple(f"{key} = {figure}" for key in keys for figure in figures)


@cache
def _zeros(million: int) -> bytes:
    return bytes(million * 1_000_000)


@st.composite
def archives(draw: st.DrawFn, journal: bytes) -> bytes:
    """An archive by hand: names that lead elsewhere, entries that unpack to far more, figures that lie."""
    contents = st.one_of(st.just(journal), st.binary(max_size=50), st.integers(1, 3).map(_zeros))
    entries = draw(st.lists(st.tuples(st.sampled_from(_NAMES), contents), min_size=1, max_size=5))
    lie = draw(st.sampled_from(("", "", "", "size", "digest", "missing", "more", "absurd", "shape")))
    told: dict[str, object] = {}
    packed = draw(st.sampled_from((zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)))
    buffer = io.BytesIO()
    with warnings.catch_warnings(), zipfile.ZipFile(buffer, "w") as archive:
        warnings.simplefilter("ignore")  # that a name comes twice is meant
        for name, content in entries:
            info = zipfile.ZipInfo(name or "x")
            info.filename, info.compress_type = name, packed
            info.external_attr = draw(st.sampled_from((0o600, 0o777, 0o120777, 0o040755))) << 16
            archive.writestr(info, content)
            told[name] = {"size": len(content), "sha256": hashlib.sha256(content).hexdigest()}
        name = entries[0][0]
        if lie == "missing":
            del told[name]
        elif lie == "more":
            told["settings.toml"] = {"size": 1, "sha256": "0"}
        elif lie:
            size: object = draw(st.sampled_from((0, -1, 1, 2**63, 10**300, "9", None, [], 1.5, True)))
            told[name] = {"size": size, "sha256": "0" * 64} if lie in ("size", "absurd") else lie
        tree = {"format": FORMAT, "about": {}, "entries": told}
        if draw(st.integers(0, 9)):
            archive.writestr(MANIFEST, json.dumps(tree))
    return buffer.getvalue()
