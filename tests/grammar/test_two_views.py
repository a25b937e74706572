"""Two views of one sound: what both have stands, what one alone has falls; when a second view is taken."""

from __future__ import annotations

from dataclasses import replace
from math import exp, log

import pytest

from assistant.grammar.judgement import (
    ANYTHING,
    Alternative,
    Conditions,
    Refused,
    Thresholds,
    Understood,
    judge,
)
from assistant.grammar.meaning import Meaning, NoMatch
from assistant.grammar.views import borne_out, combined, look_again, share_in, to_be_borne_out

VALUES = {"four litres": "4", "four liters": "4", "five litres": "5", "nine litres": "9"}
NOISY = Conditions(peak_db=-12.0, noise_db=-34.0)


def parse(words: str) -> Meaning | NoMatch:
    """A parser of three amounts."""
    return Meaning("drained", VALUES[words], "litre") if words in VALUES else NoMatch("unknown", words)


def view(**shares: float) -> list[Alternative]:
    """Alternatives with the given probabilities; 'four_litres' stands for the words."""
    return [
        Alternative(name.replace("_", " ").replace("UNK", "[unk]"), 50.0 + log(share))
        for name, share in shares.items()
    ]


def probabilities(alternatives: tuple[Alternative, ...]) -> dict[str, float]:
    total = sum(exp(each.score) for each in alternatives)
    return {each.words: exp(each.score) / total for each in alternatives}


def test_the_same_view_twice_changes_nothing() -> None:
    """Spellings of one meaning become one."""
    same = view(four_litres=0.5, four_liters=0.2, five_litres=0.2, UNK=0.1)

    assert probabilities(combined([same, same], parse)) == pytest.approx(
        {"four litres": 0.7, "five litres": 0.2, "[unk]": 0.1}
    )


def test_it_is_the_geometric_mean_of_both() -> None:
    """0.6 and 0.9 against 0.4 and 0.1, worked by hand: sqrt(.54) / (sqrt(.54) + sqrt(.04)) = 0.786."""
    found = probabilities(
        combined([view(four_litres=0.6, five_litres=0.4), view(four_litres=0.9, five_litres=0.1)], parse)
    )

    assert found == pytest.approx({"four litres": 0.786, "five litres": 0.214}, abs=0.001)


def test_views_that_contradict_each_other_decide_nothing() -> None:
    """Each sure of another number: neither is taken."""
    both = combined(
        [view(four_litres=0.99, five_litres=0.01), view(nine_litres=0.99, five_litres=0.01)], parse
    )

    assert isinstance(judge(both, parse, ANYTHING, NOISY), Refused)


def test_a_view_that_heard_no_sentence_is_a_vote_against() -> None:
    """The suppressor took the command for noise."""
    both = combined([view(four_litres=0.97, five_litres=0.03), view(UNK=1.0)], parse)

    assert isinstance(judge(both, parse, ANYTHING, NOISY), Refused)


def test_the_order_of_the_lists_does_not_matter() -> None:
    """Nor which view is called the first, but for spelling."""
    one, other = view(four_litres=0.6, five_litres=0.3, UNK=0.1), view(five_litres=0.5, four_litres=0.5)

    assert combined([one, other], parse) == combined([one[::-1], other[::-1]], parse)
    assert probabilities(combined([one, other], parse)) == pytest.approx(
        probabilities(combined([other, one], parse))
    )


@pytest.mark.parametrize(
    ("shares", "sound", "again"),
    [
        ({"four_litres": 0.7, "five_litres": 0.3}, NOISY, True),
        ({"four_litres": 0.5, "five_litres": 0.5}, NOISY, True),
        ({"four_litres": 0.99, "five_litres": 0.01}, NOISY, False),
        ({"four_litres": 0.7, "five_litres": 0.3}, Conditions(), True),
        ({"UNK": 1.0}, NOISY, False),
    ],
)
def test_a_second_view_is_taken_where_it_may_settle_something(
    shares: dict[str, float], sound: Conditions, again: bool
) -> None:
    """Not where the first is sure, nor where it heard no sentence at all."""
    assert look_again(judge(view(**shares), parse, ANYTHING, sound)) is again


def test_agreement_makes_sure_what_neither_view_was() -> None:
    """Their doubts are about other words."""
    first = view(four_litres=0.8, five_litres=0.2)
    second = view(four_litres=0.8, nine_litres=0.2)

    decision = judge(combined([first, second], parse), parse, ANYTHING, NOISY)

    assert isinstance(decision, Understood)
    assert not decision.doubtful


