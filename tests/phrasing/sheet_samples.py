"""Sample arguments for the replies of making a vehicle sheet: invented figures."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.job.sheet import FIGURES
from assistant.phrasing.en.sheets import TEXTS

SHEET_SAMPLES: Mapping[str, tuple[Mapping[str, object], ...]] = {
    **dict.fromkeys(
        (
            "sheet-begins", "sheet-vehicle", "sheet-anew", "sheet-first", "sheet-version-name",
            "sheet-another", "sheet-over", "sheet-unfit",
        ),
        ({},),
    ),
    "sheet-ask": (
        *({"name": name} for name in FIGURES), *({"name": name, "typed": True} for name in TEXTS),
    ),
    "sheet-left-open": ({"name": "drain-plug-torque"}, {"name": "plate"}),
    "sheet-other-kind": ({"name": "drain-plug-torque"},),
    "sheet-text": (
        {"name": "plate", "text": "H7K2"}, {"name": "fluid-class", "text": "gear oil GL-4"},
        {"name": "fluid-colours", "text": "honey"},
    ),
    "sheet-name": ({"name": "Quarry Lane truck"}, {"name": "H7K2"}),
    "sheet-which-unit": ({"unit": ""}, {"unit": "quart"}, {"unit": "degree"}),
    "sheet-version": ({"unit": "manual gearbox"},),
    "sheet-offer": ({"count": 1}, {"count": 3}),
    "sheet-written": ({"count": 0}, {"count": 1}, {"count": 3}),
}  # fmt: skip
"""Reply key -> arguments."""
