"""Fitting the ear to a person: it only becomes stricter, louder, more patient; and the meters it uses."""

from __future__ import annotations

from dataclasses import astuple
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest

from assistant.errors import BadFile, WrongInput
from assistant.grammar import Grammar, Meaning
from assistant.grammar.judgement import Thresholds
from assistant.hearing.enrolment import FACTORS, Profile, Read, fit
from assistant.hearing.levels import MOST_GAIN_DB, Levels, complaint, gain_db, levels
from assistant.hearing.utterance import Utterance
from assistant.phrasing.en.enrolling import PHRASES
from assistant.shelf.profile_file import PersonProfile, profile_path, read_profile, write_profile
from tests.bench import grammar as shipped

WANTED, OTHER = Meaning("torque", "35", "newton_metre"), Meaning("torque", "25", "newton_metre")
GOOD = Levels(-12.0, -22.0, -60.0, 0.0)


def read(share: float = 1.0, meaning: Meaning | None = WANTED, pieces: int = 1, sound: Levels = GOOD) -> Read:
    """A phrase heard so."""
    one = Utterance("", 0.0, 1.0, 1.2, -12.0, -60.0, meaning=meaning, candidate=meaning, share=share)
    return Read(WANTED, (one,) * pieces, sound)


def test_every_phrase_is_a_sentence_and_together_they_hold_every_digit() -> None:
    grammar: Grammar = shipped()
    meanings = [grammar.parse(phrase) for phrase in PHRASES]
    assert all(isinstance(one, Meaning) for one in meanings)
    assert len(set(PHRASES)) == 10
    digits = {"nought", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"}
    assert digits <= set(" ".join(PHRASES).split())


def test_who_is_heard_well_changes_nothing() -> None:
    found = fit({1.0: [read()] * 10})

    assert found.usable
    assert found.profile == Profile(0.0, 1.0, 0.0)
    assert found.profile.thresholds() == Thresholds()


def test_a_sentence_taken_wrong_makes_the_ear_stricter_than_that() -> None:
    for share, sure in ((0.91, 0.95), (0.955, 0.97), (0.975, 0.99), (1.0, 0.99)):
        assert fit({1.0: [*[read()] * 9, read(share, OTHER)]}).profile.sure == sure


def test_no_profile_loosens_anything() -> None:
    usual = astuple(Thresholds())
    for sure in (0.0, 0.5, 0.95, 0.99):
        changed = astuple(Profile(sure=sure).thresholds())
        assert all(one >= other for one, other in zip(changed, usual, strict=True))


def test_a_slow_talker_gets_the_least_patience_that_cuts_nothing() -> None:
    cut = [*[read()] * 8, read(pieces=2), read(pieces=2)]
    assert fit({1.0: cut, 1.25: cut, 1.5: [read()] * 10}).profile.pause_factor == 1.5
    assert fit(dict.fromkeys(FACTORS, cut)).profile.pause_factor == 1.0


def test_a_quiet_voice_gets_gain_as_far_as_the_room_allows() -> None:
    quiet = Levels(-36.0, -46.0, -75.0, 0.0)
    assert fit({1.0: [read(sound=quiet)] * 10}).profile.gain_db == 24.0
    assert gain_db(Levels(-36.0, -46.0, -55.0, 0.0)) == pytest.approx(10.0)
    assert gain_db(Levels(-3.0, -15.0, -60.0, 0.0)) == 0.0
    assert gain_db(Levels(-90.0, -90.0, -96.0, 0.0)) == MOST_GAIN_DB


def test_where_hardly_anything_was_understood_nothing_is_fitted() -> None:
    noisy = Levels(-20.0, -25.0, -30.0, 0.0)
    found = fit({1.0: [*[read()] * 4, *[read(meaning=None, sound=noisy)] * 6]})
    assert not found.usable
    assert found.complaint == "noisy"


def test_the_meters_read_what_was_put_in() -> None:
    """Noise of a known level with a tone of a known level in its middle."""
    chance = np.random.default_rng(1)
    wave = chance.standard_normal(32_000) * 32_768 * 10 ** (-60 / 20)
    wave[12_000:20_000] += 32_768 * 10 ** (-20 / 20) * np.sin(np.arange(8_000) * 0.4)
    found = levels(wave.astype(np.int16))
    assert found.peak_db == pytest.approx(-20, abs=0.3)
    assert found.speech_db == pytest.approx(-23, abs=1.0)
    assert found.noise_db == pytest.approx(-60, abs=1.5)
    assert complaint(found) == ""
    assert complaint(levels((wave / 20).astype(np.int16))) == "quiet"
    assert complaint(levels(np.clip(wave * 30, -32_768, 32_767).astype(np.int16))) == "loud"
    assert complaint(levels((chance.standard_normal(32_000) * 3_000).astype(np.int16))) == "noisy"


def test_a_profile_is_kept_and_read_again(tmp_path: Path) -> None:
    path = profile_path(tmp_path / "profiles", "Ann B. 2")
    kept = PersonProfile(Decimal("6.5"), Decimal("1.25"), Decimal("0.97"))

    write_profile(path, kept)

    assert path.name == "ann-b-2.toml"
    assert read_profile(path) == kept
    assert read_profile(tmp_path / "nobody.toml") == PersonProfile()


@pytest.mark.parametrize(
    "text", ["sure = 1.0\n", "pause_factor = 0.5\n", "gain_db = -3\n", "sure = nan\n", "ask = 0.1\n"]
)
def test_a_profile_that_would_loosen_is_refused(text: str, tmp_path: Path) -> None:
    (tmp_path / "x.toml").write_text(text, "utf-8")
    with pytest.raises(BadFile):
        read_profile(tmp_path / "x.toml")


def test_a_name_without_letters_is_none(tmp_path: Path) -> None:
    with pytest.raises(WrongInput):
        profile_path(tmp_path, " ../ ")
