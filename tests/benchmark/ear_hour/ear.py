"""The whole ear as a job has it, on this computer."""

from __future__ import annotations

from assistant.hearing.graph_cache import prepared_folder
from assistant.hearing.model import find_model
from assistant.hearing.recogniser import Recogniser
from assistant.shelf.places import cache_folder
from tests.bench import grammar


def open_ear() -> Recogniser:
    """Return a recogniser of the shipped grammar; raises `MissingPart` where the model is absent."""
    cache = cache_folder()
    return Recogniser(prepared_folder(grammar().acceptor, find_model(None, cache), cache), grammar())
