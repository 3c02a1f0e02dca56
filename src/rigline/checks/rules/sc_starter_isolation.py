"""A starting battery that is joined to the house battery goes flat with it.

One evening of light and music, and the engine no longer starts: on the water or in the cold that is more than a
nuisance. A relay, a diode, a DC charger or a selector keeps one battery out of reach of the house.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.graph.build import Edge
from rigline.kinds.devices import Switch
from rigline.kinds.sources import Battery, VehicleBattery
from rigline.model.system import Node
from rigline.study.storage import shares_current
from rigline.study.study import Study

SLUG = "sc-starter-isolation"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each starting battery on one net with a house battery while the engine is off."""
    for id, component in sorted(study.system.components.items()):
        if isinstance(component, VehicleBattery) or (isinstance(component, Battery) and component.starting):
            joined = _houses(study, id, closed=True)
            for house in sorted(joined):
                if house in _houses(study, id, closed=False):
                    yield Hit((id, house), words={"house": house})
                else:
                    yield from _by_switch(study, id, house)


def _by_switch(study: Study, starter: str, house: str) -> Iterator[Hit | Missing]:
    net = study.graph.reach(Node(starter, "", "+"), lambda edge, node: shares_current(study, edge, node))
    switches = {c.id: c for n in net if isinstance(c := study.graph.component_at(n), Switch)}
    unknown = [id for id, switch in sorted(switches.items()) if switch.normally is None]
    if unknown:
        yield Missing((starter, house), f"usual state of {', '.join(unknown)} (normally)")
    else:
        yield Hit((starter, house), words={"house": house})


def _houses(study: Study, starter: str, closed: bool) -> set[str]:
    """House batteries that share current with a starting battery, over closed switches or over none."""

    def passes(edge: Edge, node: Node) -> bool:
        own = getattr(edge, "component", None)
        is_switch = own is not None and isinstance(study.system.components[own], Switch)
        return shares_current(study, edge, node) and (closed or not is_switch)

    if Node(starter, "", "+") not in study.graph.graph:
        return set()
    found = {n.component: study.graph.component_at(n) for n in study.graph.reach(Node(starter, "", "+"), passes)}
    return {id for id, c in found.items() if isinstance(c, Battery) and not c.starting and id != starter}


CHECK = Check(
    slug=SLUG,
    title="starting battery joined to the house battery",
    family="sources & charging",
    severity=Severity.FAULT,
    limit="With the engine off, nothing joins a starting battery to another bank.",
    exceptions="A switch that is normally open, for emergencies; a plug, which is parted when the vehicle is parked.",
    sources=(
        Source("ABYC E-11 and ISO 10133 clause 6", "from memory"),
        Source("EN 1648-1 and EN 1648-2", "from memory"),
    ),
    message=(
        "{at} is joined to {house} with the engine off: what drains the house battery leaves the engine "
        "without a start."
    ),
    remedy="Put a relay, a diode isolator or a DC charger between {at} and {house}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A starting and a house battery
profile: us-boat
body: plastic
components:
  B1: {kind: battery, starting: true, chemistry: agm, voltage: 12 V, capacity: 50 Ah, short-circuit: 800 A, bank: one}
  B2: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 50 Ah, short-circuit: 800 A, bank: two}
  F1: {kind: fuse, style: class-t, rating: 60 A}
  F2: {kind: fuse, style: class-t, rating: 60 A}
  Q1: {kind: switch, name: Emergency start, rating: 200 A, voltage: 32 V, normally: open, cranking: 800 A}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, Q1, F2, B2], lengths: [100 mm, 0.5 m, 0.5 m, 100 mm], wire: 4 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 4 AWG}
""",
        passing="normally: open",
        failing="normally: closed",
        finds=("B1", "B2"),
    ),
)
