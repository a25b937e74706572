"""What the last service of a unit was: at the beginning of each unit of a job, and whenever it is asked."""

from __future__ import annotations

from assistant.job import events as e
from assistant.shelf.places import procedures_folder
from tests.bench import Bench

FOUR_WHEELS = procedures_folder() / "vehicles" / "four-wheel-drive.toml"
AXLES = "transfer-and-differentials"
PAST = {
    unit: {
        "job": "earlier", "utc_ms": 1_777_800_000_000, "into": [amount, "litre"],
        "distance": ["71300", "kilometre"], "found": [found],
    }
    for unit, amount, found in (
        ("transfer case", "1.3", "magnet-fuzz"), ("rear differential", "1.9", "magnet-flakes"),
    )
}  # fmt: skip
"""Two of the three units were served before, on the third of May 2026 (`date -ud @1777800000`)."""


def _axles() -> Bench:
    bench = Bench(sheet=FOUR_WHEELS, service=AXLES, past=PAST)
    assert bench.keys[:2] == ["job-begins", "caution"], "the vehicle as a whole has no last time"
    bench.hear("done", "all clear", "done", "engine off", "on the stands")
    return bench


def test_each_unit_begins_with_its_own_last_time() -> None:
    """The first unit by the order of the job, the others as they are switched to, none twice."""
    bench = _axles()
    assert "Now the transfer case. Last time one point three litres, a thin smear of wear." in " ".join(
        bench.sentences
    )

    bench.hear("switch to the rear differential")
    assert " ".join(bench.sentences).startswith(
        "Now the rear differential. Last time one point nine litres, flaky metal."
    )
    assert bench.hear("switch to the front differential")[0] == "unit"
    assert "last-time" not in bench.keys, "nothing is known of the front one"
    assert "last-time" not in bench.hear("switch to the rear differential"), "it was told already"


def test_it_is_told_with_date_and_distance_when_asked() -> None:
    """Of the unit at hand; and from the distance then the next service is reckoned, said to be so."""
    bench = _axles()
    assert bench.hear("what was done last time") == ["last-service"]
    assert bench.sentences == [
        "May three, two thousand and twenty six, at seventy one thousand three hundred kilometres.",
        "It got one point three litres, a thin smear of wear.",
    ]
    assert bench.hear("service every six zero thousand kilometres", "next service")[-1] == "due-at"
    assert bench.sentences[-2:] == [
        "It falls due at one hundred and thirty one thousand three hundred kilometres.",
        "Counted from the service before this one.",
    ]
    given = [one for one in bench.events if isinstance(one, e.AdviceGiven)]
    assert [one.value for one in given] == ["131300"]

    bench.hear("switch to the front differential")
    assert bench.hear("when was the last service") == ["no-last-service"]
