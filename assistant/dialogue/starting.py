"""Starting by voice: new job, resume or quick job, then services and a vehicle by their spoken number.

After the first service it is asked once whether another goes with it, as long as one can.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from assistant.dialogue.reply import Heard, Reply
from assistant.grammar.meaning import Meaning, NoMatch

LONGEST_LIST = 12
MOST_JOINED = 4
ENOUGH = frozenset({"no", "skip", "done", "next"})
"""What says that no other service goes with those chosen."""


@dataclass(frozen=True, slots=True)
class Offer:
    """What there is to choose from: services, vehicles and open jobs, each a spoken name."""

    services: tuple[str, ...]
    vehicles: tuple[str, ...]
    jobs: tuple[str, ...] = ()
    units: tuple[frozenset[str], ...] = ()
    """The units each service works on: two that share one cannot go into one job."""

    def joinable(self, chosen: tuple[int, ...]) -> tuple[int, ...]:
        """Return the places of the services that can go into one job with those chosen."""
        if len(chosen) >= MOST_JOINED:
            return ()
        taken = frozenset[str]().union(*(self.units[one] for one in chosen)) if self.units else frozenset()
        places = range(min(len(self.units), LONGEST_LIST))
        return tuple(one for one in places if one not in chosen and not self.units[one] & taken)


@dataclass(frozen=True, slots=True)
class Choice:
    """What was chosen so far; places count from 0."""

    what: str = ""
    """new, quick or resume."""
    services: tuple[int, ...] = ()
    enough: bool = False
    """Whether no other service is to go with them."""
    vehicle: int | None = None
    job: int | None = None

    def open_list(self) -> str:
        """Return what is to be chosen next: what, service, more, vehicle, job, or "" when all is."""
        if not self.what:
            return "what"
        if self.what == "resume":
            return "" if self.job is not None else "job"
        if not self.services:
            return "service"
        if not self.enough:
            return "more"
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
        return choice, (*_whole_list(offer, choice), *_ask(offer, choice))
    changed = _changed(offer, choice, meaning)
    if changed is None:
        other = place_of(meaning, len(_options(offer, "service"))) if choice.open_list() == "more" else None
        why = (
            Reply("choose-how") if other is None else Reply("menu-same-unit", {"name": offer.services[other]})
        )
        return choice, (why, *_ask(offer, choice))
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
    if what == "more" and meaning.kind in ENOUGH:
        return replace(choice, enough=True)
    place = None if what == "what" else place_of(meaning, len(_options(offer, what)))
    if place is None or (what == "more" and place not in offer.joinable(choice.services)):
        return None
    return _with(choice, what, place)


def place_of(meaning: Meaning, count: int) -> int | None:
    """Return which of a numbered list of `count` is meant, from 0; None where that is none of them."""
    if meaning.kind not in ("choice", "number") or meaning.value is None or "." in meaning.value:
        return None
    place = int(meaning.value) - 1
    return place if 0 <= place < count else None


def _with(choice: Choice, what: str, place: int) -> Choice:
    if what in ("service", "more"):
        return replace(choice, services=(*choice.services, place))
    return replace(choice, vehicle=place) if what == "vehicle" else replace(choice, job=place)


def _only_ones(offer: Offer, choice: Choice) -> Choice:
    """Choose what there is one of only; none goes with the services once none can."""
    while what := choice.open_list():
        if what == "more" and not offer.joinable(choice.services):
            choice = replace(choice, enough=True)
        elif what in ("service", "vehicle", "job") and len(_options(offer, what)) == 1:
            choice = _with(choice, what, 0)
        else:
            return choice
    return choice


def _options(offer: Offer, what: str) -> Sequence[str]:
    lists = {"service": offer.services, "more": offer.services, "vehicle": offer.vehicles, "job": offer.jobs}
    return lists.get(what, ())[:LONGEST_LIST]


def _whole_list(offer: Offer, choice: Choice) -> tuple[Reply, ...]:
    """Return the services that can still go with those chosen, where that is asked."""
    if choice.open_list() != "more":
        return ()
    there = offer.joinable(choice.services)
    options = tuple(offer.services[one] for one in there)
    return (Reply("menu-list", {"places": tuple(str(one + 1) for one in there), "options": options}),)


def _ask(offer: Offer, choice: Choice) -> tuple[Reply, ...]:
    what = choice.open_list()
    if not what:
        return ()
    if what == "what":
        return (Reply("welcome", {"open_jobs": len(offer.jobs)}),)
    if what == "more":
        return (Reply("menu-more", {"names": tuple(offer.services[one] for one in choice.services)}),)
    options = tuple(_options(offer, what))
    return (
        Reply("menu", {"what": what, "options": options}) if options else Reply("menu-empty", {"what": what}),
    )
