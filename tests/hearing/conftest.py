"""The real parts of the ear for the full tier: model, compiled grammars, recognisers."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest

from assistant.grammar import Grammar, compile_grammar
from assistant.grammar.judgement import ANYTHING, Expectation
from assistant.hearing.graph_cache import prepared_folder
from assistant.hearing.recogniser import Recogniser
from assistant.hearing.utterance import Utterance
from assistant.shelf.places import data_folder
from tests.hearing.small_grammar import small_grammar

Hear = Callable[..., list[Utterance]]


@pytest.fixture(scope="session")
def cache(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A cache of its own for compiled grammars, in a folder whose name has a space and Cyrillic letters."""
    return tmp_path_factory.mktemp("кэш с пробелом")


@pytest.fixture(scope="session")
def english() -> Grammar:
    """The shipped grammar."""
    file = data_folder("grammars") / "en.jsgf"
    return compile_grammar([(file.name, file.read_text("utf-8"))])


@pytest.fixture(scope="session")
def small_ear(model: Path, cache: Path) -> Recogniser:
    """An ear for the small grammar."""
    grammar = small_grammar()
    return Recogniser(prepared_folder(grammar.acceptor, model, cache), grammar)


@pytest.fixture(scope="session")
def ear(model: Path, cache: Path, english: Grammar) -> Recogniser:
    """An ear for the shipped grammar."""
    return Recogniser(prepared_folder(english.acceptor, model, cache), english)


def heard(
    ear: Recogniser,
    samples: npt.NDArray[np.int16],
    block: int = 1600,
    expectation: Expectation = ANYTHING,
) -> list[Utterance]:
    """Feed a whole stream in blocks of `block` samples and return what was decided."""
    ear.expectation = expectation
    pcm = samples.astype("<i2").tobytes()
    found: list[Utterance] = []
    for at in range(0, len(pcm), 2 * block):
        found += ear.feed(pcm[at : at + 2 * block])
    return found + ear.finish()
