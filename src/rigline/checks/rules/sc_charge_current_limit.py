"""A battery that is charged faster than it can take the charge gets hot and old.

Each charger alone may be small enough; on a sunny day with the engine running and the shore cord in, their currents
add up. What the battery's maker allows is for all of them together.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.study.causes import exceeds
from rigline.study.storage import Storage, charge_limit_a, chargers_of, storages
from rigline.study.study import Study

SLUG = "sc-charge-current-limit"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each bank whose chargers together give more than it may take; starting batteries take what they need."""
    for storage in storages(study):
        chargers = chargers_of(study, storage)
        if storage.is_starting or not chargers:
            continue
        unstated = sorted(c.id for c in chargers if c.id in study.unstated)
        limits = [charge_limit_a(s.top) for s in storage.strings]
        if unstated or any(limit is None for limit, _ in limits):
            facts = [study.unstated[id] for id in unstated]
            facts += [f"max-charge of {id}" for id in storage.ids] if not facts else []
            yield Missing(storage.ids, ", ".join(facts))
            continue
        yield from _judge(study, storage, sum(limit or 0.0 for limit, _ in limits), all(own for _, own in limits))


def _judge(study: Study, storage: Storage, most_a: float, is_own: bool) -> Iterator[Hit]:
    given = max((-storage.out_a(c, study.graph) for c in study.cases if c.kind == "charge"), default=0.0)
    if exceeds(given, most_a):
        words = {
            "batteries": " and ".join(storage.ids),
            "chargers": ", ".join(c.id for c in chargers_of(study, storage)),
            "ground": "their maker allows" if is_own else "is usual for their kind",
        }
        severity = Severity.FAULT if is_own else Severity.ADVICE
        yield Hit(storage.ids, given, most_a, "A", severity=severity, words=words)


CHECK = Check(
    slug=SLUG,
    title="more charging current than the battery may take",
    family="sources & charging",
    severity=Severity.FAULT,
    limit=(
        "All chargers at their limit, with no load, give at most what the batteries' maker allows; where the spec does "
        "not say it, more than 0.5 (lithium iron phosphate), 0.3 (AGM, gel) or 0.25 (flooded) A for each Ah is advice."
    ),
    exceptions="Starting batteries; a controller that limits the total: waive the finding with it.",
    sources=(Source("charge current within the maker's figure", "common practice"),),
    message=(
        "Together {chargers} can push {found} A into {batteries}; {limit} A is what {ground}. More heats and ages them."
    ),
    remedy="Limit the chargers of {batteries} to {limit} A together, or use batteries that may take {found} A.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A charged battery
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah, short-circuit: 1 kA, max-charge: 30 A}
  F1: {kind: fuse, style: class-t, rating: 40 A}
  CH1: {kind: ac-charger, output: 30 A, absorb: 14.4 V, class-ii: true}
  QC: {kind: breaker, rating: 15 A, poles: 2, voltage: 240 V, interrupting: 5 kA, residual: 30 mA}
  SH1: {kind: shore-inlet, rating: 15 A, voltage: 120 V}
  GI1: {kind: galvanic-isolator, rating: 30 A, fail-safe: true}
  ACP1: {kind: ac-panel, rating: 30 A, polarity-indicator: true}
  QB: {kind: breaker, rating: 15 A, voltage: 120 V, interrupting: 5 kA}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, CH1.dc], lengths: [100 mm, 0.6 m], wire: 8 AWG}
  - {id: W2, path: [SH1, QC, GI1, ACP1], lengths: [1 m, 0.5 m, 0.5 m], wire: 12 AWG}
  - {id: W3, path: [ACP1, QB, CH1.ac], lengths: [0.5 m, 1 m], wire: 12 AWG}
  - {id: W4, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
  - {id: W5, path: [ACP1, GND], length: 0.5 m, carries: earth, wire: 8 AWG}
""",
        passing="max-charge: 30 A",
        failing="max-charge: 20 A",
        finds=("B1",),
    ),
)