DROWNED = Conditions(peak_db=-12.0, noise_db=-25.0)


def test_a_reading_that_nearly_drowns_is_asked_about_unless_it_is_quite_sure() -> None:
    """The same sureness is enough where the speech stands out a little more."""
    nearly = view(four_litres=0.97, five_litres=0.03)

    in_noise, drowned = (judge(nearly, parse, ANYTHING, sound) for sound in (NOISY, DROWNED))

    assert isinstance(in_noise, Understood)
    assert not in_noise.doubtful
    assert isinstance(drowned, Understood)
    assert drowned.doubtful


def test_a_command_that_nearly_drowns_must_be_surer() -> None:
    """Two words, 0.9: enough in ordinary noise."""

    def commands(words: str) -> Meaning | NoMatch:
        return Meaning(words.split()[0])

    alternatives = view(next_step=0.9, back_step=0.1)

    assert isinstance(judge(alternatives, commands, ANYTHING, NOISY), Understood)
    assert isinstance(judge(alternatives, commands, ANYTHING, DROWNED), Refused)


@pytest.mark.parametrize(
    ("share", "sound", "again"),
    [
        (0.97, Conditions(), True),
        (0.992, Conditions(), False),
        (0.992, Conditions(narrow=True), True),
        (0.998, NOISY, True),
        (0.9995, NOISY, False),
        (0.7, NOISY, False),
    ],
)
def test_what_is_taken_is_borne_out_unless_it_is_certain(
    share: float, sound: Conditions, again: bool
) -> None:
    """In quiet and certain: not; what is asked about anyway: not either."""
    decision = judge(view(four_litres=share, five_litres=1 - share), parse, ANYTHING, sound)

    assert to_be_borne_out(decision, sound) is again


@pytest.mark.parametrize(
    ("share", "clean", "again", "kept"),
    [
        (0.97, 0.95, 0.0, True),  # plain without the noise: the other is not asked for
        (0.97, 0.02, 1.0, False),  # gone without the noise
        (0.996, 0.02, 1.0, True),  # too sure for that alone
        (0.97, 0.50, 0.40, True),
        (0.97, 0.50, 0.20, False),
        (0.97, None, 0.40, True),  # no noise
        (0.97, None, 0.20, False),
    ],
)
def test_the_view_without_the_noise_speaks_first(
    share: float, clean: float | None, again: float, kept: bool
) -> None:
    """And alone where it is plain."""

    def of(found: float) -> list[Alternative]:
        return view(four_litres=max(found, 1e-9), UNK=max(1 - found, 1e-9))

    decision = judge(of(share), parse, ANYTHING, Conditions(), Thresholds(unknown_boost=0.0, sure=0.9))
    assert isinstance(decision, Understood)
    decision = replace(decision, share=share)

    found = borne_out(decision, () if clean is None else of(clean), lambda: of(again), parse)

    assert found is kept


@pytest.mark.parametrize(
    ("share", "again", "kept"), [(0.9, 0.95, True), (0.9, 0.8, False), (0.97, 0.4, True)]
)
def test_a_command_less_than_sure_must_be_likely_in_both_views(
    share: float, again: float, kept: bool
) -> None:
    """0.9 of 0.95 is 0.855, 0.9 of 0.8 is 0.72: a command needs 0.8."""
    command = Understood(Meaning("next"), "next step", share, share)

    def known(words: str) -> Meaning | NoMatch:
        return Meaning("next") if words == "next step" else NoMatch("unknown", words)

    assert borne_out(command, (), lambda: view(next_step=again, UNK=1 - again), known) is kept


def test_what_was_put_right_in_the_same_breath_is_borne_out_however_sure() -> None:
    """Talk is fitted to "added eight cups no two" easily, and few say it."""
    repaired = Meaning("drained", "4", "litre", (("repaired", "yes"),))
    decision = judge(view(four_litres=1.0), lambda _: repaired, ANYTHING, Conditions())

    assert to_be_borne_out(decision, Conditions())


def test_a_reading_another_view_contradicts_is_asked_about() -> None:
    """Sure as it may be in the first; a command is refused."""
    sound = Conditions(contradicted=True)
    decision = judge(view(four_litres=1.0), parse, ANYTHING, sound)
    command = judge(view(next_step=1.0), lambda _: Meaning("next"), ANYTHING, sound)

    assert isinstance(decision, Understood)
    assert decision.doubtful
    assert isinstance(command, Refused)
    assert share_in(
        view(four_litres=0.6, four_liters=0.2, UNK=0.2), Meaning("drained", "4", "litre"), parse
    ) == (pytest.approx(0.8))
