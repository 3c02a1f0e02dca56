"""A controller charges by the recipe it was given, whatever stands behind it.

One made for lead equalises at voltages that a lithium battery must not see, and never tells its management system.
One made for 12 V cannot charge a 48 V bank at all.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.graph.kept import kept
from rigline.kinds.converters import ChargeController
from rigline.kinds.sources import Battery
from rigline.model.system import Node
from rigline.study.solar import pole_sides
from rigline.study.study import Study

SLUG = "pv-controller-rating-battery"
NAMES = {
    "lifepo4": ("lifepo4", "lithium", "lfp"), "agm": ("agm", "lead", "sealed"), "gel": ("gel", "lead", "sealed"),
    "flooded": ("flooded", "lead", "wet"),
}  # fmt: skip
"""Words by which makers name what they support."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each controller that does not name the chemistry of a battery it charges among those it supports."""
    for id, controller in sorted(study.system.components.items()):
        if not isinstance(controller, ChargeController):
            continue
        batteries = [battery for battery in _batteries(study, id) if battery.chemistry is not None]
        if batteries and controller.chemistries is None:
            yield Missing((id,), f"chemistries that {id} supports")
            continue
        known = set(re.findall(r"[a-z0-9]+", (controller.chemistries or "").lower()))
        for battery in batteries:
            if not known & set(NAMES[battery.chemistry or "agm"]):
                words = {"chemistry": str(battery.chemistry), "supports": controller.chemistries or "nothing"}
                yield Hit((id, battery.id), words={**words, "battery": battery.display}, field="chemistries")


def _batteries(study: Study, id: str) -> list[Battery]:
    start = Node(id, "battery", "+")
    return list(_batteries_in(study, pole_sides(study.graph).net(start))) if start in study.graph.graph else []


@kept
def _batteries_in(study: Study, net: int) -> tuple[Battery, ...]:
    found = {node.component for node in pole_sides(study.graph).nodes_in(net)}
    return tuple(c for one in sorted(found) if isinstance(c := study.system.components[one], Battery))


CHECK = Check(
    slug=SLUG,
    title="controller not made for its battery",
    family="PV",
    severity=Severity.FAULT,
    limit="The battery's chemistry is among those that the controller supports.",
    exceptions="The battery's voltage is judged by sc-voltage-mismatch.",
    sources=(Source("NEC 110.3(B), as listed and labelled", "from memory"),),
    message="{at} supports {supports}, but {battery} is {chemistry}: it charges by the wrong recipe.",
    remedy="Fit a controller that supports {chemistry} in place of {at}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: One module and a sealed battery
profile: us-boat
body: plastic
conditions: {coldest: -10 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 200 Ah, short-circuit: 4 kA, charge-display: true}
  F1: {kind: fuse, style: anl, rating: 40 A}
  PV1: {kind: pv-array, pmax: 200 W, vmp: 18 V, imp: 11 A, voc: 22 V, isc: 12 A, frame: none, disconnect: true}
  SC1: {kind: charge-controller, max-input: 50 V, method: pwm, output: 20 A, chemistries: agm or gel}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [PV1, SC1], length: 2 m, wire: 8 AWG, sunlight-resistant: true}
  - {id: W2, path: [SC1, F1, B1], lengths: [0.5 m, 100 mm], wire: 6 AWG}
  - {id: W3, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 6 AWG}
""",
        passing="chemistries: agm or gel",
        failing="chemistries: lifepo4",
        finds=("SC1", "B1"),
    ),
)
