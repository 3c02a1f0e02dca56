"""An inverter draws its battery current in pulses, and long cables make it stumble.

Every metre adds loss at full load and ripple that ages the inverter's capacitors. Wire the AC side long and the DC
side short.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.converters import Inverter
from rigline.model.system import Node
from rigline.study.cable_length import to_battery_m
from rigline.study.causes import exceeds
from rigline.study.protection import hot_poles
from rigline.study.study import Study

SLUG = "cd-inverter-cable-length"
LONGEST_M = 3.05
"""One way from battery to inverter: 10 ft. Source: inverters' installation manuals agree on it."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each inverter that stands farther from its battery than its maker, or makers in general, allow."""
    hot = hot_poles(study.graph)[0]
    for id, inverter in sorted(study.system.components.items()):
        start = Node(id, "dc", hot)
        if not isinstance(inverter, Inverter) or start not in study.graph.graph:
            continue
        length, runs = to_battery_m(study.graph, start)
        own = inverter.max_cable_m
        limit = LONGEST_M if own is None else own
        if runs and length is None:
            yield Missing((id,), "length of " + ", ".join(runs))
        elif length is not None and exceeds(length, limit):
            severity = Severity.ADVICE if own is None else Severity.FAULT
            words = {"who": "its maker allows" if own is not None else "makers in general allow"}
            yield Hit((id,), length, limit, "m", runs, severity=severity, words=words)


CHECK = Check(
    slug=SLUG,
    title="inverter too far from its battery",
    family="conductor",
    severity=Severity.ADVICE,
    limit="10 ft (3.05 m) one way, or what the maker states (`max-cable`), which makes it a fault.",
    exceptions="none; a thicker cable helps against the loss, which cd-voltage-drop-critical judges.",
    sources=(Source("installation manuals of inverters: up to 10 ft", "verified"),),
    message="{at} stands {found} {unit} of cable from its battery; {who} {limit} {unit}. It may stumble under load.",
    remedy="Move {at} within {limit} {unit} of cable of its battery, and lengthen the AC side instead.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Camper with an inverter near its battery
profile: us-rv
body: metal
defaults: {insulation: 105 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 200 Ah, short-circuit: 4 kA,
       disconnect: true, charge-display: true, max-discharge: 100 A}
  F1: {kind: fuse, style: class-t, rating: 125 A}
  INV1: {kind: inverter, power: 300 W, output: 120 V, efficiency: 90 %, low-cutoff: 11 V, neutral-bond: fixed}
  ACP1: {kind: ac-panel, rating: 30 A}
  FR1: {kind: chassis, type: frame}
runs:
  - {id: W1, path: [B1, F1, INV1.dc], lengths: [150 mm, 2 m], wire: 4/0 AWG}
  - {id: W2, path: [INV1.ac-out, ACP1], length: 1 m, wire: 10 AWG}
  - {id: W3, path: [B1-, FR1], length: 0.5 m, carries: bond, wire: 4/0 AWG}
  - {id: W4, path: [INV1.case, FR1], length: 0.8 m, carries: earth, wire: 1/0 AWG}
  - {id: W5, path: [ACP1, FR1], length: 1 m, carries: earth, wire: 8 AWG}
""",
        passing="lengths: [150 mm, 2 m]",
        failing="lengths: [150 mm, 4 m]",
        finds=("INV1",),
    ),
)
