"""Rain finds every slot, and road spray comes from below.

An inlet or outlet without a cover that seals while a plug is in fills with water. Leakage begins, contacts corrode,
and what should be dead to the touch is not.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds import Component
from rigline.kinds.devices import InLine
from rigline.kinds.distribution import AcPanel, DcBus, Junction
from rigline.kinds.loads import Receptacle
from rigline.kinds.sources import ShoreInlet
from rigline.study.study import Study

SLUG = "ph-outside-protection"
SOLIDS, WATER = 4, 4
"""Least digits of the code: IP44. Source: IEC 60364-7-721 and -7-709; NEC 406.9(B), from memory."""
WEATHERPROOF = ("while in use", "while-in-use", "3r", "4x")
"""Other words for a case that stands rain."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each inlet, outside outlet and outside box below IP44."""
    for id, component in sorted(study.system.components.items()):
        if not _is_outside(study, component) or not study.graph.nodes_of(id):
            continue
        text = (component.ip or "").lower()
        match = re.search(r"ip\s*([0-6x])([0-9x])", text)
        if any(word in text for word in WEATHERPROOF):
            continue
        if match is None:
            yield Missing((id,), f"ip of {id}")
        elif _is_below(match[1], SOLIDS) or _is_below(match[2], WATER):
            yield Hit((id,), words={"ip": match[0].upper()}, field="ip")


def _is_below(digit: str, least: int) -> bool:
    return digit == "x" or int(digit) < least


def _is_outside(study: Study, component: Component) -> bool:
    if isinstance(component, ShoreInlet):
        return True
    if isinstance(component, Receptacle) and component.location == "outside":
        return True
    place = study.system.places.get(component.place or "")
    boxed = isinstance(component, InLine | AcPanel | DcBus | Junction | Receptacle)
    return boxed and place is not None and bool(place.outside)


CHECK = Check(
    slug=SLUG,
    title="outside part that does not stand rain",
    family="physical",
    severity=Severity.FAULT,
    limit="Inlets, outside outlets and outside boxes: IP44, or a cover that seals while in use.",
    exceptions="Parts in a place that is not `outside: true`; parts under water need more.",
    sources=(Source("NEC 406.9(B); IEC 60364-7-721, IP44", "from memory"),),
    message="{at} is outside and only {ip}: rain gets in, and IP44 is asked for.",
    remedy="Fit a cover or box of IP44 or better for {at}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Caravan with an inlet that stands rain
profile: eu-caravan
body: metal
defaults: {insulation: 70 °C}
components:
  SH1: {kind: shore-inlet, rating: 16 A, voltage: 230 V, ip: IP44}
  QM: {kind: breaker, rating: 16 A, poles: 2, voltage: 230 V, interrupting: 6 kA, residual: 30 mA}
  ACP1: {kind: ac-panel, rating: 25 A}
  QA: {kind: breaker, rating: 10 A, poles: 2, voltage: 230 V, interrupting: 6 kA}
  KT1: {kind: ac-load, name: Kettle, power: 900 W, continuous: false}
  FR1: {kind: chassis, type: frame}
runs:
  - {id: W1, path: [SH1, QM, ACP1], lengths: [300 mm, 1 m], wire: 2.5 mm²}
  - {id: W2, path: [ACP1, QA, KT1], lengths: [100 mm, 3 m], wire: 2.5 mm²}
  - {id: W3, path: [ACP1, FR1], length: 1 m, carries: earth, wire: 6 mm²}
""",
        passing="ip: IP44",
        failing="ip: IP20",
        finds=("SH1",),
    ),
)
