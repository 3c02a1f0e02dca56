"""Nobody sees from outside how full a battery is, and most are ruined by being emptied unnoticed.

A shunt with a display counts what goes in and out; even a voltmeter warns in time. Lithium stands at nearly the same
voltage until it is nearly empty, so there only counting tells.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.loads import Monitor
from rigline.study.isolation import BLOCK_WH, is_large
from rigline.study.shunts import shunts
from rigline.study.storage import storages
from rigline.study.study import Study

SLUG = "mo-no-monitor"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each larger house bank whose charge nothing shows."""
    measured = {id for sides in shunts(study) for id in (*sides.measured, *sides.batteries("load"))}
    if any(isinstance(c, Monitor) for c in study.system.components.values()):
        return
    for storage in storages(study):
        shown = measured & set(storage.ids) or any(b.charge_display for b in storage.batteries)
        if storage.is_starting or shown:
            continue
        large = is_large(storage)
        if large:
            yield Hit(storage.ids, words={"all": " and ".join(storage.ids)})
        elif large is None:
            yield Missing(storage.ids, f"voltage and capacity of {', '.join(storage.ids)}")


CHECK = Check(
    slug=SLUG,
    title="bank whose charge nothing shows",
    family="monitoring",
    severity=Severity.ADVICE,
    limit=(
        f"A house bank above {BLOCK_WH / 1000:g} kWh (a 12 V block of 100 Ah) has a shunt, a monitor, or a "
        "display of its own."
    ),
    exceptions="Starting batteries; a battery that shows its own charge (charge-display).",
    sources=(Source("one monitor for a house bank", "common practice"),),
    message=(
        "Nothing shows how full {all} is: it will be emptied unnoticed, which ruins lead and stops lithium at once."
    ),
    remedy="Put a shunt with a monitor in the negative of {at}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A bank and its heater
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 200 Ah, short-circuit: 2 kA, charge-display: true}
  F1: {kind: fuse, style: class-t, rating: 30 A}
  Q1: {kind: switch, rating: 100 A, voltage: 32 V}
  LD1: {kind: dc-load, name: Heater, current: 20 A, continuous: true}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, Q1, LD1], lengths: [100 mm, 0.3 m, 0.6 m], wire: 6 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 6 AWG}
""",
        passing="charge-display: true",
        failing="charge-display: false",
        finds=("B1",),
    ),
)
