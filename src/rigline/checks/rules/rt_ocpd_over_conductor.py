"""A fuse guards a wire only if it opens before the wire overheats.

Heat in a wire grows with the square of the current. Behind a fuse rated above what the wire can carry, the wire may
run hot for hours without opening the fuse, and that is how wires start fires behind panels.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.exposed import exposed_hits
from rigline.findings import Severity
from rigline.study.study import Study

SLUG = "rt-ocpd-over-conductor"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each device whose rating is above the largest that the conductor behind it may have."""
    yield from exposed_hits(study, SLUG)


CHECK = Check(
    slug=SLUG,
    title="overcurrent device larger than its wire allows",
    family="overcurrent",
    severity=Severity.DANGER,
    limit=(
        "The device's rating is at most the conductor's ampacity after all corrections. Boats below 50 V and NEC "
        "buildings: the next standard rating above it (boats: never above 150 %). RV low voltage: the table by gauge."
    ),
    exceptions=(
        "Next standard rating (NEC 240.4(B), 33 CFR 183.455(c)); cranking motors (E1); short taps (E3), which "
        "oc-battery-distance and oc-source-distance judge."
    ),
    sources=(
        Source("NEC 240.4", "verified"),
        Source("33 CFR 183.455(c)", "verified"),
        Source("ISO 13297 13.1.5", "verified"),
    ),
    message=(
        "{at} is rated {found} A, but {segment} ({wire}) may have at most {limit} A ahead of it: it can overheat and "
        "burn while {at} stays closed."
    ),
    remedy="Fit {at} with {limit} A or less, or run {runs} in a thicker wire.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Lamp circuit with the largest fuse its wire allows
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 15 A}
  LT1: {kind: dc-load, name: Lamps, power: 48 W, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, LT1], lengths: [100 mm, 2 m], wire: 16 AWG, insulation: 75 °C}
  - {id: W2, path: [B1-, GND], length: 0.5 m, wire: 8 AWG}
""",
        passing="rating: 15 A",
        failing="rating: 20 A",
        finds=("F1",),
    ),
)
