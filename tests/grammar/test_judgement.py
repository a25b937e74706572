"""The decision over alternatives: probabilities by meaning, thresholds by consequence, what is awaited.

Expected shares follow from the soft-max and are worked out beside each case.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from math import exp, log

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.grammar.judgement import (
    ANYTHING,
    Alternative,
    Conditions,
    Decision,
    Expectation,
    Refused,
    Thresholds,
    Understood,
    Window,
    judge,
    plausible,
)
from assistant.grammar.meaning import REASONS, Meaning, NoMatch

MEANINGS = {
    "drained five litres": Meaning("drained", "5", "litre"),
    "drained five liters": Meaning("drained", "5", "litre"),
    "drained nine litres": Meaning("drained", "9", "litre"),
    "drained fifty litres": Meaning("drained", "50", "litre"),
    "drained five": Meaning("drained", "5"),
    "drained one pint": Meaning("drained", "1", "pint"),
    "five litres": Meaning("amount", "5", "litre"),
    "five": Meaning("number", "5"),
    "litres": Meaning("unit-tail", None, "litre"),
    "torque thirteen newton metres": Meaning("torque", "13", "newton_metre"),
    "torque thirty newton metres": Meaning("torque", "30", "newton_metre"),
    "plate alpha four": Meaning("plate", slots=(("code", "A4"),)),
    "plate alpha two": Meaning("plate", slots=(("code", "A2"),)),
    "next step": Meaning("next"),
    "go back": Meaning("back"),
    "yes": Meaning("yes"),
    "no": Meaning("no"),
    "emergency": Meaning("emergency"),
}
EVEN = Thresholds(unknown_boost=0.0, asked_boost=0.0)
"""Without the boosts, so that the expected shares are plain."""


def parse(words: str) -> Meaning | NoMatch:
    if words in MEANINGS:
        return MEANINGS[words]
    return NoMatch("trap" if "oh" in words.split() else "torn" if words == "drained" else "unknown", words)


def decide(
    *heard: tuple[str, float],
    expectation: Expectation = ANYTHING,
    conditions: Conditions | None = None,
    thresholds: Thresholds = EVEN,
) -> Decision:
    """Judge alternatives given as (words, probability); the recogniser's own scale is arbitrary."""
    alternatives = [Alternative(words, 400.0 + log(probability)) for words, probability in heard]
    return judge(alternatives, parse, expectation, conditions, thresholds)


def understood(decision: Decision) -> Understood:
    assert isinstance(decision, Understood), decision
    return decision


def reason(decision: Decision) -> str:
    assert isinstance(decision, Refused), decision
    assert decision.no_match.reason in REASONS
    return decision.no_match.reason


def test_spellings_of_one_meaning_add_up() -> None:
    heard = understood(decide(("drained five litres", 0.5), ("drained five liters", 0.47), ("go back", 0.03)))
    assert heard.meaning == Meaning("drained", "5", "litre")
    assert heard.share == pytest.approx(0.97)
    assert heard.words == "drained five litres"
    assert heard.rivals == ((Meaning("back"), pytest.approx(0.03)),)
    assert not heard.doubtful


@pytest.mark.parametrize(
    ("share", "outcome"),
    [(0.96, "sure"), (0.91, "sure"), (0.89, "doubtful"), (0.66, "doubtful"), (0.64, "torn")],
)
def test_a_reading_is_sure_doubtful_or_refused(share: float, outcome: str) -> None:
    decision = decide(("drained five litres", share), ("drained nine litres", 1 - share))
    if outcome == "torn":
        assert reason(decision) == "torn"
        assert isinstance(decision, Refused)
        assert decision.rivals[0] == (Meaning("drained", "5", "litre"), pytest.approx(share))
    else:
        assert understood(decision).doubtful is (outcome == "doubtful")


def test_a_command_needs_its_share_of_everything() -> None:
    assert understood(decide(("next step", 0.81), ("[unk]", 0.19))).share == pytest.approx(0.81)
    assert reason(decide(("next step", 0.79), ("[unk]", 0.21))) == "torn"
    assert reason(decide(("next step", 0.4), ("[unk] [unk]", 0.6))) == "unknown"


def test_a_reading_needs_half_of_everything_and_its_share_of_what_can_be_meant() -> None:
    heard = understood(decide(("drained five litres", 0.55), ("drained", 0.25), ("[unk]", 0.2)))
    assert heard.share == pytest.approx(1.0)
    assert heard.mass == pytest.approx(0.55)
    assert reason(decide(("drained five litres", 0.45), ("drained", 0.3), ("[unk]", 0.25))) == "torn"
    assert reason(decide(("drained five litres", 0.2), ("drained", 0.1), ("[unk]", 0.7))) == "unknown"


def test_unknown_words_are_raised_by_the_boost() -> None:
    boosted = Thresholds(unknown_boost=3.0)
    # 0.9 against 0.1 e^3: 0.9 / (0.9 + 2.009) = 0.31
    decision = decide(("next step", 0.9), ("[unk]", 0.1), thresholds=boosted)
    assert reason(decision) == "unknown"
    assert isinstance(decision, Refused)
    assert decision.share == pytest.approx(0.9 / (0.9 + 0.1 * exp(3)), abs=1e-6)


