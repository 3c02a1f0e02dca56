"""A generator on rubber mounts is not joined to the vehicle that it is bolted to.

A live wire that chafes inside its housing makes the frame live against the chassis beside it. A strap of its own holds
both at one voltage, and lets the breaker open.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.sources import Generator
from rigline.study.study import Study

SLUG = "gb-generator-frame"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each generator aboard whose frame has no strap of its own, if it says it is built in, or no earth at all."""
    grounding = study.grounding
    for id, generator in sorted(study.system.components.items()):
        if not isinstance(generator, Generator) or generator.portable or generator.class_ii:
            continue
        strapped = any(study.system.run(c.run).medium == "earth" for c in study.graph.conductors_at(grounding.case(id)))
        bonded = grounding.is_earthed(id) and (strapped or generator.portable is None)
        if not bonded and study.graph.nodes_of(id) and grounding.metal_body:
            yield Hit((id,), words={"metal": grounding.bodies[0] if grounding.bodies else "the chassis"})


CHECK = Check(
    slug=SLUG,
    title="generator frame not bonded to the chassis",
    family="grounding & bonding",
    severity=Severity.DANGER,
    limit="The frame of a generator aboard is joined to chassis or hull; one that is built in, by a strap of its own.",
    exceptions="Double-insulated sets; portable ones (`portable: true`), which the plug of their cord earths.",
    sources=(Source("NEC 551.30(A) and 250.34", "verified"),),
    message="The frame of {at} is not strapped to {metal}. A fault inside makes it live against the metal beside it.",
    remedy="Run a strap of 8 AWG (10 mm²) or thicker from the frame of {at} to {metal} (`carries: earth`).",
    find=find,
    profiles=("us-rv", "us-boat", "intl-boat", "uk-inland-boat", "eu-caravan"),
    example=Example(
        spec="""\
rigline: 1
title: Camper with a generator strapped to the frame
profile: us-rv
body: metal
components:
  GEN1: {kind: generator, power: 3 kW, voltage: 120 V, neutral-bond: fixed, portable: false}
  QM: {kind: breaker, rating: 30 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  ACP1: {kind: ac-panel, rating: 30 A}
  QA: {kind: breaker, rating: 20 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  RC1: {kind: receptacle, rating: 20 A, gfci: true, power: 900 W}
  FR1: {kind: chassis, type: frame}
runs:
  - {id: W1, path: [GEN1, QM, ACP1], lengths: [150 mm, 2 m], wire: 10 AWG, insulation: 75 °C}
  - {id: W2, path: [ACP1, QA, RC1], lengths: [100 mm, 3 m], wire: 12 AWG, insulation: 75 °C}
  - {id: W3, path: [ACP1, FR1], length: 1 m, carries: earth, wire: 8 AWG, insulation: 75 °C}
  - {id: W4, path: [GEN1.case, FR1], length: 1 m, carries: earth, wire: 8 AWG, insulation: 75 °C}
""",
        passing="path: [GEN1.case, FR1]",
        failing="path: [ACP1.case, FR1]",
        finds=("GEN1",),
    ),
)
