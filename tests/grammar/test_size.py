"""Size and speed of the compiled English grammar, and that its costs are probabilities."""

from __future__ import annotations

import time
from math import exp, isclose, log

from assistant.grammar import Grammar, compile_grammar

MOST_ARCS = 20_000
MOST_SECONDS = 3.0


def test_the_acceptor_is_small(grammar: Grammar) -> None:
    assert grammar.acceptor.arc_count <= MOST_ARCS


def test_compiling_is_quick_and_gives_the_same_again(grammar: Grammar, english_text: str) -> None:
    """Processor time, so that a busy machine counts less."""
    begin = time.process_time()
    acceptor = compile_grammar([("en.jsgf", english_text)]).acceptor
    assert time.process_time() - begin <= MOST_SECONDS
    assert acceptor == grammar.acceptor


def test_parsing_is_quick_enough_for_every_partial(grammar: Grammar) -> None:
    sentence = "correction second can nought point eight litres"
    begin = time.process_time()
    for _ in range(200):
        grammar.parse(sentence)
        grammar.standing(sentence)
    assert (time.process_time() - begin) / 200 <= 0.002


def test_costs_are_probabilities_at_every_state(grammar: Grammar) -> None:
    acceptor = grammar.acceptor
    for state, arcs in enumerate(acceptor.arcs):
        total = sum(exp(-arc.cost) for arc in arcs)
        if state in acceptor.finals:
            total += exp(-acceptor.finals[state])
        assert isclose(total, 1.0, abs_tol=1e-9), state


def test_no_word_is_all_but_forbidden(grammar: Grammar) -> None:
    """The even part bounds each cost, whatever the weights say."""
    widest = max(len(arcs) for arcs in grammar.acceptor.arcs) + 1
    assert max(arc.cost for arcs in grammar.acceptor.arcs for arc in arcs) <= log(widest / 0.15) + 1e-9


def test_thirteen_is_as_likely_as_thirty_everywhere(grammar: Grammar) -> None:
    pairs = [("thirteen", "thirty"), ("fourteen", "forty"), ("fifteen", "fifty"), ("sixteen", "sixty")]
    pairs += [("seventeen", "seventy"), ("eighteen", "eighty"), ("nineteen", "ninety")]
    compared = 0
    for arcs in grammar.acceptor.arcs:
        cost = {arc.word: arc.cost for arc in arcs}
        for teen, ten in pairs:
            if teen in cost and ten in cost:
                compared += 1
                assert isclose(cost[teen], cost[ten]), (teen, ten)
    assert compared > 50


def test_the_acceptor_is_deterministic_sorted_and_minimal(grammar: Grammar) -> None:
    acceptor = grammar.acceptor
    for arcs in acceptor.arcs:
        words = [arc.word for arc in arcs]
        assert words == sorted(set(words))
    ways = [
        (state in acceptor.finals, tuple((arc.word, arc.target) for arc in arcs))
        for state, arcs in enumerate(acceptor.arcs)
    ]
    assert len(set(ways)) == len(ways)


def test_the_acceptor_has_the_words_of_the_grammar(grammar: Grammar) -> None:
    assert grammar.acceptor.words == grammar.words