def test_a_filler_beside_a_sentence_is_refused() -> None:
    assert reason(decide(("[unk] next step", 1.0))) == "unknown"
    assert reason(decide(("", 1.0))) == "empty"
    assert reason(judge([], parse)) == "empty"


def test_a_trap_is_refused_and_competes() -> None:
    assert reason(decide(("five oh litres", 0.9), ("drained five litres", 0.1))) == "trap"
    heard = decide(("drained five litres", 0.8), ("five oh litres", 0.2))
    assert understood(heard).share == pytest.approx(0.8)
    assert understood(heard).doubtful


def test_the_implausible_is_dropped_but_not_forgotten() -> None:
    litres = Window(Decimal("0.1"), Decimal(12), ("litre",))
    expectation = Expectation(windows={"drained": (litres,)})
    one = decide(("drained five litres", 0.7), ("drained fifty litres", 0.3), expectation=expectation)
    assert understood(one).share == pytest.approx(1.0)
    assert understood(one).mass == pytest.approx(0.7)
    most = decide(("drained five litres", 0.3), ("drained fifty litres", 0.7), expectation=expectation)
    assert reason(most) == "implausible"
    assert reason(decide(("drained fifty litres", 1.0), expectation=expectation)) == "implausible"


def test_windows_hold_for_their_units() -> None:
    windows = {
        "drained": (Window(Decimal(1), Decimal(9), ("litre",)), Window(Decimal(1), Decimal(10), ("quart",)))
    }
    assert plausible(Meaning("drained", "9.0", "litre"), windows)
    assert not plausible(Meaning("drained", "9.5", "litre"), windows)
    assert plausible(Meaning("drained", "9.5", "quart"), windows)
    assert plausible(Meaning("drained", "9.5"), windows)
    assert plausible(Meaning("drained", "4000", "millilitre"), windows)
    assert plausible(Meaning("poured", "99", "litre"), windows)


@pytest.mark.parametrize("words", ["yes", "no", "five", "litres"])
def test_fragments_and_one_word_commands_count_only_when_awaited(words: str) -> None:
    kind = MEANINGS[words].kind
    assert reason(decide((words, 1.0), expectation=Expectation())) == "not-now"
    assert understood(decide((words, 1.0), expectation=Expectation(awaiting=(kind,))))


@pytest.mark.parametrize(
    ("words", "taken"), [("yes", True), ("litres", True), ("five", False), ("drained five", False)]
)
def test_where_anything_goes_a_number_still_needs_its_unit(words: str, taken: bool) -> None:
    assert isinstance(decide((words, 1.0), expectation=ANYTHING), Understood) is taken


def test_an_emergency_counts_always() -> None:
    assert understood(decide(("emergency", 1.0), expectation=Expectation()))


def test_an_amount_without_its_unit_counts_only_as_the_answer() -> None:
    assert reason(decide(("drained five", 1.0), expectation=Expectation())) == "torn"
    assert understood(decide(("drained five", 1.0), expectation=Expectation(awaiting=("drained",))))


def test_one_word_commands_are_held_to_more() -> None:
    assert reason(decide(("yes", 0.94), ("[unk]", 0.06))) == "torn"
    assert understood(decide(("yes", 0.96), ("[unk]", 0.04)))
    asked = Expectation(awaiting=("yes", "no"))
    assert understood(decide(("yes", 0.86), ("[unk]", 0.14), expectation=asked))
    assert reason(decide(("yes", 0.84), ("[unk]", 0.16), expectation=asked)) == "torn"


def test_an_unknown_word_is_less_likely_where_an_answer_was_asked_for() -> None:
    heard = (("yes", 0.97), ("[unk]", 0.03))
    asked = Expectation(awaiting=("yes", "no"))
    assert understood(decide(*heard, expectation=asked, thresholds=Thresholds()))
    assert reason(decide(*heard, thresholds=Thresholds())) == "torn"
    assert understood(decide(("next step", 0.85), ("[unk]", 0.15)))


def test_in_noise_and_with_noise_suppression_more_is_asked() -> None:
    heard = (("drained five litres", 0.93), ("drained nine litres", 0.07))
    assert not understood(decide(*heard)).doubtful
    assert understood(decide(*heard, conditions=Conditions(peak_db=-10, noise_db=-35))).doubtful
    assert reason(decide(*heard, conditions=Conditions(denoised=True))) == "torn"


def test_speech_that_lasts_too_long_for_the_words_is_not_one_speaker() -> None:
    # Three words: 3 x 0.65 + 0.8 = 2.75 s.
    assert understood(decide(("drained five litres", 1.0), conditions=Conditions(speech_seconds=2.7)))
    assert reason(decide(("drained five litres", 1.0), conditions=Conditions(speech_seconds=2.8))) == "noisy"


