"""Every worked example that was collected is a test here, or stands on the list of what Rigline does not judge."""

from __future__ import annotations

import re
from pathlib import Path

HERE = Path(__file__).parent

COLLECTED = {
    "VD": range(1, 20),
    "OC": range(1, 12),
    "PV": (*range(1, 6), *range(10, 15), *range(20, 24)),
    "IN": range(1, 9),
    "SC": range(1, 10),
    "GR": (1, *range(10, 18)),
    "AC": (1,),
    "EC": range(1, 17),
}
"""Voltage drop 19, overcurrent 11, solar 14, inverters 8, short circuit 9, grounding 9, AC 1, edge cases 16."""

NOT_JUDGED = {
    "OC08": "taps of 1/10 and 1/3 of a feeder's device (NEC 240.21(B)): such a wire is a finding",
    "AC01": "demand factors of a site with many pitches (NEC 551.73)",
    "GR11": "thickness and width of a bare grounding strip (ABYC E-9)",
    "GR17": "size of a lightning conductor",
}


def test_every_collected_example_is_tested_or_listed_as_not_judged() -> None:
    text = "\n".join(
        path.read_text(encoding="utf-8")
        for path in [*HERE.glob("*.toml"), *HERE.glob("test_*.py")]
        if path.name != Path(__file__).name
    )
    # OC10a stands for OC10; EC03 and the like are named in docstrings.
    tested = {found[:4] for found in re.findall(r"\b[A-Z]{2}\d\d[a-z]?\b", text)}
    collected = {f"{family}{number:02}" for family, numbers in COLLECTED.items() for number in numbers}

    assert {family: len(numbers) for family, numbers in COLLECTED.items()} == {
        "VD": 19, "OC": 11, "PV": 14, "IN": 8, "SC": 9, "GR": 9, "AC": 1, "EC": 16,
    }  # fmt: skip
    assert collected - tested == set(NOT_JUDGED)
