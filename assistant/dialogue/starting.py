"""Starting by voice: new job, resume or quick job, then a service and a vehicle by their spoken number."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from assistant.dialogue.reply import Heard, Reply
from assistant.grammar.meaning import Meaning, NoMatch

LONGEST_LIST = 12


@dataclass(frozen=True, slots=True)
class Offer:
    """What there is to choose from: services, vehicles and open jobs, each a spoken name."""

    services: tuple[str, ...]
    vehicles: tuple[str, ...]
    jobs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Choice:
    """What was chosen so far; places count from 0. `ready` once nothing is open."""

    what: str = ""
    """new, quick or resume."""
    service: int | None = None
    vehicle: int | None = None
    job: int | None = None

    def open_list(self) -> str:
        """Return what is to be chosen next: what, service, vehicle, job, or "" when all is."""
        if not self.what:
            return "what"
        if self.what == "resume":
            return "" if self.job is not None else "job"
        if self.service is None:
            return "service"
        return "vehicle" if self.what == "new" and self.vehicle is None else ""


def first(offer: Offer) -> tuple[Choice, tuple[Reply, ...]]:
    """Return the welcome."""
    return Choice(), (Reply("welcome", {"open_jobs": len(offer.jobs)}),)


def choose(offer: Offer, choice: Choice, heard: Heard) -> tuple[Choice, tuple[Reply, ...]]:
    """Return the choice after one more utterance, and what is said to it; a list of one chooses itself."""
    meaning = heard.meaning
    if isinstance(meaning, NoMatch):
        return choice, () if meaning.reason == "empty" else (Reply("choose-how"), *_ask(offer, choice))
    if meaning.kind in ("say-again", "list-words", "where"):
        return choice, _ask(offer, choice)
    changed = _changed(offer, choice, meaning)
    if changed is None:
        return choice, (Reply("choose-how"), *_ask(offer, choice))
    changed = _only_ones(offer, changed)
    return changed, _ask(offer, changed)


def _changed(offer: Offer, choice: Choice, meaning: Meaning) -> Choice | None:
    """Return the choice this sentence makes, None where it makes none."""
    wanted = {"new-job": "new", "quick-job": "quick", "resume-job": "resume"}.get(meaning.kind)
    if wanted is not None:
        if wanted == "resume" and not offer.jobs:
            return None
        return Choice(what=wanted)
    what = choice.open_list()
    place = None if what == "what" else place_of(meaning, len(_options(offer, what)))
    return None if place is None else _with(choice, what, place)


def place_of(meaning: Meaning, count: int) -> int | None:
    """Return which of a numbered list of `count` is meant, from 0; None where that is none of them."""
    if meaning.kind not in ("choice", "number") or meaning.value is None or "." in meaning.value:
        return None
    place = int(meaning.value) - 1
    return place if 0 <= place < count else None


def _with(choice: Choice, what: str, place: int) -> Choice:
    if what == "service":
        return replace(choice, service=place)
    return replace(choice, vehicle=place) if what == "vehicle" else replace(choice, job=place)


def _only_ones(offer: Offer, choice: Choice) -> Choice:
    while (what := choice.open_list()) in ("service", "vehicle", "job") and len(_options(offer, what)) == 1:
        choice = _with(choice, what, 0)
    return choice


def _options(offer: Offer, what: str) -> Sequence[str]:
    lists = {"service": offer.services, "vehicle": offer.vehicles, "job": offer.jobs}
    return lists.get(what, ())[:LONGEST_LIST]


def _ask(offer: Offer, choice: Choice) -> tuple[Reply, ...]:
    what = choice.open_list()
    if not what:
        return ()
    if what == "what":
        return (Reply("welcome", {"open_jobs": len(offer.jobs)}),)
    options = tuple(_options(offer, what))
    return (
        Reply("menu", {"what": what, "options": options}) if options else Reply("menu-empty", {"what": what}),
    )
