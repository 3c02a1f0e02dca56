"""One lithium battery is one switch that may open on its own, with everything that keeps you safe behind it.

Lead fades slowly and lets lights glow on. A lithium battery is there or it isn't. Navigation lights, steering and radio
deserve a second battery that takes over.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.graph.build import Edge
from rigline.kinds.loads import Load, Motor
from rigline.kinds.sources import Battery, VehicleBattery
from rigline.model.system import Conductor, Node
from rigline.study.study import Study

SLUG = "mo-critical-single-battery"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each load that lives depend on and that one lithium battery alone feeds."""
    found: dict[str, list[str]] = {}
    for id, load in sorted(study.system.components.items()):
        if isinstance(load, Load) and (load.safety or (isinstance(load, Motor) and load.steering)):
            batteries = _batteries(study, id)
            only = batteries[0] if len(batteries) == 1 else None
            if isinstance(only, Battery) and only.chemistry == "lifepo4" and only.parallel == 1:
                found.setdefault(only.id, []).append(id)
    for battery, loads in found.items():
        yield Hit((battery, *loads), words={"loads": " and ".join(loads)})


def _batteries(study: Study, load: str) -> list[Battery | VehicleBattery]:
    nodes = {n for start in study.graph.nodes_of(load) if start.pole == "+" for n in study.graph.reach(start, _passes)}
    found = {c.id: c for n in nodes if isinstance(c := study.graph.component_at(n), Battery | VehicleBattery)}
    return [found[id] for id in sorted(found)]


def _passes(edge: Edge, node: Node) -> bool:
    if isinstance(edge, Conductor):
        return edge.a.pole == node.pole == edge.b.pole
    return edge.kind in ("device", "one-way") and edge.a.pole == node.pole


CHECK = Check(
    slug=SLUG,
    title="vital loads on one lithium battery",
    family="monitoring",
    severity=Severity.ADVICE,
    limit="Loads that lives depend on (safety, steering) have another source than one lithium battery.",
    exceptions="none",
    sources=(Source("ABYC E-13, alternative supply", "from memory"),),
    message="{loads} hangs on {at} alone: when its management system opens, it stops without a warning.",
    remedy="Give {loads} a second source beside {at}, such as the starting battery through a diode or a selector.",
    find=find,
    profiles=("us-boat",),
    example=Example(
        spec="""\
rigline: 1
title: Running lights on lithium
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: lifepo4, voltage: 12.8 V, capacity: 40 Ah, short-circuit: 800 A, bms: true}
  F1: {kind: fuse, style: class-t, rating: 20 A}
  LT1: {kind: dc-load, name: Running lights, current: 2 A, continuous: true, safety: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, LT1], lengths: [100 mm, 1 m], wire: 12 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="safety: false",
        failing="safety: true",
        finds=("B1", "LT1"),
    ),
)
