"""Lightning need not strike a house to wreck what is in it: a stroke nearby induces thousands of volts in a long loop.

The cable of a distant array is such a loop, and its far end is the charge controller. A surge protector at the
controller leads that away, if its own leads are short.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.graph.build import Edge
from rigline.kinds.loads import SurgeProtector
from rigline.model.system import POSITIVE, Conductor, Node, Run
from rigline.study.array_inputs import array_inputs
from rigline.study.causes import exceeds
from rigline.study.study import Study

SLUG = "gb-lightning-spd"
LONG_M = 50.0
"""From this length of cable an array wants a surge protector. Common practice, after IEC 60364-7-712 (from memory),
whose critical length is 115 m divided by the strokes a year on a square kilometre: two and more in many regions."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each controller with a long cable to an array and no surge protector on it."""
    for one in array_inputs(study):
        nodes = study.graph.reach(Node(one.controller.id, "pv", POSITIVE), _is_plain)
        if any(isinstance(study.graph.component_at(node), SurgeProtector) for node in nodes):
            continue
        for run in _runs(study, nodes):
            if run.length_m is None:
                yield Missing((run.id,), f"length of {run.id}")
            elif exceeds(run.length_m, LONG_M):
                words = {"arrays": ", ".join(array.id for array in one.every_array)}
                yield Hit((one.controller.id,), run.length_m, LONG_M, "m", (run.id,), words=words)


def _is_plain(edge: Edge, _: Node) -> bool:
    if isinstance(edge, Conductor):
        return edge.a.pole == POSITIVE == edge.b.pole
    return edge.kind == "device" and edge.a.pole == POSITIVE


def _runs(study: Study, nodes: set[Node]) -> list[Run]:
    ids = {conductor.run for node in nodes for conductor in study.graph.conductors_at(node)}
    return [run for id in sorted(ids) if (run := study.system.run(id)).medium == "dc"]


CHECK = Check(
    slug=SLUG,
    title="long array cable without a surge protector",
    family="grounding & bonding",
    severity=Severity.ADVICE,
    limit="From 50 m of cable a surge protector stands at the controller, its leads shorter than 0.5 m.",
    exceptions="Regions with hardly any lightning: waive it with that reason.",
    sources=(Source("IEC 60364-7-712; IEC 60364-4-443", "from memory"), Source("50 m", "common practice")),
    message=(
        "{runs} brings {arrays} to {at} over {found} {unit}; from {limit} {unit} a surge protector should stand there."
    ),
    remedy="Fit a surge protector for DC at {at} (`kind: surge-protector`), its leads shorter than 0.5 m.",
    find=find,
    profiles=("us-cabin", "iec-cabin"),
    example=Example(
        spec="""\
rigline: 1
title: Array behind a cabin
profile: us-cabin
body: wood
conditions: {coldest: -10 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: anl, rating: 35 A}
  PV1: {kind: pv-array, pmax: 60 W, vmp: 18 V, imp: 3.3 A, voc: 22 V, isc: 3.6 A, series: 2, frame: none,
        rapid-shutdown: true, ground-fault-protection: true, disconnect: true}
  SC1: {kind: charge-controller, max-input: 100 V, method: mppt, output: 15 A, max-array-current: 15 A}
  ER1: {kind: earth-electrode, type: rod, count: 2}
runs:
  - {id: W1, path: [PV1, SC1], confirmed: true, length: 20 m, wire: 6 AWG, sunlight-resistant: true, insulation: 90 °C}
  - {id: W2, path: [SC1, F1, B1], lengths: [0.5 m, 100 mm], wire: 6 AWG, insulation: 90 °C}
  - {id: W3, path: [B1-, ER1], length: 0.5 m, carries: bond, wire: 6 AWG, insulation: 90 °C}
""",
        passing="length: 20 m",
        failing="length: 60 m",
        finds=("SC1",),
    ),
)
