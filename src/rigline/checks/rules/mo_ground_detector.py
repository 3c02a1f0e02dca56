"""In a system without a ground the first fault to the hull does nothing, and so nobody mends it.

The second one, on the other pole, is then a short circuit through the hull, or a current that eats it. A detector, two
lamps are enough, shows the first.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.loads import Monitor, Sensor
from rigline.study.storage import storages
from rigline.study.study import Study

SLUG = "mo-ground-detector"
WATCHES = ("ground", "earth", "insulation", "isolation")
"""Words in a sensor's type that make it one that watches for ground faults."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each isolated DC system on a metal boat without a ground detector."""
    head = study.system.head
    banks = storages(study)
    if head.dc_grounding != "isolated" or not banks or head.body in ("plastic", "wood"):
        return
    watching = [c for c in study.system.components.values() if isinstance(c, Sensor | Monitor) and _watches(c)]
    if watching:
        return
    ids = banks[0].ids
    if head.body is None:
        yield Missing(ids, "what the hull is made of (body)")
    else:
        yield Hit(ids)


def _watches(component: Sensor | Monitor) -> bool:
    words = f"{getattr(component, 'type', None) or ''} {component.name or ''}".lower()
    return any(word in words for word in WATCHES)


CHECK = Check(
    slug=SLUG,
    title="isolated system without a ground detector",
    family="monitoring",
    severity=Severity.FAULT,
    limit="An isolated DC system on a metal hull has a sensor or monitor for ground faults.",
    exceptions="Hulls of plastic or wood.",
    sources=(Source("46 CFR 120.378, ungrounded systems", "from memory"),),
    message="The system of {at} has no ground, and nothing shows when one of its poles touches the metal hull.",
    remedy="Fit a ground detector (a sensor of type ground fault) to {at}; two lamps to the hull are enough.",
    find=find,
    profiles=("us-boat", "intl-boat", "uk-inland-boat"),
    example=Example(
        spec="""\
rigline: 1
title: An isolated system on an aluminium hull
profile: intl-boat
dc-grounding: isolated
body: metal
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: breaker, style: thermal, rating: 20 A, poles: 2, voltage: 32 V, interrupting: 2 kA}
  LT1: {kind: dc-load, name: Lamps, current: 4 A, continuous: false}
  GD1: {kind: sensor, type: ground fault, current: 0.1 A}
runs:
  - {id: W1, path: [B1, F1, LT1], lengths: [100 mm, 1 m], wire: 6 mm²}
  - {id: W2, path: [LT1, GD1], length: 0.3 m, wire: 6 mm²}
""",
        passing="type: ground fault",
        failing="type: temperature",
        finds=("B1",),
    ),
)
