"""The switch inside a lithium battery must be able to open the voltage of the whole string.

It is made of transistors that were chosen for one battery. In a string that is longer than its maker allows, the first
one that opens gets the voltage of all, breaks down, and then can't protect its cells any more.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.study.storage import series_of
from rigline.study.study import Study

SLUG = "bb-series-limit"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each string of lithium batteries that is longer than the maker allows."""
    for string in series_of(study):
        ids = tuple(sorted(b.id for b in string.blocks))
        lithium = [b for b in string.blocks if b.chemistry == "lifepo4"]
        if string.count < 2 or not lithium:
            continue
        silent = sorted(b.id for b in lithium if b.max_series is None)
        if silent:
            yield Missing(ids, f"most blocks in series that the maker of {', '.join(silent)} allows (max-series)")
            continue
        most = min(b.max_series or 0 for b in lithium)
        if string.count > most:
            yield Hit(ids, float(string.count), float(most), "in series", field="max-series")


CHECK = Check(
    slug=SLUG,
    title="lithium batteries in a longer string than allowed",
    family="battery bank",
    severity=Severity.DANGER,
    limit="Lithium batteries stand in series only as many as their maker allows (max-series).",
    exceptions="A battery made for the whole voltage.",
    sources=(Source("ABYC E-13, installed as the maker says", "from memory"),),
    message=(
        "{all}: {found} {unit}, but the maker allows {limit}. The management system's switch may break down when it "
        "opens, and the cells are left without protection."
    ),
    remedy="Use a battery made for the whole voltage instead of {all}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Two lithium batteries in series
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: lifepo4, voltage: 12.8 V, capacity: 50 Ah, short-circuit: 2 kA, bms: true, series: 2,
       max-series: 4}
  F1: {kind: fuse, style: class-t, rating: 10 A}
  LT1: {kind: dc-load, name: Lamps, current: 4 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, LT1], lengths: [100 mm, 2 m], wire: 12 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="max-series: 4",
        failing="max-series: 1",
        finds=("B1",),
    ),
)
