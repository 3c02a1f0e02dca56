"""Of batteries in parallel the one with the shortest cables does the work and wears out first.

A few milliohms decide, for a battery's own resistance is no larger. With both take-offs on the first battery of a row,
the last one hardly helps. Cables of one length and size to two bars, or a diagonal take-off, share the work.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.model.system import Node
from rigline.study.causes import exceeds
from rigline.study.currents import Case
from rigline.study.storage import Series, battery_out_a, storages
from rigline.study.study import Study

SLUG = "bb-unequal-cabling"
MOST_ABOVE_PERCENT = 10.0
"""How much more than its share a battery may carry because of its cables. Common practice."""
SAME_CAPACITY_FRAC = 0.05
"""Strings whose capacities differ by more share unevenly by themselves, which is bb-mixed-age-capacity."""
LEAST_A = 1.0
"""A bank that carries less is not worked enough to tell. Our own choice."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each bank of equal strings in which one carries well above its share."""
    if study.unsound:
        return
    for storage in storages(study):
        named: dict[str, list[Series]] = {}
        for string in storage.strings:
            named.setdefault(string.top.bank or "", []).append(string)
        for strings in named.values():
            if len(strings) > 1 and _is_alike(strings):
                yield from _judge(study, strings)


def _is_alike(strings: Sequence[Series]) -> bool:
    charges = [s.capacity_ah for s in strings]
    known = [c for c in charges if c]
    return len(known) == len(charges) and min(known) >= (1 - SAME_CAPACITY_FRAC) * max(known)


def _judge(study: Study, strings: Sequence[Series]) -> Iterator[Hit | Missing]:
    ids = tuple(s.top.id for s in strings)
    unknown = sorted({run for id in ids for run in _unmeasured(study, id)})
    if unknown:
        yield Missing(ids, f"length and size of {', '.join(unknown)}")
        return
    shares = max((_shares(study, case, ids) for case in _closed(study)), key=lambda found: sum(found.values()))
    total = sum(shares.values())
    if total < LEAST_A:
        return
    busiest = max(shares, key=lambda id: (shares[id], id))
    above = 100 * (shares[busiest] * len(ids) / total - 1)
    if exceeds(above, MOST_ABOVE_PERCENT):
        laziest = min(shares, key=lambda id: (shares[id], id))
        words = {"lazy": laziest, "most": f"{shares[busiest]:.3g} A", "least": f"{shares[laziest]:.3g} A"}
        yield Hit((busiest, *(id for id in ids if id != busiest)), above, MOST_ABOVE_PERCENT, "%", words=words)


def _closed(study: Study) -> Iterator[Case]:
    """The cases with every switch closed: the first of its kind."""
    for kind in ("discharge", "charge"):
        yield from [case for case in study.cases if case.kind == kind][:1]


def _shares(study: Study, case: Case, ids: Sequence[str]) -> dict[str, float]:
    return {id: abs(battery_out_a(case, study.graph, id)) for id in ids}


def _unmeasured(study: Study, id: str) -> Iterator[str]:
    """Runs at a battery whose length or size is not known."""
    for pole in ("+", "-"):
        for conductor in study.graph.conductors_at(Node(id, "", pole)):
            if conductor.length_m is None or study.wiring.size(conductor) is None:
                yield conductor.run


CHECK = Check(
    slug=SLUG,
    title="batteries in parallel with unequal cables",
    family="battery bank",
    severity=Severity.FAULT,
    limit="No string of a bank of equal strings carries more than 10 % above its share.",
    exceptions="Strings of different banks (bank) on one net, such as one at the far end of a boat.",
    sources=(Source("equal cables or a diagonal take-off", "common practice"),),
    message=(
        "{at} carries {found} % more than its share ({most}, while {lazy} carries {least}); {limit} % is the most. It "
        "wears out first."
    ),
    remedy=(
        "Give {all} cables of one length and size to a pair of bars, or take plus and minus from opposite "
        "ends of the row."
    ),
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Two batteries on one bar
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 50 Ah, short-circuit: 2 kA, age: new}
  B2: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 50 Ah, short-circuit: 2 kA, age: new}
  F1: {kind: fuse, style: class-t, rating: 40 A}
  F2: {kind: fuse, style: class-t, rating: 40 A}
  BUS1: {kind: busbar, rating: 200 A}
  F3: {kind: fuse, style: class-t, rating: 20 A}
  LD1: {kind: dc-load, name: Heater, current: 15 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, BUS1], lengths: [100 mm, 0.5 m], wire: 6 AWG}
  - {id: W2, path: [B2, F2, BUS1], lengths: [100 mm, 0.5 m], wire: 6 AWG}
  - {id: W3, path: [BUS1, F3, LD1], lengths: [100 mm, 1 m], wire: 8 AWG}
  - {id: W4, path: [BUS1-, GND], length: 0.5 m, carries: bond, wire: 4 AWG}
""",
        passing="path: [B2, F2, BUS1], lengths: [100 mm, 0.5 m]",
        failing="path: [B2, F2, BUS1], lengths: [100 mm, 3 m]",
        finds=("B1", "B2"),
    ),
)
