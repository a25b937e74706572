"""The phrasing: a `Reply` of the dialogue -> the sentences to be spoken or printed.

Takes reply values (a key and its arguments), gives tuples of sentences in which numbers and units are
words. Pure: every language is a table of functions. A further language is one more entry of
`LANGUAGES`, or a mapping of languages given to `phrase`.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from assistant.dialogue.reply import Reply
from assistant.errors import WrongInput
from assistant.phrasing.en.replies import ENGLISH
from assistant.phrasing.language import Args, Language, Wording

LANGUAGES: Mapping[str, Language] = MappingProxyType({ENGLISH.name: ENGLISH})
"""The languages that are shipped, by name."""


def languages(among: Mapping[str, Language] = LANGUAGES) -> tuple[str, ...]:
    """Return the names of the languages that can be spoken."""
    return tuple(among)


def phrase(reply: Reply, language: str = "en", among: Mapping[str, Language] = LANGUAGES) -> tuple[str, ...]:
    """Return the sentences of a reply, to be spoken one after the other.

    Raises `WrongInput` for a language that is not among them, a key that has no wording there, and an
    argument that is absent or of the wrong type.
    """
    return _wording(reply.key, _language(language, among))(Args(reply.key, reply.args))


def examples(kind: str, language: str = "en", among: Mapping[str, Language] = LANGUAGES) -> tuple[str, ...]:
    """Return sentences a mechanic may say for a kind of meaning; empty where the language has none."""
    return _language(language, among).examples.get(kind, ())


def _language(name: str, among: Mapping[str, Language]) -> Language:
    if name not in among:
        raise WrongInput(f"no language '{name}'; there is {', '.join(among)}")
    return among[name]


def _wording(key: str, language: Language) -> Wording:
    if key not in language.replies:
        raise WrongInput(f"language '{language.name}' has no wording for the reply '{key}'")
    return language.replies[key]


__all__ = ["LANGUAGES", "Args", "Language", "Wording", "examples", "languages", "phrase"]
