"""Size and speed of the compiled English grammar, and that its costs are probabilities."""

from __future__ import annotations

import time
from collections import Counter
from math import exp, isclose, log

from assistant.grammar import Grammar, compile_grammar
from assistant.grammar.determine import determine, minimal_acceptor

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
        total += sum(exp(-tail.cost) for tail in acceptor.tails.get(state, ()))
        if state in acceptor.finals:
            total += exp(-acceptor.finals[state])
        assert isclose(total, 1.0, abs_tol=1e-9), state


def test_no_word_is_all_but_forbidden(grammar: Grammar) -> None:
    """The even part bounds each cost, whatever the weights say."""
    acceptor = grammar.acceptor
    following = [acceptor.following(state) for state in range(len(acceptor.arcs))]
    widest = max(map(len, following)) + 1
    # Where words are shared by states their mean counts, which a state may undercut: by less than half.
    assert max(arc.cost for arcs in following for arc in arcs) <= log(2 * widest / 0.15)


def test_thirteen_is_as_likely_as_thirty_everywhere(grammar: Grammar) -> None:
    pairs = [("thirteen", "thirty"), ("fourteen", "forty"), ("fifteen", "fifty"), ("sixteen", "sixty")]
    pairs += [("seventeen", "seventy"), ("eighteen", "eighty"), ("nineteen", "ninety")]
    compared = 0
    for state in range(len(grammar.acceptor.arcs)):
        cost = {arc.word: arc.cost for arc in grammar.acceptor.following(state)}
        for teen, ten in pairs:
            if teen in cost and ten in cost:
                compared += 1
                assert isclose(cost[teen], cost[ten]), (teen, ten)
    assert compared > 50


def test_the_acceptor_is_deterministic_sorted_and_minimal(grammar: Grammar) -> None:
    acceptor = grammar.acceptor
    ways = []
    for state, arcs in enumerate(acceptor.arcs):
        words = [arc.word for arc in arcs]
        assert words == sorted(set(words))
        following = acceptor.following(state)
        assert len({arc.word for arc in following}) == len(following)
        ways.append((state in acceptor.finals, tuple((arc.word, arc.target) for arc in following)))
    shared = {tail.target for tails in acceptor.tails.values() for tail in tails}
    own = [way for state, way in enumerate(ways) if state not in shared]
    assert len(set(own)) == len(own)


def test_what_is_shared_is_shared_by_several_and_ends_nowhere(grammar: Grammar) -> None:
    acceptor = grammar.acceptor
    entries = Counter(tail.target for tails in acceptor.tails.values() for tail in tails)
    assert entries, "nothing is shared: the test tests nothing"
    for target, times in entries.items():
        assert times > 1
        assert target not in acceptor.finals
        assert target not in acceptor.tails


def test_sharing_changes_no_sentence(grammar: Grammar) -> None:
    """Every sentence of the shared acceptor, walked beside the one that shares nothing."""
    plain = minimal_acceptor(determine(grammar.automaton), frozenset())
    pairs = {plain.start: grammar.acceptor.start}
    for state in range(plain.start, -1, -1):  # a target is always before its source
        if state not in pairs:
            continue
        ours = {arc.word: arc for arc in grammar.acceptor.following(pairs[state])}
        assert sorted(ours) == [arc.word for arc in plain.arcs[state]]
        assert (state in plain.finals) == (pairs[state] in grammar.acceptor.finals)
        for arc in plain.arcs[state]:
            assert pairs.setdefault(arc.target, ours[arc.word].target) == ours[arc.word].target
    assert len(pairs) == len(plain.arcs)


def test_the_acceptor_has_the_words_of_the_grammar(grammar: Grammar) -> None:
    assert grammar.acceptor.words == grammar.words
