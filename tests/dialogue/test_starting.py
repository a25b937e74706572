"""A job is begun by voice: services by number, another that goes with the first, then the vehicle."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from assistant.commands.understanding import from_line
from assistant.dialogue.starting import Choice, Offer, choose, first
from assistant.phrasing import phrase
from assistant.shelf.procedure_join import joined, units_of
from tests.bench import grammar, procedure

SERVICES = ("automatic-overflow", "engine-oil-filter", "automatic-repeat", "transfer-and-differentials")


def offer(*names: str, vehicles: Sequence[str] = ("Mill Street hatchback", "Copper Ridge pickup")) -> Offer:
    """Return what there is to choose from, of the real services."""
    data = [procedure(name) for name in names or SERVICES]
    return Offer(
        services=tuple(str(one["title"]) for one in data),
        vehicles=tuple(vehicles),
        units=tuple(frozenset(units_of(one)) for one in data),
    )


def after(what: Offer, *lines: str) -> tuple[Choice, list[str], str]:
    """Return the choice after these lines, the keys of the last replies, and their sentences."""
    choice, replies = first(what)
    for line in lines:
        choice, replies = choose(what, choice, from_line(line, grammar()))
    return choice, [one.key for one in replies], " ".join(s for one in replies for s in phrase(one, "en"))


def test_a_second_and_a_third_service_go_into_the_same_job() -> None:
    """Each by its number; then the vehicle is asked, and the services make one procedure."""
    choice, keys, said = after(offer(), "new job", "number one")
    assert (choice.services, choice.open_list(), keys) == ((0,), "more", ["menu-more"])
    assert "Which other service goes with it, by its number?" in said

    choice, keys, said = after(offer(), "new job", "number one", "number two", "number four")
    assert choice.services == (0, 1, 3)
    assert choice.open_list() == "vehicle", "nothing else can go with these three"
    assert keys == ["menu"]
    whole = joined([procedure(SERVICES[one]) for one in choice.services])
    assert len(whole["units"]) == 5  # type: ignore[arg-type]


@pytest.mark.parametrize("line", ["no", "done", "next step"])
def test_one_service_is_enough(line: str) -> None:
    """A no is one word, and the vehicle comes next."""
    choice, keys, _ = after(offer(), "new job", "number two", line)

    assert (choice.services, choice.open_list(), keys) == ((1,), "vehicle", ["menu"])


def test_two_services_of_one_unit_are_not_joined() -> None:
    """It is said which is in the way, and asked once more; a number beyond the list is none."""
    choice, keys, said = after(offer(), "new job", "number one", "number three")
    assert (choice.services, keys) == ((0,), ["menu-same-unit", "menu-more"])
    assert "Its unit is in this job already." in said

    choice, keys, _ = after(offer(), "new job", "number one", "number nine")
    assert (choice.services, keys) == ((0,), ["choose-how", "menu-more"])


def test_the_list_is_told_again_with_what_can_go_with_it() -> None:
    """Only those, each with the number it had."""
    _, keys, said = after(offer(), "new job", "number one", "say again")

    assert keys == ["menu-list", "menu-more"]
    assert "Two, engine oil and filter." in said
    assert "Four, transfer case, front and rear differential." in said
    assert "Three" not in said


def test_what_nothing_goes_with_is_not_asked_about() -> None:
    """Of two services of one gearbox: straight to the vehicle, and with one vehicle to the job."""
    choice, _, _ = after(offer("automatic-overflow", "automatic-repeat"), "new job", "number one")
    assert choice.open_list() == "vehicle"

    alone = offer("automatic-overflow", vehicles=("Mill Street hatchback",))
    choice, keys, _ = after(alone, "new job")
    assert (choice.services, choice.vehicle, choice.open_list(), keys) == ((0,), 0, "", [])


def test_the_shelf_offers_every_service_with_its_units() -> None:
    """What the program itself offers: the units by which it is judged are those a joined job has."""
    for one in SERVICES:
        data = procedure(one)
        other = procedure("coolant")
        units = joined([data, other])["units"]
        assert set(units_of(data)) | set(units_of(other)) == set(units)  # type: ignore[call-overload]
