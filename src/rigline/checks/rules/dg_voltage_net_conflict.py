"""One wire cannot be at two voltages: where the plan demands it, current flows until something burns.

A 12 V and a 24 V battery on one bar, or a bank that is tied both in series and in parallel, is a short circuit
through the difference, limited by nothing but the cables between.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.distribution import DcBus
from rigline.model.system import Node
from rigline.study.closed_loops import short_circuits
from rigline.study.potentials import SAME_VOLTAGE_FRAC, Contradiction
from rigline.study.study import Study

SLUG = "dg-voltage-net-conflict"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each node that two sources hold at different voltages, and each bar marked for another voltage."""
    shorted = {id for id, _ in short_circuits(study.graph)}
    for found in study.potentials.contradictions:
        if not found.reversed_block and found.node.component not in shorted and not shorted & set(found.sources):
            yield _conflict(study, found)
    for id, component in sorted(study.system.components.items()):
        if isinstance(component, DcBus) and component.voltage_v:
            volts = study.limits.node_volts_v(Node(id, "", "+"))
            if volts and abs(volts - component.voltage_v) > SAME_VOLTAGE_FRAC * component.voltage_v:
                yield Hit(
                    (id,),
                    volts,
                    component.voltage_v,
                    "V",
                    words=_words(component.display, "it is marked for the other"),
                )


def _conflict(study: Study, found: Contradiction) -> Hit:
    runs = tuple(run.id for run in study.system.runs if run.id == found.through)
    sources = tuple(found.sources)
    why = (
        f"the wiring joins {', '.join(sources)} in a way that no voltages satisfy (in series and in parallel at once, "
        "or "
        "batteries of different voltage)"
    )
    return Hit(sources, found.first_v, found.second_v, "V", runs, words=_words(found.node.component, why))


def _words(node: str, why: str) -> dict[str, str]:
    return {"node": node, "why": why}


CHECK = Check(
    slug=SLUG,
    title="two voltages on one net",
    family="documentation",
    severity=Severity.DANGER,
    limit=f"One nominal voltage on each net, within {SAME_VOLTAGE_FRAC:.0%}.",
    exceptions="none",
    sources=(Source("the voltages around any loop sum to zero (Kirchhoff)", "verified"),),
    message=(
        "{node} would have to be at {found} V and at {limit} V at once: {why}. The difference drives a current that "
        "only "
        "the cables limit."
    ),
    remedy="Take out the link that should not be there, or put a converter between the two voltages.",
    find=find,
    hygiene=True,
    example=Example(
        spec="""\
rigline: 1
title: Two batteries on one bar
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 30 Ah, short-circuit: 800 A}
  B2: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 30 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: terminal, rating: 60 A}
  F2: {kind: fuse, style: terminal, rating: 60 A}
  BUS1: {kind: busbar, rating: 200 A}
  F3: {kind: fuse, style: class-t, rating: 10 A}
  LT1: {kind: dc-load, name: Lamps, current: 4 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, BUS1], lengths: [100 mm, 0.5 m], wire: 4 AWG}
  - {id: W2, path: [B2, F2, BUS1], lengths: [100 mm, 0.5 m], wire: 4 AWG}
  - {id: W3, path: [BUS1, F3, LT1], lengths: [100 mm, 2 m], wire: 12 AWG}
  - {id: W4, path: [BUS1-, GND], length: 0.5 m, wire: 4 AWG}
""",
        passing="B2: {kind: battery, chemistry: agm, voltage: 12 V",
        failing="B2: {kind: battery, chemistry: agm, voltage: 24 V",
        finds=("B1", "B2"),
    ),
)
