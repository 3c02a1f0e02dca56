"""Earth is one wire, and two points of different voltage that are both tied to it are shorted through it.

Most controllers share their negative, and nobody thinks about it. One that shares its positive moves the array's
negative away from the battery's; with both tied to earth the current goes through chassis and earth wires instead.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.converters import ChargeController, DcToDc
from rigline.model.system import NEGATIVE, Node
from rigline.study.study import Study

SLUG = "gb-polarity-ground-conflict"
SIDES = {"charge-controller": ("pv", "battery"), "dc-charger": ("in", "out"), "dc-converter": ("in", "out")}
"""Input and output terminal by kind."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each unit with a common positive whose two negatives are both tied to earth."""
    for id, unit in sorted(study.system.components.items()):
        if not isinstance(unit, ChargeController | DcToDc) or unit.internal_common != "positive":
            continue
        first, second = SIDES[unit.kind]
        if _is_tied(study, Node(id, first, NEGATIVE)) and _is_tied(study, Node(id, second, NEGATIVE)):
            yield Hit((id,), words={"first": first, "second": second}, field="internal-common")


def _is_tied(study: Study, node: Node) -> bool:
    return node in study.graph.graph and bool(study.grounding.earthed_from([node]) & study.grounding.references)


CHECK = Check(
    slug=SLUG,
    title="two negatives of a common-positive unit tied to earth",
    family="grounding & bonding",
    severity=Severity.DANGER,
    limit="Of the two negatives of a unit with a common positive, one at most is tied to earth.",
    exceptions="Isolated units; units that share their negative.",
    sources=(Source("one earth, one voltage", "common practice"),),
    message="{at} shares its positive, and its negatives on {first} and {second} are both earthed: earth shorts it.",
    remedy="Lift the earth from the negative on {first} of {at}; frames and cases stay earthed.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A module on a controller, both negatives earthed
profile: us-cabin
body: wood
conditions: {coldest: -10 °C}
defaults: {insulation: 90 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: anl, rating: 35 A}
  PV1: {kind: pv-array, pmax: 100 W, vmp: 18 V, imp: 5.5 A, voc: 22 V, isc: 6 A, frame: none}
  SC1: {kind: charge-controller, max-input: 50 V, method: pwm, output: 10 A, internal-common: isolated}
  ER1: {kind: earth-electrode, type: rod, count: 2}
runs:
  - {id: W1, path: [PV1, SC1], length: 2 m, wire: 8 AWG, sunlight-resistant: true}
  - {id: W2, path: [SC1, F1, B1], lengths: [0.5 m, 100 mm], wire: 6 AWG}
  - {id: W3, path: [B1-, ER1], length: 0.5 m, carries: bond, wire: 6 AWG}
  - {id: W4, path: [PV1-, ER1], length: 0.5 m, carries: bond, wire: 6 AWG}
""",
        passing="internal-common: isolated",
        failing="internal-common: positive",
        finds=("SC1",),
    ),
)
