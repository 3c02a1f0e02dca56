"""Twelve volts invite bare hands, and behind the same cover may stand mains.

Who changes a fuse does not expect a live screw beside it. AC and DC terminals in one box are kept apart by a barrier
that stays in place when the cover is off.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds import Component
from rigline.model.system import HOT_LEGS
from rigline.study.study import Study

SLUG = "ph-ac-dc-enclosure"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each enclosure with terminals of both and no barrier between."""
    boxes: dict[str, list[Component]] = {}
    for _, component in sorted(study.system.components.items()):
        # A listed converter or combined panel has its own parting inside.
        if component.enclosure and component.role != "converter":
            boxes.setdefault(component.enclosure, []).append(component)
    for box, inside in sorted(boxes.items()):
        mains = [c.id for c in inside if _poles(study, c.id) & set(HOT_LEGS)]
        low = [c.id for c in inside if _poles(study, c.id) & {"+", "-"}]
        if not mains or not low or any(c.barrier for c in inside):
            continue
        if all(c.barrier is None for c in inside):
            yield Missing((low[0], mains[0]), f"whether a barrier parts AC and DC in {box}")
        else:
            yield Hit((low[0], mains[0]), words={"box": box, "low": low[0], "mains": mains[0]}, field="barrier")


def _poles(study: Study, id: str) -> set[str]:
    return {node.pole for node in study.graph.nodes_of(id)}


CHECK = Check(
    slug=SLUG,
    title="AC and DC in one box without a barrier",
    family="physical",
    severity=Severity.DANGER,
    limit="Terminals of AC and DC in one `enclosure` are parted by a barrier.",
    exceptions="Inverters and chargers, which are parted inside. Components without `enclosure` count as boxed alone.",
    sources=(Source("ISO 10133; NEC 552.10, barrier or half an inch", "verified"),),
    message="{low} and {mains} share {box} without a barrier: who changes a fuse there can touch mains.",
    remedy="Fit a barrier in {box}, or give {mains} a box of its own.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Camper with both voltages in one cupboard box
profile: us-rv
body: metal
defaults: {insulation: 105 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 10 A, enclosure: box}
  M1: {kind: motor, name: Pump, current: 5 A, continuous: false}
  GEN1: {kind: generator, power: 3 kW, voltage: 120 V, neutral-bond: fixed, internal-breaker: 25 A}
  QA: {kind: breaker, rating: 20 A, poles: 1, voltage: 120 V, interrupting: 10 kA, enclosure: box, barrier: true}
  HT1: {kind: ac-load, name: Heater, power: 1200 W, continuous: false}
  FR1: {kind: chassis, type: frame}
runs:
  - {id: W1, path: [B1, F1, M1], lengths: [100 mm, 2 m], wire: 12 AWG}
  - {id: W2, path: [GEN1, QA, HT1], lengths: [0.4 m, 2 m], wire: 10 AWG}
  - {id: W3, path: [B1-, FR1], length: 0.5 m, carries: bond, wire: 8 AWG}
  - {id: W4, path: [GEN1.case, FR1], length: 1 m, carries: earth, wire: 8 AWG}
""",
        passing="barrier: true",
        failing="barrier: false",
        finds=("F1", "QA"),
    ),
)
