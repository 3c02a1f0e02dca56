"""A battery monitor counts only what flows through its shunt.

One wire from a load or a charger straight to the battery's negative post is enough: the count drifts by everything that
flows there, and after a few days the gauge shows a full battery that is empty.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds import Component
from rigline.kinds.loads import Load, Sensor
from rigline.study.shunts import shunts
from rigline.study.study import Study

SLUG = "mo-shunt-bypass"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each shunt that something passes by on its way back to the battery."""
    for sides in shunts(study):
        bypassing = sides.bypassing
        if not sides.measured or not bypassing:
            continue
        ids = tuple(c.id for c in bypassing)
        words = {
            "what": ", ".join(ids),
            "verb": "returns" if len(ids) == 1 else "return",
            "shunt": sides.shunt.id,
            "batteries": " and ".join(sides.measured),
        }
        severity = Severity.ADVICE if all(_is_small(c) for c in bypassing) else Severity.FAULT
        yield Hit((*ids, sides.shunt.id), severity=severity, words=words)


def _is_small(component: Component) -> bool:
    """Whether it must stay on by itself, and so may be wired to the battery; it takes little."""
    stays = isinstance(component, Load) and bool(component.safety or component.always_on)
    return stays or isinstance(component, Sensor)


CHECK = Check(
    slug=SLUG,
    title="current that passes the shunt by",
    family="monitoring",
    severity=Severity.FAULT,
    limit=(
        "Nothing but the shunt, links between batteries and sense leads is joined to the negative of a "
        "monitored battery."
    ),
    exceptions=("Loads that must stay on, which are advice; starting batteries; a bond is gb-dc-bond-before-shunt."),
    sources=(Source("a shunt measures what passes it", "common practice"),),
    message="{what} {verb} to the negative of {batteries} without passing the shunt {shunt}: the monitor counts wrong.",
    remedy="Move the negative of {what} to the load side of {shunt}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A monitored battery
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: class-t, rating: 20 A}
  RS1: {kind: shunt, rating: 300 A}
  BUS1: {kind: busbar, rating: 100 A}
  LT1: {kind: dc-load, name: Lamps, current: 4 A, continuous: false}
  F2: {kind: fuse, style: class-t, rating: 10 A}
  LT2: {kind: dc-load, name: Radio, current: 4 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, RS1, BUS1], lengths: [0.1 m, 0.5 m, 0.6 m], wire: 10 AWG}
  - {id: W2, path: [BUS1, LT1], length: 0.6 m, wire: 12 AWG}
  - {id: W3, path: [BUS1, F2, LT2], lengths: [0.1 m, 0.5 m], wire: 12 AWG, return-to: BUS1}
  - {id: W4, path: [BUS1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="return-to: BUS1",
        failing="return-to: B1",
        finds=("LT2", "RS1"),
    ),
)
