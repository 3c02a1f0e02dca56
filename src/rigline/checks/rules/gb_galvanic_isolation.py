"""The earth wire of the shore cord joins a boat's underwater metal to that of every boat at the dock.

Together they are a battery, and the least noble metal is eaten. A galvanic isolator or an isolation transformer stops
this small current and still lets the current of a fault pass.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.graph.build import Edge
from rigline.kinds.converters import Transformer
from rigline.kinds.devices import GalvanicIsolator
from rigline.kinds.sources import ShoreInlet
from rigline.model.system import Node
from rigline.study.study import Study

SLUG = "gb-galvanic-isolation"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each shore inlet whose earth pin leads to hull or engine with nothing that stops galvanic current."""
    grounding, components = study.grounding, study.system.components

    def straight(edge: Edge, a: Node, b: Node) -> bool:
        stops = isinstance(components[a.component], GalvanicIsolator | Transformer)
        joins = grounding.is_earth(edge, a, b) or grounding.is_bond(edge, a, b) or grounding.is_return(edge, a, b)
        return joins and not stops

    for id, inlet in sorted(components.items()):
        if not isinstance(inlet, ShoreInlet):
            continue
        joined = grounding.reach([grounding.case(id)], straight)
        wet = [body for body in grounding.bodies if grounding.case(body) in joined]
        if wet:
            metal_hull = study.system.head.body == "metal"
            yield Hit((id,), severity=Severity.FAULT if metal_hull else Severity.ADVICE, words={"metal": wet[0]})


CHECK = Check(
    slug=SLUG,
    title="shore earth joined to underwater metal without galvanic isolation",
    family="grounding & bonding",
    severity=Severity.ADVICE,
    limit="A galvanic isolator or isolation transformer between inlet and boat's metal; a fault in metal hulls.",
    exceptions="Boats without bonded metal under water.",
    sources=(
        Source("ABYC A-28; ISO 13297 6.9", "from memory"),
        Source("galvanic isolator in the shore earth", "common practice"),
    ),
    message="The shore earth of {at} leads straight to {metal}. Galvanic current eats its underwater metal.",
    remedy="Fit a fail-safe galvanic isolator in the earth conductor right behind {at}.",
    find=find,
    profiles=("us-boat", "intl-boat", "uk-inland-boat"),
    example=Example(
        spec="""\
rigline: 1
title: Boat on shore power with a galvanic isolator
profile: us-boat
body: plastic
components:
  SH1: {kind: shore-inlet, rating: 30 A, voltage: 120 V}
  QM: {kind: breaker, rating: 30 A, poles: 2, voltage: 120 V, interrupting: 10 kA, residual: 30 mA}
  GI1: {kind: galvanic-isolator, rating: 30 A, fail-safe: true}
  ACP1: {kind: ac-panel, rating: 30 A, polarity-indicator: true}
  QA: {kind: breaker, rating: 20 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  RC1: {kind: receptacle, rating: 20 A, gfci: true, power: 900 W}
  ENG: {kind: chassis, type: engine}
runs:
  - {id: W1, path: [SH1, QM, ACP1], lengths: [1 m, 100 mm], cores: [L, N], wire: 10 AWG, insulation: 75 °C}
  - {id: W2, path: [SH1.PE, GI1, ACP1.PE], lengths: [1 m, 1 m], carries: earth, wire: 10 AWG, insulation: 75 °C}
  - {id: W3, path: [ACP1, QA, RC1], lengths: [100 mm, 3 m], wire: 12 AWG, insulation: 75 °C}
  - {id: W4, path: [ACP1, ENG], length: 1 m, carries: earth, wire: 8 AWG, insulation: 75 °C}
""",
        passing="GI1: {kind: galvanic-isolator, rating: 30 A, fail-safe: true}",
        failing="GI1: {kind: earth-bus}",
        finds=("SH1",),
    ),
)
