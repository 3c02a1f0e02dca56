"""A bond on the battery's side of a shunt lets current return past the meter.

Whatever comes back through the chassis, a lamp, a starter or a fault, then reaches the battery unmeasured. The monitor
shows a full battery that is empty.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.graph.build import Edge
from rigline.graph.links import Link
from rigline.kinds.devices import Shunt
from rigline.model.system import Node
from rigline.study.grounding import BOATS
from rigline.study.study import Study

SLUG = "gb-dc-bond-before-shunt"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each bond from which a battery is reached without passing the shunt beside it."""
    grounding, components = study.grounding, study.system.components

    def unmeasured(edge: Edge, a: Node, b: Node) -> bool:
        shunt = isinstance(edge, Link) and isinstance(components[edge.component], Shunt)
        return grounding.is_return(edge, a, b) and not shunt

    for bond in (bond for group in grounding.bonds_by_return() for bond in group):
        near = grounding.reach([bond.dc], unmeasured)
        studs = {node.component for node in near if node.terminal == "battery"}
        shunts = sorted(id for id in studs if isinstance(components[id], Shunt))
        if shunts:
            severity = Severity.ADVICE if study.system.profile_name in BOATS else Severity.FAULT
            yield Hit((bond.dc.component,), runs=bond.runs, severity=severity, words={"shunt": shunts[0]})


CHECK = Check(
    slug=SLUG,
    title="DC bond on the battery side of the shunt",
    family="grounding & bonding",
    severity=Severity.FAULT,
    limit="The bond lands on the load side of the shunt or the bus behind it. Advice in boats: no metal returns there.",
    exceptions="A base vehicle's own battery.",
    sources=(Source("chassis returns pass the monitor's shunt", "common practice"),),
    message="The bond at {at} ({runs}) is on the battery's side of {shunt}, which does not measure what returns there.",
    remedy="Move the bond {runs} to the load stud of {shunt}, or to the bus behind it.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Trailer battery bonded behind its shunt
profile: us-rv
body: metal
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah, short-circuit: 1 kA, vented: true}
  F1: {kind: fuse, style: terminal, rating: 30 A}
  Q1: {kind: switch, rating: 100 A, voltage: 32 V}
  RS1: {kind: shunt, rating: 100 A}
  LT1: {kind: dc-load, name: Lamps, power: 100 W}
  FR1: {kind: chassis, type: frame}
runs:
  - {id: W1, path: [B1, F1, Q1, RS1, LT1], lengths: [100 mm, 200 mm, 200 mm, 2 m], wire: 10 AWG, insulation: 105 °C}
  - {id: W2, path: [RS1.load-, FR1], length: 0.5 m, carries: bond, wire: 8 AWG, insulation: 105 °C}
""",
        passing="RS1.load-",
        failing="RS1.battery-",
        finds=("RS1",),
    ),
)
