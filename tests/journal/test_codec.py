"""Events as text: every kind round-trips, nothing inexact gets in, the future is kept and not guessed."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import fields, replace
from types import MappingProxyType
from typing import Any, get_type_hints

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.errors import AssistantError, WrongInput
from assistant.job import events as catalogue
from assistant.job.events import Event, JobStarted, StepEntered, StoodBy
from assistant.journal.codec import UnknownEvent, decode, encode, event_classes, instant_of
from assistant.journal.sureness import sure_text
from assistant.journal.upcasts import UPCASTS, current_version
from tests.journal.facts import AT, reading, started

PLAIN = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**70), 2**70) | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=4), inner, max_size=3),
    max_leaves=8,
)


def any_event(cls: type[Event]) -> st.SearchStrategy[Event]:
    """Build events of a class from the types of its fields; plain mappings get plain values."""
    special: dict[str, st.SearchStrategy[Any]] = {
        name: st.dictionaries(st.text(max_size=4), PLAIN, max_size=3)
        for name, hint in get_type_hints(cls).items()
        if hint == Mapping[str, object]
    }
    return st.builds(cls, **{**dict.fromkeys(get_type_hints(cls), ...), **special})


def test_the_catalogue_is_found_by_looking() -> None:
    """Every class in the module of events that is an event, and only those, can be kept."""
    written = {
        name for name, value in vars(catalogue).items() if isinstance(value, type) and Event in value.__mro__
    }

    assert set(event_classes()) == written - {"Event"}
    assert len(event_classes()) >= 30


@pytest.mark.parametrize("name", sorted(event_classes()))
@settings(max_examples=12, deadline=None)
@given(data=st.data())
def test_every_kind_of_event_comes_back_equal(name: str, data: st.DataObject) -> None:
    """Text and back gives an equal event, and the same text again; its instant can be told apart."""
    event = data.draw(any_event(event_classes()[name]))
    kind, version, text = encode(event)
    back = decode(kind, version, text)

    assert (kind, back, type(back)) == (name, event, type(event))
    assert encode(back) == (kind, version, text)
    assert instant_of(text) == event.at


def test_the_text_is_canonical() -> None:
    """Keys sorted, no space, ASCII, no fraction: equal events have equal text on any machine."""
    _, _, text = encode(replace(started("J"), sheet={"b": 1, "a": "é"}))  # type: ignore[call-arg]

    assert '"sheet":{"a":"\\u00e9","b":1}' in text
    assert text == json.dumps(json.loads(text), sort_keys=True, separators=(",", ":"))


@pytest.mark.parametrize(
    "value",
    [1.5, float("nan"), 1 + 0j, (1, 2), {1: "one"}, {"deep": [{"er": 0.1}]}, b"bytes", {"a"}, object()],
)
def test_what_would_not_come_back_is_refused(value: object) -> None:
    """Floats, tuples, sets, bytes, objects and keys that are no text do not get into a plain mapping."""
    event = JobStarted(at=AT, job="J", procedure={"v": value}, sheet={}, settings={}, versions={})

    with pytest.raises(WrongInput, match="JobStarted cannot be kept"):
        encode(event)


@pytest.mark.parametrize("step", [None, 3, True, 2.5, ["a"], b"a"])
def test_a_field_of_the_wrong_type_is_refused_when_written(step: object) -> None:
    """A fault of the program shows when the event is made durable, not months later when it is read."""
    with pytest.raises(WrongInput, match="StepEntered cannot be kept"):
        encode(StepEntered(at=AT, step=step))  # type: ignore[arg-type]


def test_a_list_in_the_place_of_a_tuple_is_refused() -> None:
    """It would come back as a tuple, and the replayed state would differ from the one in memory."""
    event = replace(reading(1), slots=[("form", "part")])  # type: ignore[call-arg]

    with pytest.raises(WrongInput, match="slots would not come back the same"):
        encode(event)


def test_a_mapping_of_another_class_is_kept_as_a_plain_one() -> None:
    """A read-only view comes back as an equal dictionary."""
    event = JobStarted(
        at=AT, job="J", procedure=MappingProxyType({"a": ["b"]}), sheet={}, settings={}, versions={}
    )

    assert decode(*encode(event)) == event


def test_a_stranger_is_refused() -> None:
    """A class that only looks like an event is not written, not even under the name of one."""
    stranger = type("StoodBy", (Event,), {})

    with pytest.raises(WrongInput, match="no kind of event"):
        encode(stranger(at=AT))


@pytest.mark.parametrize(("name", "version"), [("TorqueWrenchSnapped", 1), ("StoodBy", 99)])
def test_an_event_of_a_newer_program_says_what_to_do(name: str, version: int) -> None:
    """An unknown kind or version is named, with the cure; it is never skipped."""
    with pytest.raises(UnknownEvent, match="install that version or a later one"):
        decode(name, version, encode(StoodBy(at=AT))[2])


@settings(max_examples=300, deadline=None)
@given(
    text=st.text() | PLAIN.map(json.dumps),
    name=st.sampled_from(sorted(event_classes())),
    version=st.integers(-3, 3),
)
def test_damaged_text_gives_an_error_of_ours(text: str, name: str, version: int) -> None:
    """Whatever stands in the store, reading it gives an event or one clear error."""
    try:
        outcome: object = decode(name, version, text)
    except AssistantError as error:
        outcome = error

    assert isinstance(outcome, Event | AssistantError)


@pytest.mark.parametrize("text", ["[" * 200_000, '{"at":' * 50_000, "NaN", '{"at":1e400}', "9" * 10_000])
def test_bombs_are_refused(text: str) -> None:
    """Depth and size end in a clear error."""
    with pytest.raises(WrongInput):
        decode("StoodBy", 1, text)
    with pytest.raises(WrongInput):
        instant_of(text)


def test_old_versions_are_lifted_step_by_step() -> None:
    """Two numbered functions lift a first version to the third; from then on the third is written."""
    table = {
        ("StepEntered", 1): lambda old: {"at": old["at"], "step": old["place"]},
        ("StepEntered", 2): lambda old: {**old, "how": "start"},
    }
    old = json.dumps({"at": {"utc_ms": 1, "boot": "b", "up_ms": 2}, "place": "seven"})

    lifted = decode("StepEntered", 1, old, table)
    assert lifted == StepEntered(at=lifted.at, step="seven", how="start")
    assert encode(lifted, table)[1] == current_version("StepEntered", table) == 3
    assert decode(*encode(lifted, table), table) == lifted


def test_the_registered_functions_leave_no_gap() -> None:
    """For each kind the numbers run from one, and each is for a kind that exists."""
    for name in {name for name, _ in UPCASTS}:
        assert name in event_classes()
        assert sorted(number for kind, number in UPCASTS if kind == name) == list(
            range(1, current_version(name))
        )


def test_no_event_holds_a_float_by_type() -> None:
    """The types of the fields leave no place for a float or an object of a library."""
    for name, cls in event_classes().items():
        for field, hint in get_type_hints(cls).items():
            assert not re.search(r"float|Decimal|Any", str(hint)), f"{name}.{field}"


def test_reading_and_start_are_what_they_seem() -> None:
    """A worked example: the figure stands in the text as it was spoken."""
    assert '"unit":"litre","value":"4.5"' in encode(reading(4))[2]


@settings(max_examples=400, deadline=None)
@given(data=st.data(), name=st.sampled_from(sorted(event_classes())))
def test_what_is_not_read_back_would_come_back_the_same(name: str, data: st.DataObject) -> None:
    """Sureness is never wrong: whatever stands in a field, reading back agrees or was not left out."""
    event = data.draw(any_event(event_classes()[name]))
    field = data.draw(st.sampled_from([one.name for one in fields(event)]))
    odd = st.sampled_from(
        [None, 1, True, "x", "\ud83d", "\ud83d\udca7", 1.5, ["a"], ("a", 1), {"a": (1,)}, AT]
    )
    event = data.draw(st.sampled_from([event, replace(event, **{field: data.draw(odd)})]))
    try:
        kind, version, text = encode(event)
    except WrongInput:
        return
    assert decode(kind, version, text) == event
    assert text == json.dumps(json.loads(text), sort_keys=True, separators=(",", ":")), "another spelling"


def test_readings_are_sure_and_what_only_looks_right_is_not() -> None:
    """The usual events are not read back; a class of its own, a number for a text, a list are tried."""

    class Words(str):
        __slots__ = ()

    assert sure_text(reading(1))
    assert not sure_text(replace(reading(1), value=Words("1.5")))  # type: ignore[call-arg]
    assert not sure_text(replace(reading(1), slots=[("form", "part")]))  # type: ignore[call-arg]
    assert not sure_text(replace(reading(1), at=replace(AT, up_ms=True)))
    assert not sure_text(started("J"))
