"""A solar array the wrong way round finds a diode in the controller that carries all its current.

A controller may survive that for a while, up to a power that its maker names; then the diode melts, and the array
burns on through what is left, for nobody can switch off the sun.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.graph.build import Edge
from rigline.kinds.converters import ChargeController
from rigline.kinds.sources import PvArray
from rigline.model.system import Conductor, Node
from rigline.study.study import Study

SLUG = "pv-orientation-polarity"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each controller whose array input's plus leads to the minus of an array."""
    for id, component in sorted(study.system.components.items()):
        if isinstance(component, ChargeController):
            plus, minus = Node(id, "pv", "+"), Node(id, "pv", "-")
            arrays = _arrays_at(study, plus, "-") or _arrays_at(study, minus, "+")
            if arrays:
                runs = {c.run for node in (plus, minus) for c in study.graph.conductors_at(node)}
                yield Hit((id, arrays[0]), runs=tuple(sorted(runs)), words={"array": arrays[0]})


def _arrays_at(study: Study, start: Node, pole: str) -> list[str]:
    """Arrays whose pole of that sign lies on a terminal, and none of the other sign."""
    net = study.graph.reach(start, _joins) if start in study.graph.graph else ()
    found = [node for node in net if isinstance(study.graph.component_at(node), PvArray)]
    wrong = sorted(node.component for node in found if node.pole == pole)
    return wrong if len(wrong) == len(found) else []


def _joins(edge: Edge, node: Node) -> bool:
    return isinstance(edge, Conductor) or edge.kind == "device"


CHECK = Check(
    slug=SLUG,
    title="solar array the wrong way round",
    family="PV",
    severity=Severity.DANGER,
    limit="The plus of the array leads to the plus of the controller's array input.",
    exceptions="none",
    sources=(Source("NEC 110.3(B), the controller's instructions", "from memory"),),
    message="{array} is wired to {at} the wrong way round, its plus on the minus of the input ({runs}).",
    remedy="Swap the two leads {runs} at {at}, with the array covered.",
    find=find,
    hygiene=True,
    example=Example(
        spec="""\
rigline: 1
title: One module, single leads
profile: us-boat
body: plastic
conditions: {coldest: 0 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 80 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: terminal, rating: 30 A}
  SC1: {kind: charge-controller, output: 20 A, max-input: 50 V, method: pwm}
  PV1: {kind: pv-array, pmax: 100 W, vmp: 18 V, imp: 5.6 A, voc: 22 V, isc: 6 A, max-series-fuse: 15 A, frame: none,
        disconnect: true}
  GND: {kind: chassis, type: engine}
runs:
  - {id: W1, path: [B1, F1, SC1.battery], lengths: [0.1 m, 0.8 m], wire: 10 AWG}
  - {id: W2, path: [PV1, SC1.pv], length: 2 m, wire: 10 AWG}
  - {id: W3, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="path: [PV1, SC1.pv]",
        failing="path: [PV1+, SC1.pv-]",
        finds=("SC1", "PV1"),
    ),
)
