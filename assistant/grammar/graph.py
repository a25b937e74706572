"""The grammar as the recogniser's own graph: bytes of an OpenFst vector automaton.

The recogniser composes its acoustic network with a word graph read from a file. Written here is
that file, so the recogniser can hear nothing but the sentences of the grammar, their beginnings, or `[unk]`:
one or more unknown words that are no sentence. A filler before or after a sentence makes it no sentence.

Layout, little endian (OpenFst, fst/fst.h and fst/vector-fst.h): int32 magic 2125659606; type
"vector" and arc type "standard", each an int32 length and the letters; int32 version 2; int32 flags
0; uint64 properties; int64 start, states, arcs. Then per state float32 final cost (+inf: not final)
and int64 number of arcs, each int32 input label, int32 output label, float32 cost, int32 target.
"""

from __future__ import annotations

import struct
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import inf

from assistant.errors import MissingPart, WrongInput
from assistant.grammar.acceptor import Acceptor

UNKNOWN = "[unk]"
"""The model's word for any sound of speech that is none of its known words."""
EPSILON = "<eps>"
_NO_WORD = 0
"""The label of a move without a word."""
_FST_MAGIC = 2125659606
_SYMBOLS_MAGIC = 2125658996
_HAS_INPUT_SYMBOLS, _HAS_OUTPUT_SYMBOLS = 1, 2
_VECTOR_VERSION = 2
_PROPERTIES = 0x3
"""Expanded and mutable, nothing more: the library then works out the rest itself. A false claim of
sorted arcs would load and give silently wrong words; unclaimed and unsorted it fails loudly."""


@dataclass(frozen=True, slots=True)
class UnknownLoop:
    """Costs (nats, as -log probability) of what is no sentence of the grammar."""

    first: float = 1.2
    """Entering the loop: about the share of utterances that are no sentence, -ln 0.3."""
    further: float = 0.7
    """Each further unknown word, -ln 0.5."""
    silence: float = 1.2
    """No word at all: without this path a noise would have to become some word."""
    unfinished: float = 4.0
    """Ending in the middle of a sentence: without this path the recogniser fits the rest of one to the noise
    after "how long until fifty". What ends so is never acted on."""


def word_ids(gr_fst: bytes) -> dict[str, int]:
    """Return word -> label, read from the symbol table inside the model's own word graph `Gr.fst`.

    Raises `MissingPart` when the bytes are no such graph or are cut short.
    """
    reader = _Reader(gr_fst)
    try:
        if reader.int32() != _FST_MAGIC:
            raise MissingPart("The model's graph/Gr.fst is not a word graph; fetch the model again.")
        reader.text(), reader.text(), reader.int32()
        flags = reader.int32()
        reader.skip(32)
        if not flags & (_HAS_INPUT_SYMBOLS | _HAS_OUTPUT_SYMBOLS):
            raise MissingPart("The model's graph/Gr.fst carries no word list; this model cannot be used.")
        return reader.symbols()
    except struct.error as cut:
        raise MissingPart("The model's graph/Gr.fst is cut short; fetch the model again.") from cut


def graph_bytes(acceptor: Acceptor, ids: Mapping[str, int], unknown: UnknownLoop | None = None) -> bytes:
    """Return the automaton as an OpenFst file: sentences, their beginnings, and the `[unk]` loop.

    Raises `WrongInput` naming every word of the acceptor that the model does not have.
    """
    loop = unknown or UnknownLoop()
    _refuse_missing(acceptor, ids)
    states = [[(ids[arc.word], arc.cost, arc.target) for arc in arcs] for arcs in acceptor.arcs]
    for state, tails in acceptor.tails.items():
        states[state].extend((_NO_WORD, tail.cost, tail.target) for tail in tails)
    finals = dict.fromkeys((arc.target for arcs in acceptor.arcs for arc in arcs), loop.unfinished)
    finals.update({state: float(cost) for state, cost in acceptor.finals.items()})
    # The automaton is acyclic, so nothing leads back to its start: what is added there is allowed
    # only at the very beginning of an utterance.
    other = len(states)
    states.append([(ids[UNKNOWN], loop.further, other)])
    finals[other] = loop.further
    states[acceptor.start].append((ids[UNKNOWN], loop.first, other))
    finals[acceptor.start] = min(loop.silence, finals.get(acceptor.start, inf))
    return _vector_fst(acceptor.start, states, finals)


def words_txt(words: Iterable[str], ids: Mapping[str, int]) -> bytes:
    """Return the word list that belongs to a graph: one "word id" per line, with `[unk]` and epsilon."""
    wanted = {word: ids[word] for word in {*words, UNKNOWN}}
    wanted[EPSILON] = _NO_WORD
    lines = [f"{word} {label}\n" for word, label in sorted(wanted.items(), key=lambda pair: pair[1])]
    return "".join(lines).encode("utf-8")


def missing_words(words: Iterable[str], ids: Mapping[str, int]) -> list[str]:
    """Return, sorted, the words the model does not have: it could never hear them."""
    return sorted(word for word in set(words) if word not in ids)


def _refuse_missing(acceptor: Acceptor, ids: Mapping[str, int]) -> None:
    if UNKNOWN not in ids:
        raise WrongInput(f"The model has no word {UNKNOWN}; it would force every sound into a command.")
    missing = missing_words(acceptor.words, ids)
    if missing:
        raise WrongInput(
            f"The model has no such word, so nobody could be heard saying it: {', '.join(missing)}."
        )


def _vector_fst(start: int, states: list[list[tuple[int, float, int]]], finals: Mapping[int, float]) -> bytes:
    parts = [struct.pack("<i", _FST_MAGIC)]
    parts += [struct.pack("<i", len(name)) + name for name in (b"vector", b"standard")]
    count = sum(len(arcs) for arcs in states)
    parts.append(struct.pack("<iiQqqq", _VECTOR_VERSION, 0, _PROPERTIES, start, len(states), count))
    for number, arcs in enumerate(states):
        parts.append(struct.pack("<fq", finals.get(number, inf), len(arcs)))
        parts += [struct.pack("<iifi", label, label, cost, target) for label, cost, target in sorted(arcs)]
    return b"".join(parts)


class _Reader:
    """Walks the bytes of a file of the library; every short read raises struct.error."""

    def __init__(self, data: bytes) -> None:
        self._data, self._at = data, 0

    def int32(self) -> int:
        return int(self._number("<i", 4))

    def int64(self) -> int:
        return int(self._number("<q", 8))

    def text(self) -> str:
        length = self.int32()
        if length < 0 or self._at + length > len(self._data):
            raise struct.error("text runs past the end")
        self._at += length
        return self._data[self._at - length : self._at].decode("utf-8")

    def skip(self, count: int) -> None:
        self._at += count

    def symbols(self) -> dict[str, int]:
        if self.int32() != _SYMBOLS_MAGIC:
            raise struct.error("no symbol table")
        self.text(), self.int64()
        size = self.int64()
        table: dict[str, int] = {}
        for _ in range(size):
            word = self.text()
            table[word] = self.int64()
        return table

    def _number(self, form: str, width: int) -> int:
        (value,) = struct.unpack_from(form, self._data, self._at)
        self._at += width
        return int(value)
