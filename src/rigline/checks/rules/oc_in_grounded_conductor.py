"""A fuse or switch in the negative or the neutral opens the way back, but the load stays live. Current then finds
another way back: through a sense lead, a chassis, or a person.

A device belongs in the hot conductor, or it opens both together.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.devices import InLine
from rigline.model.system import HOT_LEGS
from rigline.study.protection import hot_poles
from rigline.study.study import Study

OPENING = frozenset({"fuse", "breaker", "switch", "selector", "relay"})
"""Kinds that open a conductor, on purpose or in a fault."""
WORDS = {"-": "negative", "+": "positive", "N": "neutral"}


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each device that opens a grounded conductor alone."""
    hot = {*hot_poles(study.graph), *HOT_LEGS}
    grounded = {"N"} if study.system.head.dc_grounding == "isolated" else {"N", "+", "-"} - hot
    for id, component in sorted(study.system.components.items()):
        if component.kind in OPENING and isinstance(component, InLine):
            poles = {link.a.pole for link in study.graph.links_of(id)}
            for pole in sorted(poles & grounded) if not poles & hot else ():
                yield _hit(component, WORDS[pole], _severity(component, pole))
    for run in study.system.runs:
        if run.carries == "bond":
            for stop in run.stops[1:-1]:
                component = study.system.components[stop.component]
                if component.kind in OPENING and isinstance(component, InLine):
                    yield _hit(component, "bond", Severity.FAULT)


def _severity(component: InLine, pole: str) -> Severity:
    if pole == "N":
        return Severity.DANGER
    return Severity.ADVICE if component.kind == "switch" and component.interlock else Severity.FAULT


def _hit(component: InLine, conductor: str, severity: Severity) -> Hit:
    return Hit(at=(component.id,), severity=severity, words={"conductor": conductor})


CHECK = Check(
    slug="oc-in-grounded-conductor",
    title="device in a grounded conductor",
    family="overcurrent",
    severity=Severity.FAULT,
    limit=(
        "No device or switch in a bonded negative, a neutral or a bond, unless it opens every "
        "hot conductor of the circuit at the same time."
    ),
    exceptions=(
        "Devices with a pole for each hot conductor as well; DC systems declared isolated; a battery switch in "
        "the negative that is interlocked with one in the positive is advice."
    ),
    sources=(
        Source("46 CFR 28.860(e), 183.380(b), 111.05-37", "verified"),
        Source("NEC 240.22 and 404.2", "from memory"),
    ),
    message=(
        "{at} stands in the {conductor} and leaves the hot conductor closed: when it opens, what it serves stays live."
    ),
    remedy="Move {at} to the hot conductor, or fit one that opens both together.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Monitor shunt in the negative
profile: us-boat
body: plastic
defaults: {insulation: 105 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 10 A}
  LT1: {kind: dc-load, name: Lamps, power: 48 W}
  RS1: {kind: shunt, rating: 100 A}
  NEG1: {kind: busbar, pole: negative, rating: 100 A}
  GND: {kind: chassis, name: Engine, type: engine}
runs:
  - {id: W1, path: [B1+, F1, LT1+], lengths: [100 mm, 2 m], wire: 14 AWG}
  - {id: W2, path: [LT1-, NEG1], length: 2 m, carries: negative, wire: 14 AWG}
  - {id: W3, path: [NEG1, RS1, B1-], lengths: [0.2 m, 0.3 m], carries: negative, wire: 8 AWG}
  - {id: W4, path: [NEG1, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="RS1: {kind: shunt, rating: 100 A}",
        failing="RS1: {kind: switch, voltage: 32 V, rating: 100 A}",
        finds=("RS1",),
    ),
)
