"""A part that no wire reaches does nothing, and often means that a run was forgotten.

The plan, the order list and the drawing would show something that will not work. If the part lies on the shelf on
purpose, saying so keeps the plan honest.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.study.study import Study

SLUG = "dg-orphan"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each component without a run, and each load whose minus alone is wired."""
    reached = {stop.component for run in study.system.runs for stop in run.stops}
    reached |= {run.spec.return_to.rstrip("+-").split(".")[0] for run in study.system.runs if run.spec.return_to}
    for id, component in sorted(study.system.components.items()):
        if component.spare:
            continue
        poles = {node.pole for node in study.graph.nodes_of(id)}
        if id not in reached:
            yield Hit((id,), words={"what": "no run reaches it"})
        elif component.role == "load" and "-" in poles and "+" not in poles:
            yield Hit((id,), words={"what": "only its minus is wired"})


CHECK = Check(
    slug=SLUG,
    title="part without its wires",
    family="documentation",
    severity=Severity.FAULT,
    limit="Every component has a run, and a load a wire at each pole.",
    exceptions="`spare: true`. A load with only its plus wired is dg-missing-return.",
    sources=(Source("a part needs a circuit to work", "common practice"),),
    message="{at} is in the list, but {what}: it will not work.",
    remedy="Add the run to {at}, delete it, or mark it `spare: true`.",
    find=find,
    hygiene=True,
    example=Example(
        spec="""\
rigline: 1
title: A lamp circuit and a spare pump
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 10 A}
  LT1: {kind: dc-load, name: Lamps, current: 4 A, continuous: false}
  M1: {kind: motor, name: Bilge pump, current: 5 A, spare: true}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, LT1], lengths: [100 mm, 2 m], wire: 14 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, wire: 8 AWG}
""",
        passing="spare: true",
        failing="spare: false",
        finds=("M1",),
    ),
)
