"""Lead and lithium on one bar never agree on a voltage.

At rest lithium stands half a volt above lead and keeps charging it, and lead never sees the voltage that would fill it.
A charger set for one harms the other. Only a converter between them keeps each at its own voltage.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.graph.build import Edge
from rigline.kinds.sources import Battery, VehicleBattery
from rigline.model.system import Conductor, Node
from rigline.study.storage import series_of
from rigline.study.study import Study

SLUG = "bb-mixed-chemistry"
_CHANGEOVERS = ("relay", "selector", "switch", "connector")
"""Kinds that join two banks at times, which lead batteries of different kinds may be."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each pair of batteries of different chemistry on one net or in one string, without a converter between."""
    batteries = [c for _, c in sorted(study.system.components.items()) if isinstance(c, Battery | VehicleBattery)]
    strings = [{block.id for block in string.blocks} for string in series_of(study)]
    for first, second in combinations(batteries, 2):
        in_series = any({first.id, second.id} <= string for string in strings)
        if not in_series and not _joined(study, first.id, second.id, always=False):
            continue
        if first.chemistry is None or second.chemistry is None:
            nameless = ", ".join(b.id for b in (first, second) if b.chemistry is None)
            yield Missing((first.id, second.id), f"chemistry of {nameless}")
        elif first.chemistry != second.chemistry:
            lithium = "lifepo4" in (first.chemistry, second.chemistry)
            if lithium or in_series or _joined(study, first.id, second.id, always=True):
                words = {"kinds": f"{first.chemistry} and {second.chemistry}"}
                severity = Severity.DANGER if lithium else Severity.ADVICE
                yield Hit((first.id, second.id), severity=severity, words=words)


def _joined(study: Study, first: str, second: str, always: bool) -> bool:
    """Whether the plus of two batteries is one net, over switches and relays too unless it must be so always."""

    def passes(edge: Edge, node: Node) -> bool:
        if isinstance(edge, Conductor):
            return edge.a.pole == edge.b.pole
        changes = study.system.components[edge.component].kind in _CHANGEOVERS
        return edge.kind == "device" and not (always and changes)

    return (
        Node(second, "", "+") in study.graph.reach(Node(first, "", "+"), passes)
        if study.graph.nodes_of(first)
        else False
    )


CHECK = Check(
    slug=SLUG,
    title="batteries of different chemistry on one net",
    family="battery bank",
    severity=Severity.DANGER,
    limit=(
        "No lead and lithium battery on one net or in one string without a converter between; lead batteries of "
        "different kinds: advice."
    ),
    exceptions=(
        "Banks joined through a DC charger; lead starter and house batteries joined by a relay, switch or selector."
    ),
    sources=(
        Source("ABYC E-13 and ISO/TS 23625, charger and battery matched", "from memory"),
        Source("one chemistry on one net", "common practice"),
    ),
    message="{all} are {kinds} on one net: one overcharges or drains the other, and no charger setting suits both.",
    remedy="Put a DC charger between them, or use one chemistry.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Two batteries on one bar
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 50 Ah, short-circuit: 800 A}
  B2: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 50 Ah, short-circuit: 800 A, bms: true}
  F1: {kind: fuse, style: class-t, rating: 60 A}
  F2: {kind: fuse, style: class-t, rating: 60 A}
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
        passing="B2: {kind: battery, chemistry: agm",
        failing="B2: {kind: battery, chemistry: lifepo4",
        finds=("B1", "B2"),
    ),
)
