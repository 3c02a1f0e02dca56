"""Small wires get a smaller device than their ampacity alone would allow.

Thin conductors heat up quickly, are crushed and nicked easily, and often end in terminals made for 60 °C. Building and
vehicle codes therefore cap the device ahead of them, whatever the insulation could stand.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.exposed import exposed_hits
from rigline.findings import Severity
from rigline.study.study import Study

SLUG = "rt-small-conductor-cap"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each device within the wire's ampacity but above the cap for its gauge."""
    yield from exposed_hits(study, SLUG)


CHECK = Check(
    slug=SLUG,
    title="overcurrent device above the cap for a small wire",
    family="overcurrent",
    severity=Severity.DANGER,
    limit=(
        "Copper: 15 A on 14 AWG, 20 A on 12 AWG, 30 A on 10 AWG, though the ampacity is higher. RV low voltage: 6 A on "
        "18 AWG, 8 A on 16 AWG, 15, 20 and 30 A on 14, 12 and 10 AWG."
    ),
    exceptions="Boats have no such cap; motor circuits, tap conductors and solar circuits (NEC 240.4(E) to (G)).",
    sources=(Source("NEC 240.4(D)", "verified"), Source("NEC Table 552.10(E)(1)", "from memory")),
    message=(
        "{at} is rated {found} A, but {segment} is only {wire}: a wire that small may have at most {limit} A ahead of "
        "it, or it can overheat before {at} opens."
    ),
    remedy="Fit {at} with {limit} A, or run {runs} in a thicker wire.",
    find=find,
    profiles=("us-rv", "us-cabin"),
    example=Example(
        spec="""\
rigline: 1
title: Lamp circuit of a camper
profile: us-rv
body: metal
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 15 A}
  LT1: {kind: dc-load, name: Lamps, power: 48 W, continuous: false}
  GND: {kind: chassis}
runs:
  - {id: W1, path: [B1, F1, LT1], lengths: [100 mm, 2 m], wire: 14 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, wire: 8 AWG}
""",
        passing="rating: 15 A",
        failing="rating: 20 A",
        finds=("F1",),
    ),
)