@pytest.mark.parametrize(
    ("conditions", "expected"),
    [
        (Conditions(peak_db=-50, noise_db=-70), "quiet"),
        (Conditions(peak_db=-12, noise_db=-15), "noisy"),
        (Conditions(peak_db=0, noise_db=-60, clipped=True), "loud"),
        (Conditions(), "torn"),
    ],
)
def test_a_refusal_names_the_sound_where_that_explains_it(conditions: Conditions, expected: str) -> None:
    torn = (("torque thirty newton metres", 0.5), ("torque thirteen newton metres", 0.5))
    assert reason(decide(*torn, conditions=conditions)) == expected
    assert understood(decide(("next step", 1.0), conditions=conditions))


@settings(deadline=None)  # the machine may be busy
@given(
    st.lists(
        st.tuples(
            st.sampled_from([*MEANINGS, "[unk]", "", "five oh litres", "drained"]), st.integers(-900, 900)
        ),
        max_size=20,
    )
)
def test_every_list_has_a_decision_that_does_not_depend_on_its_order_or_scale(
    heard: list[tuple[str, int]],
) -> None:
    alternatives = [Alternative(words, score) for words, score in heard]
    decision = judge(alternatives, parse)
    assert 0.0 <= decision.share <= 1.0 + 1e-9
    assert 0.0 <= decision.mass <= 1.0 + 1e-9
    moved = judge([Alternative(each.words, each.score - 77.0) for each in reversed(alternatives)], parse)
    assert moved.share == pytest.approx(decision.share, abs=1e-6)
    if isinstance(decision, Understood):
        limits = Thresholds()
        assert decision.share >= limits.ask
        assert decision.mass >= limits.mass


STRAIGHT = Conditions(straight=True)


@pytest.mark.parametrize(
    ("words", "conditions", "doubtful"),
    [
        ("five litres", STRAIGHT, True),  # "torque two" | "five litres": it may be the rest of something
        ("drained five litres", STRAIGHT, False),
        ("drained five litres", replace(STRAIGHT, after_talk=True), True),
        ("five litres", Conditions(), False),
        ("five litres", Conditions(peak_db=-12.0, noise_db=-33.0), True),  # its verb may lie under the noise
        ("drained five litres", Conditions(peak_db=-12.0, noise_db=-33.0), False),
        ("five", Conditions(peak_db=-12.0, noise_db=-33.0), True),  # the other digit may be under the noise
        ("five", Conditions(burst=True), True),
        ("five", Conditions(), False),
        ("drained five litres", Conditions(burst=True), False),
        ("drained one pint", Conditions(peak_db=-12.0, noise_db=-30.0), True),  # "one point", the rest lost
        ("drained one pint", Conditions(), False),
    ],
)
def test_what_may_be_torn_off_something_longer_is_asked_about(
    words: str, conditions: Conditions, doubtful: bool
) -> None:
    """A number straight after other words, digits alone beside a noise, and pints in noise."""
    awaiting = Expectation(awaiting=("number", "drained", "amount"))

    decision = understood(decide((words, 1.0), expectation=awaiting, conditions=conditions))

    assert decision.doubtful is doubtful


def test_a_command_straight_after_something_else_counts() -> None:
    """Only readings are asked about."""
    talk = Conditions(straight=True, after_talk=True)

    assert not understood(decide(("next step", 1.0), conditions=talk)).doubtful


def test_a_lone_unit_needs_the_sureness_of_a_word_nobody_asked_for() -> None:
    """A foreign word of one syllable is easily heard as one: "up" as "cup"."""
    waiting = Expectation(awaiting=("unit-tail",))

    assert isinstance(decide(("litres", 0.90), ("go", 0.10), expectation=waiting), Refused)
    assert understood(decide(("litres", 0.97), ("go", 0.03), expectation=waiting)).meaning.unit == "litre"


def test_a_code_said_letter_by_letter_is_asked_about_where_it_is_not_sure() -> None:
    """It is read back like a number; a command would be refused."""
    doubted = understood(decide(("plate alpha four", 0.8), ("plate alpha two", 0.2)))

    assert doubted.meaning == MEANINGS["plate alpha four"]
    assert doubted.doubtful
    assert not understood(decide(("plate alpha four", 0.95), ("plate alpha two", 0.05))).doubtful


@pytest.mark.parametrize(
    ("noise_db", "unexplained", "doubtful"),
    [(-60.0, 0.26, False), (-60.0, 0.32, True), (-30.0, 0.45, False), (-30.0, 0.6, True)],
)
def test_speech_that_no_word_explains_makes_a_reading_doubtful(
    noise_db: float, unexplained: float, doubtful: bool
) -> None:
    """A digit was taken for silence; in noise, some of which passes for speech, it takes more of it."""
    sound = Conditions(peak_db=-9.0, noise_db=noise_db, speech_seconds=1.5, unexplained=unexplained)
    reading = judge([Alternative("drained five litres", 0.0)], parse, ANYTHING, sound)
    command = judge([Alternative("next step", 0.0)], parse, ANYTHING, sound)

    assert isinstance(reading, Understood)
    assert reading.doubtful is doubtful
    assert isinstance(command, Understood)
    assert not command.doubtful
