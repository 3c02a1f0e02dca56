"""In a vehicle the transfer switch must change over the neutral together with the live wire.

Every source brings its own joint of neutral and earth. If the neutrals stay connected, a shore cord, a generator or an
inverter that idles still decides what the earth wires carry, and unplugged pins can be live.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.devices import TransferSwitch
from rigline.model.system import NEUTRAL, Node
from rigline.study.study import Study

SLUG = "gb-transfer-neutral-switching"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each transfer switch that leaves the neutral joined, unless the count of joints is found wrong already."""
    nets = study.neutrals.nets
    for id, switch in sorted(study.system.components.items()):
        if not isinstance(switch, TransferSwitch) or Node(id, "", NEUTRAL) not in study.graph.graph:
            continue
        if switch.switches_neutral is None and switch.poles is None:
            yield Missing((id,), f"switches-neutral of {id}")
        elif all(len(net.bonds) == 1 for net in nets if id in dict(net.positions)):
            yield Hit((id,), field="switches-neutral")


CHECK = Check(
    slug=SLUG,
    title="transfer switch that leaves the neutrals joined",
    family="grounding & bonding",
    severity=Severity.DANGER,
    limit="In vehicles a transfer switch changes over live wires and neutral: two poles at 30 A, three at 50 A.",
    exceptions=(
        "Cabins, where a floating generator may use the panel's joint over a common neutral. Where the number of "
        "joints is wrong because of it: gb-ng-none and gb-ng-multiple."
    ),
    sources=(
        Source("NEC 250.30", "from memory"),
        Source("NEC 551.33", "from memory"),
    ),
    message="{at} switches the live wire only. The neutrals of both sources stay joined and act on each other.",
    remedy="Fit a transfer switch in place of {at} that switches the neutral too (`switches-neutral: true`).",
    find=find,
    profiles=("us-rv", "eu-caravan"),
    example=Example(
        spec="""\
rigline: 1
title: Camper with two generators
profile: us-rv
body: metal
defaults: {insulation: 75 °C}
components:
  GEN1: {kind: generator, power: 3 kW, voltage: 120 V, neutral-bond: relay}
  GEN2: {kind: generator, power: 3 kW, voltage: 120 V, neutral-bond: relay}
  Q1: {kind: breaker, rating: 30 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  Q2: {kind: breaker, rating: 30 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  TS1: {kind: transfer-switch, rating: 30 A, switches-neutral: true}
  ACP1: {kind: ac-panel, rating: 30 A}
  QA: {kind: breaker, rating: 20 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  RC1: {kind: receptacle, rating: 20 A, gfci: true, power: 900 W}
  FR1: {kind: chassis, type: frame}
runs:
  - {id: W1, path: [GEN1, Q1, TS1.a], lengths: [150 mm, 2 m], wire: 10 AWG}
  - {id: W2, path: [GEN2, Q2, TS1.b], lengths: [150 mm, 2 m], wire: 10 AWG}
  - {id: W3, path: [TS1.out, ACP1], length: 1 m, wire: 10 AWG}
  - {id: W4, path: [ACP1, QA, RC1], lengths: [100 mm, 3 m], wire: 12 AWG}
  - {id: W5, path: [ACP1, FR1], length: 1 m, carries: earth, wire: 8 AWG}
""",
        passing="switches-neutral: true",
        failing="switches-neutral: false",
        finds=("TS1",),
    ),
)
