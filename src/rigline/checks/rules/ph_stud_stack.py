"""A stud holds a few lugs well and many lugs badly.

Each lug more takes thread from the nut and lets the stack loosen as it warms and cools. The lowest lug, which carries
the most, gets the worst contact. A bar has room for all of them.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds import Component
from rigline.kinds.devices import InLine, Shunt
from rigline.kinds.sources import Battery, VehicleBattery
from rigline.study.causes import exceeds
from rigline.study.study import Study

SLUG = "ph-stud-stack"
MOST_LUGS = 4
"""Ring terminals on one stud. Source: ABYC E-11.16.3.7."""
MOST_ON_SHUNT = 3
"""Lugs on a bolt of a shunt. Source: shunts' manuals (two to three)."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each post of a battery and each stud of a switch, fuse or shunt with too many lugs."""
    for id, component in sorted(study.system.components.items()):
        if not isinstance(component, Battery | VehicleBattery | InLine):
            continue
        for node in study.graph.nodes_of(id):
            if node.pole not in ("+", "-"):
                continue
            runs = [study.run_of(conductor) for conductor in study.graph.conductors_at(node)]
            lugs, most = sum(run.spec.conductors for run in runs), _most(component)
            if exceeds(lugs, most):
                words = {"pole": "plus" if node.pole == "+" else "minus"}
                ids = tuple(dict.fromkeys(run.id for run in runs))
                yield Hit((id,), float(lugs), float(most), "lugs", ids, words=words)


def _most(component: Component) -> int:
    """Lugs that all studs of one pole hold together; every parallel block has a post of its own."""
    if isinstance(component, Shunt):
        return MOST_ON_SHUNT
    return MOST_LUGS * (component.parallel if isinstance(component, Battery) else 1)


CHECK = Check(
    slug=SLUG,
    title="too many lugs on one stud",
    family="physical",
    severity=Severity.FAULT,
    limit="Four ring terminals on a stud or post, three on a shunt's bolt.",
    exceptions="Bars, panels and chassis, which have a stud for each.",
    sources=(
        Source("ABYC E-11, four to a stud; manuals of shunts", "verified"),
        Source("NEC 110.14(A)", "from memory"),
    ),
    message="{found} lugs sit on the {pole} of {at}, which holds {limit} lugs: the stack loosens and heats up.",
    remedy="Fit a busbar with one cable to {at}, and move the other lugs to it.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Three pumps on one battery
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 10 A}
  F2: {kind: fuse, style: blade, rating: 10 A}
  F3: {kind: fuse, style: blade, rating: 10 A}
  M1: {kind: motor, name: Wash pump, current: 5 A, continuous: false}
  M2: {kind: motor, name: Drain pump, current: 5 A, continuous: false}
  M3: {kind: motor, name: Toilet pump, current: 5 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, M1], lengths: [100 mm, 2 m], wire: 12 AWG}
  - {id: W2, path: [B1, F2, M2], lengths: [100 mm, 2 m], wire: 12 AWG}
  - {id: W3, path: [B1, F3, M3], lengths: [100 mm, 2 m], wire: 12 AWG}
  - {id: W4, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 6 AWG, conductors: 1}
""",
        passing="conductors: 1",
        failing="conductors: 2",
        finds=("B1",),
    ),
)
