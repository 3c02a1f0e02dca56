"""In a bank the weakest battery decides, and it gets weaker first.

In series the small or old block is empty before the others and is then driven backwards by them. In parallel a tired
one is charged by its neighbours day and night. Batteries that work together are bought together and replaced together.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.sources import Battery
from rigline.study.causes import exceeds
from rigline.study.storage import Storage, storages
from rigline.study.study import Study

SLUG = "bb-mixed-age-capacity"
MOST_APART_PERCENT = 5.0
"""How far capacities of one bank may lie apart, of the largest. Common practice."""
MOST_LEAD_MONTHS, MOST_LITHIUM_MONTHS = 12.0, 24.0
"""How far ages of one bank may lie apart, by chemistry. Common practice."""
_MONTHS = {"day": 1 / 30.4, "week": 7 / 30.4, "month": 1.0, "year": 12.0}


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each bank whose batteries differ in capacity or in age."""
    for storage in storages(study):
        for batteries, in_series in _sets(storage):
            yield from _by_capacity(batteries, in_series)
            yield from _by_age(batteries)


def _sets(storage: Storage) -> Iterator[tuple[Sequence[Battery], bool]]:
    """Batteries that work together: the blocks of each string, and the strings of each bank of one name."""
    for string in storage.strings:
        if len(string.blocks) > 1:
            yield sorted(string.blocks, key=lambda b: b.id), True
    named: dict[str, list[Battery]] = {}
    for string in storage.strings:
        named.setdefault(string.top.bank or "", []).append(string.top)
    yield from ((tops, False) for tops in named.values() if len(tops) > 1)


def _by_capacity(batteries: Sequence[Battery], in_series: bool) -> Iterator[Hit | Missing]:
    ids = tuple(b.id for b in batteries)
    charges = {b.id: b.capacity_ah or (b.capacity_wh or 0.0) / (b.voltage_v or 1.0) for b in batteries}
    if not all(charges.values()):
        yield Missing(ids, "capacity of " + ", ".join(id for id, charge in charges.items() if not charge))
        return
    most, least = max(charges.values()), min(charges.values())
    apart = 100 * (most - least) / most
    if exceeds(apart, MOST_APART_PERCENT):
        severity = Severity.FAULT if in_series else Severity.ADVICE
        how = "in parallel they share unevenly and age apart"
        if in_series:
            how = "in series the smallest is driven backwards"
        words = {"what": f"capacity, from {least:.4g} to {most:.4g} Ah", "how": how}
        yield Hit(ids, apart, MOST_APART_PERCENT, "%", severity=severity, words=words, field="capacity")


def _by_age(batteries: Sequence[Battery]) -> Iterator[Hit | Missing]:
    ids = tuple(b.id for b in batteries)
    ages = {b.id: _months(b.age) for b in batteries}
    silent = [id for id, age in ages.items() if age is None]
    if silent:
        yield Missing(ids, f"age of {', '.join(silent)}, as in 3 years")
        return
    apart = max(age or 0.0 for age in ages.values()) - min(age or 0.0 for age in ages.values())
    most = MOST_LITHIUM_MONTHS if all(b.chemistry == "lifepo4" for b in batteries) else MOST_LEAD_MONTHS
    if exceeds(apart, most):
        words = {"what": "age", "how": "the old ones drag the new ones down"}
        yield Hit(ids, apart, most, "months", words=words, field="age")


def _months(age: str | None) -> float | None:
    """An age in months, as in 3 years, 18 months or new; None if it says none."""
    text = (age or "").strip().lower()
    if text == "new":
        return 0.0
    match = re.match(r"(\d+(?:\.\d+)?)\s*(day|week|month|year)s?\b", text)
    return float(match.group(1)) * _MONTHS[match.group(2)] if match else None


CHECK = Check(
    slug=SLUG,
    title="unlike batteries in one bank",
    family="battery bank",
    severity=Severity.FAULT,
    limit=(
        "Batteries of one bank differ by at most 5 % in capacity and by 12 months in age, lithium by 24 months. Unlike "
        "capacities in parallel are advice."
    ),
    exceptions="Batteries that stand on one net and belong to different banks (bank).",
    sources=(Source("batteries of a bank are of one type, bought and fitted together", "common practice"),),
    message="{all} differ by {found} {unit} in {what}, where {limit} {unit} is the most: {how}.",
    remedy="Use equal batteries for {all}, bought together.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Two batteries on one bar
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 50 Ah, short-circuit: 800 A, age: 3 years}
  B2: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 50 Ah, short-circuit: 800 A, age: 30 months}
  F1: {kind: fuse, style: class-t, rating: 60 A}
  F2: {kind: fuse, style: class-t, rating: 60 A}
  BUS1: {kind: busbar, rating: 200 A}
  F3: {kind: fuse, style: class-t, rating: 10 A}
  LT1: {kind: dc-load, name: Lamps, current: 4 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, BUS1], lengths: [100 mm, 0.5 m], wire: 4 AWG}
  - {id: W2, path: [B2, F2, BUS1], lengths: [100 mm, 0.5 m], wire: 4 AWG}
  - {id: W3, path: [BUS1, F3, LT1], lengths: [100 mm, 2 m], wire: 12 AWG}
  - {id: W4, path: [BUS1-, GND], length: 0.5 m, carries: bond, wire: 4 AWG}
""",
        passing="age: 30 months",
        failing="age: new",
        finds=("B1", "B2"),
    ),
)
