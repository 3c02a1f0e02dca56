"""A charger or solar controller limits what it gives, so its own end of the cable is safe. The battery at the other
end limits nothing.

A short in that cable, or inside the charger, is fed by the battery. A fuse beside the charger is at the wrong end.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.exposed import exposed_hits
from rigline.findings import Severity
from rigline.study.study import Study

SLUG = "oc-charger-battery-end"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each output cable of a charger, controller or converter that the battery can overload."""
    yield from exposed_hits(study, SLUG)


CHECK = Check(
    slug=SLUG,
    title="charger or controller cable without a device at the battery end",
    family="overcurrent",
    severity=Severity.DANGER,
    limit="What flows into either end of the output cable is at most the largest device that it may have behind it.",
    exceptions="The charger's own end, if it limits itself (E2). A fuse inside the charger does not count.",
    sources=(
        Source("NEC 690.9(A)", "verified"),
        Source("ISO 13297:2020 12.3", "verified"),
        Source("NEC 552.10(E)(4)", "verified"),
    ),
    message=(
        "{runs} ({wire}) from {all} can be fed with {flow} from {sources}, but may have at most {limit} "
        "{unit} ahead of it."
    ),
    remedy="Fit a device of {limit} A or less, and above 125 % of the charger's output, where {runs} meets {end}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Solar controller onto the bus
profile: us-boat
body: plastic
defaults: {insulation: 105 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 200 Ah, short-circuit: 4 kA, charge-display: true}
  F1: {kind: fuse, style: anl, rating: 150 A}
  BUS1: {kind: busbar, rating: 250 A}
  F2: {kind: fuse, style: bolt-down, rating: 30 A, interrupting: 5 kA}
  SC1: {kind: charge-controller, output: 20 A, max-input: 75 V}
  PV1: {kind: pv-array, series: 2, pmax: 100 W, vmp: 18 V, imp: 5.6 A, voc: 21.8 V, isc: 6 A, max-series-fuse: 15 A,
        frame: none, disconnect: true}
  GND: {kind: chassis, name: Engine, type: engine}
runs:
  - {id: W1, path: [B1, F1, BUS1], lengths: [100 mm, 0.8 m], wire: 2 AWG}
  - {id: W2, path: [BUS1, F2, SC1.battery], lengths: [100 mm, 0.8 m], wire: 8 AWG}
  - {id: W3, path: [PV1, SC1.pv], length: 3 m, wire: 10 AWG}
  - {id: W4, path: [BUS1-, GND], length: 0.5 m, carries: bond, wire: 2 AWG}
""",
        passing="F2: {kind: fuse, style: bolt-down, rating: 30 A, interrupting: 5 kA}",
        failing="F2: {kind: switch, voltage: 32 V, rating: 300 A}",
        finds=("SC1",),
    ),
)
