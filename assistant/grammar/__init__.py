"""Words -> meaning: grammar files compiled to one automaton that serves hearing and understanding."""

from assistant.grammar.acceptor import Acceptor, Arc
from assistant.grammar.card import phrases
from assistant.grammar.grammar import Grammar, Standing, compile_grammar
from assistant.grammar.meaning import KINDS, Kind, Meaning, NoMatch

__all__ = [
    "KINDS",
    "Acceptor",
    "Arc",
    "Grammar",
    "Kind",
    "Meaning",
    "NoMatch",
    "Standing",
    "compile_grammar",
    "phrases",
]
