"""A large inverter takes a huge current for an instant when its switch is closed, to fill its capacitors.

The spark eats the contacts of the switch, and may weld them or blow the fuse. A resistor across the open switch for a
few seconds, or an inverter that does this by itself, keeps the spark away.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.graph.build import Edge
from rigline.kinds.converters import Inverter
from rigline.kinds.devices import Breaker, InLine, Relay, Selector, Switch
from rigline.model.system import Conductor, Node
from rigline.study.study import Study

SLUG = "ds-precharge"
LEAST_W, LEAST_V = 2000.0, 20.0
"""Power and nominal voltage from which an inverter's capacitors spark badly: 2 kW on 24 V and above. Common
practice."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each large inverter behind a switch with nothing that fills its capacitors slowly."""
    for id, inverter in sorted(study.system.components.items()):
        node = Node(id, "dc", "+")
        if not isinstance(inverter, Inverter) or node not in study.graph.graph or inverter.soft_start:
            continue
        volts = study.limits.node_volts_v(node) or inverter.dc_voltage_v or inverter.voltage_v
        if inverter.power_w is None or volts is None:
            yield Missing((id,), f"power and voltage of {id}")
        elif inverter.power_w >= LEAST_W and volts >= LEAST_V and (switches := _switches(study, node)):
            if inverter.soft_start is None:
                yield Missing((id,), f"whether {id} charges its capacitors slowly (soft-start)")
            else:
                words = {"switch": switches[0].id, "power": f"{inverter.power_w:.4g} W"}
                yield Hit((id, switches[0].id), words=words, field="soft-start")


def _switches(study: Study, start: Node) -> list[InLine]:
    """Switches on the inverter's positive, sorted by id."""
    found = {c.id: c for n in study.graph.reach(start, _passes) if isinstance(c := study.graph.component_at(n), InLine)}
    return [found[id] for id in sorted(found) if isinstance(found[id], Switch | Selector | Relay | Breaker)]


def _passes(edge: Edge, node: Node) -> bool:
    if isinstance(edge, Conductor):
        return edge.a.pole == node.pole == edge.b.pole
    return edge.kind == "device" and edge.a.pole == node.pole


CHECK = Check(
    slug=SLUG,
    title="large inverter switched on without precharge",
    family="disconnects",
    severity=Severity.ADVICE,
    limit=(
        "An inverter of 2 kW or more on 24 V and above fills its capacitors slowly (soft-start), or through a resistor."
    ),
    exceptions="Inverters on 12 V, and smaller ones; a precharge resistor: say soft-start of the inverter.",
    sources=(Source("precharge of large inverters", "common practice"),),
    message="{at} ({power}) fills its capacitors at once when {switch} closes: the spark eats or welds the contacts.",
    remedy=(
        "Fit a precharge resistor with a push-button across {switch}, or use an inverter for {at} that starts softly."
    ),
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A large inverter
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: lifepo4, voltage: 51.2 V, capacity: 100 Ah, short-circuit: 3 kA, bms: true,
       max-discharge: 100 A, charge-display: true}
  F1: {kind: fuse, style: class-t, rating: 70 A}
  Q1: {kind: switch, rating: 100 A, voltage: 80 V}
  INV1: {kind: inverter, power: 2000 W, output: 120 V, neutral-bond: fixed, gfci: true, soft-start: true}
  QB: {kind: breaker, rating: 15 A, voltage: 120 V, interrupting: 5 kA}
  LD1: {kind: ac-load, name: Kettle, power: 500 W, continuous: false, class-ii: true}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, Q1, INV1.dc], lengths: [100 mm, 0.3 m, 0.5 m], wire: 4 AWG}
  - {id: W2, path: [INV1.ac-out, QB, LD1], lengths: [0.5 m, 1 m], wire: 12 AWG}
  - {id: W4, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 4 AWG}
  - {id: W5, path: [INV1.case, GND], length: 0.5 m, carries: earth, wire: 4 AWG}
""",
        passing="soft-start: true",
        failing="soft-start: false",
        finds=("INV1", "Q1"),
    ),
)
