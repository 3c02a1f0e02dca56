"""Lithium cells need a guard: nothing in them limits what is asked of them.

Charged too far, drained too deep, or charged below freezing, they are damaged for good and may vent hot gas. A
management system watches every cell and opens before that.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.sources import Battery
from rigline.study.study import Study

SLUG = "bb-no-bms"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each lithium battery without a management system."""
    for id, component in sorted(study.system.components.items()):
        if not isinstance(component, Battery) or component.chemistry != "lifepo4":
            continue
        if component.bms is None:
            yield Missing((id,), f"whether {id} has a management system (bms)")
        elif component.bms is False:
            yield Hit((id,), field="bms")


CHECK = Check(
    slug=SLUG,
    title="lithium battery without a management system",
    family="battery bank",
    severity=Severity.DANGER,
    limit="Every lithium battery has a management system for voltage, current, temperature and balance.",
    exceptions="none",
    sources=(Source("ABYC E-13", "verified"), Source("ISO/TS 23625", "from memory")),
    message=(
        "{at} is a lithium battery without a management system: overcharging or frost can ruin its cells or make "
        "them vent."
    ),
    remedy="Fit a management system that can disconnect {at}, or use a battery that has one inside.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A lithium battery and its lamps
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: lifepo4, voltage: 12.8 V, capacity: 40 Ah, short-circuit: 800 A, bms: true}
  F1: {kind: fuse, style: class-t, rating: 20 A}
  LT1: {kind: dc-load, name: Lamps, current: 4 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, LT1], lengths: [100 mm, 2 m], wire: 12 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, wire: 8 AWG}
""",
        passing="bms: true",
        failing="bms: false",
        finds=("B1",),
    ),
)
