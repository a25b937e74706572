"""The word graph, read back by a small reader written from the layout of the file format.

Source of the layout: OpenFst 1.8, fst/fst.h (FstHeader), fst/vector-fst.h and fst/symbol-table.cc.
"""

from __future__ import annotations

import math
import struct
from dataclasses import dataclass

import pytest

from assistant.errors import MissingPart, WrongInput
from assistant.grammar.acceptor import Acceptor, Arc, Tail
from assistant.grammar.graph import UnknownLoop, graph_bytes, missing_words, word_ids, words_txt

IDS = {"<eps>": 0, "drained": 40, "five": 7, "litres": 3, "yes": 90, "[unk]": 101}
HALF = -math.log(0.5)
ACCEPTOR = Acceptor(
    start=0,
    arcs=(
        (Arc("drained", HALF, 1), Arc("yes", HALF, 3)),
        (Arc("five", 0.0, 2),),
        (Arc("litres", 0.0, 3),),
        (),
    ),
    finals={3: 0.0},
)


@dataclass
class Read:
    """What the file says."""

    kind: str
    arc_kind: str
    version: int
    flags: int
    properties: int
    start: int
    finals: list[float]
    arcs: list[list[tuple[int, int, float, int]]]


def read_back(data: bytes) -> Read:
    """Read a vector automaton, asserting that its counts are true and nothing is left over."""
    at = 0

    def take(form: str) -> tuple[int, ...]:
        nonlocal at
        values = struct.unpack_from("<" + form, data, at)
        at += struct.calcsize("<" + form)
        return values

    def text() -> str:
        nonlocal at
        (length,) = take("i")
        at += length
        return data[at - length : at].decode("ascii")

    assert take("i") == (2125659606,)
    kind, arc_kind = text(), text()
    version, flags, properties, start, states, count = take("iiQqqq")
    finals: list[float] = []
    arcs: list[list[tuple[int, int, float, int]]] = []
    for _ in range(states):
        final, number = take("fq")
        finals.append(final)
        arcs.append([take("iifi") for _ in range(number)])  # type: ignore[misc]
    assert at == len(data)
    assert sum(map(len, arcs)) == count
    return Read(kind, arc_kind, version, flags, properties, start, finals, arcs)


def cost_of(graph: Read, labels: list[int]) -> float:
    """Cost of a word sequence through the graph; infinite when it is not accepted."""
    state, total = graph.start, 0.0
    for label in labels:
        step = [arc for arc in graph.arcs[state] if arc[0] == label]
        if len(step) != 1:
            return math.inf
        total += step[0][2]
        state = step[0][3]
    return total + graph.finals[state]


def test_header_and_sorting() -> None:
    graph = read_back(graph_bytes(ACCEPTOR, IDS))
    assert (graph.kind, graph.arc_kind, graph.version, graph.flags) == ("vector", "standard", 2, 0)
    assert graph.properties == 0x3  # expanded and mutable, in fst/properties.h; no claim about order
    for arcs in graph.arcs:
        assert arcs == sorted(arcs)
        assert all(inward == outward for inward, outward, _, _ in arcs)


def test_accepts_the_sentences_with_their_costs_and_nothing_else() -> None:
    graph = read_back(graph_bytes(ACCEPTOR, IDS))
    word = IDS
    assert cost_of(graph, [word["drained"], word["five"], word["litres"]]) == pytest.approx(HALF)
    assert cost_of(graph, [word["yes"]]) == pytest.approx(HALF)
    for refused in (["yes", "yes"], ["five", "litres"]):
        assert cost_of(graph, [word[each] for each in refused]) == math.inf


def test_a_sentence_may_break_off_at_a_cost() -> None:
    """Else the rest of it would be fitted to the noise that follows."""
    graph = read_back(graph_bytes(ACCEPTOR, IDS, UnknownLoop(unfinished=5.0)))
    assert cost_of(graph, [IDS["drained"]]) == pytest.approx(HALF + 5.0)
    assert cost_of(graph, [IDS["drained"], IDS["five"]]) == pytest.approx(HALF + 5.0)


def test_unknown_words_are_an_alternative_to_sentences_and_never_part_of_one() -> None:
    loop = UnknownLoop(first=1.0, further=0.25, silence=3.0)
    graph = read_back(graph_bytes(ACCEPTOR, IDS, loop))
    unknown, yes = IDS["[unk]"], IDS["yes"]
    assert cost_of(graph, [unknown]) == pytest.approx(1.25)
    assert cost_of(graph, [unknown] * 4) == pytest.approx(2.0)
    assert cost_of(graph, [unknown, yes]) == math.inf
    assert cost_of(graph, [yes, unknown]) == math.inf
    assert cost_of(graph, []) == pytest.approx(3.0)


def test_a_tail_is_a_move_without_a_word() -> None:
    """Units after a number, kept once; label 0 is the empty word of the library."""
    shared = Acceptor(
        start=3,
        arcs=((), (Arc("litres", 0.0, 0),), (), (Arc("drained", HALF, 2), Arc("yes", HALF, 0))),
        finals={0: 0.0},
        tails={2: (Tail(0.5, 1),)},
    )
    graph = read_back(graph_bytes(shared, IDS))
    assert graph.arcs[2] == [(0, 0, 0.5, 1)]
    assert shared.arc_count == sum(map(len, graph.arcs)) - 2  # the loop of unknown words has two
    assert shared.accepts(("drained", "litres"))
    assert [arc.cost for arc in shared.following(2)] == [0.5]
    assert not shared.accepts(("drained",))


def test_every_missing_word_is_named() -> None:
    ids = {word: label for word, label in IDS.items() if word not in ("five", "litres")}
    with pytest.raises(WrongInput, match="five, litres"):
        graph_bytes(ACCEPTOR, ids)
    assert missing_words(["yes", "torx", "undertray", "torx"], IDS) == ["torx", "undertray"]
    with pytest.raises(WrongInput, match="unk"):
        graph_bytes(ACCEPTOR, {"drained": 1, "five": 2, "litres": 3, "yes": 4})


def test_words_txt_is_a_symbol_table_in_text() -> None:
    lines = words_txt(["yes", "five"], IDS).decode().splitlines()
    assert lines == ["<eps> 0", "five 7", "yes 90", "[unk] 101"]


def symbol_table(words: dict[str, int]) -> bytes:
    """A symbol table as the library writes it, embedded in the header of a graph."""

    def text(value: str) -> bytes:
        return struct.pack("<i", len(value.encode())) + value.encode()

    head = struct.pack("<i", 2125659606) + text("ngram") + text("standard")
    head += struct.pack("<iiQqqq", 4, 3, 0x1, 1, 10, 0)
    table = struct.pack("<i", 2125658996) + text("words.txt") + struct.pack("<qq", 200, len(words))
    return (
        head + table + b"".join(text(word) + struct.pack("<q", key) for word, key in words.items()) + b"tail"
    )


def test_word_ids_are_read_from_the_embedded_table() -> None:
    assert word_ids(symbol_table({**IDS, "naïve": 5})) == {**IDS, "naïve": 5}


@pytest.mark.parametrize("kept", [0, 3, 30, 80, 120])
def test_a_graph_cut_short_is_a_missing_part(kept: int) -> None:
    with pytest.raises(MissingPart, match=r"Gr\.fst"):
        word_ids(symbol_table(IDS)[:kept])


def test_another_file_is_a_missing_part() -> None:
    with pytest.raises(MissingPart, match="not a word graph"):
        word_ids(b"\0" * 200)
