"""Solar wires in a building stay live while it burns, for the sun does not stop for a fire.

Firefighters cut a roof open where it is hottest. Rapid shutdown makes the wires harmless from outside, and protection
against earth faults and arcs finds the spark that starts the fire.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.sources import PvArray
from rigline.study.array_inputs import array_inputs
from rigline.study.causes import exceeds
from rigline.study.study import Study

SLUG = "pv-building-protection"
ARC_V = 80.0
"""At this DC voltage and above arcs must be found. Source: NEC 690.11, from memory."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each array on a building that lacks rapid shutdown, earth-fault or arc protection."""
    volts = {a.id: s.cold_v for one in array_inputs(study) for s in one.strings for a in one.arrays(s)}
    for id, array in sorted(study.system.components.items()):
        if not isinstance(array, PvArray) or array.ground_mounted or not study.graph.nodes_of(id):
            continue
        facts = {
            "rapid shutdown": ("rapid-shutdown", array.rapid_shutdown),
            "earth-fault protection": ("ground-fault-protection", array.ground_fault_protection),
        }
        if exceeds(volts.get(id) or 0.0, ARC_V):
            facts["arc protection"] = ("arc-fault-protection", array.arc_fault_protection)
        lacking = [what for what, (_, there) in facts.items() if there is False]
        unknown = [key for key, there in facts.values() if there is None]
        if lacking:
            yield Hit((id,), words={"lacking": " and ".join(lacking)}, field=facts[lacking[0]][0])
        elif unknown:
            yield Missing((id,), f"{', '.join(unknown)} of {id}")


CHECK = Check(
    slug=SLUG,
    title="array on a building without its protection",
    family="PV",
    severity=Severity.FAULT,
    limit="Rapid shutdown (30 V within 30 s), earth-fault protection, and arc protection from 80 V DC.",
    exceptions="Arrays on the ground whose runs enter no building (`ground-mounted: true`).",
    sources=(
        Source("NEC 690.12, 690.41(B) and 690.11", "from memory"),
        Source("exceptions for ground-mounted arrays, trade press on NEC 690", "verified"),
    ),
    message="{at} stands on a building and has no {lacking}: its wires stay live in a fire.",
    remedy="Fit listed {lacking} for {at}.",
    find=find,
    profiles=("us-cabin",),
    example=Example(
        spec="""\
rigline: 1
title: A small module on a cabin's roof
profile: us-cabin
body: wood
conditions: {coldest: -10 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: anl, rating: 35 A}
  PV1: {kind: pv-array, pmax: 100 W, vmp: 18 V, imp: 5.5 A, voc: 22 V, isc: 6 A, frame: none, rapid-shutdown: true,
        ground-fault-protection: true}
  SC1: {kind: charge-controller, max-input: 50 V, method: pwm, output: 10 A}
  ER1: {kind: earth-electrode, type: rod, count: 2}
runs:
  - {id: W1, path: [PV1, SC1], length: 2 m, wire: 8 AWG, sunlight-resistant: true, insulation: 90 °C}
  - {id: W2, path: [SC1, F1, B1], lengths: [0.5 m, 100 mm], wire: 6 AWG, insulation: 90 °C}
  - {id: W3, path: [B1-, ER1], length: 0.5 m, carries: bond, wire: 6 AWG, insulation: 90 °C}
""",
        passing="rapid-shutdown: true",
        failing="rapid-shutdown: false",
        finds=("PV1",),
    ),
)
