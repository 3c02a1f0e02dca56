"""A thin wire that leaves a strongly fused bus is protected only from its own fuse onwards. What lies before that fuse
may be fed with all that the bus can give.

A stretch of a hand's width behind a cover rarely shorts; a metre through a locker does.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.exposed import stub_hit
from rigline.findings import Severity
from rigline.study.distances import Stub, stubs_of
from rigline.study.study import Study

STRONG_A = 1000.0
"""From this fault current a short of the stretch is a danger. Common practice."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each stretch from a bus or source to a first device that is longer than allowed."""
    stubs = stubs_of(study)
    seen: set[tuple[str, ...]] = set()
    for stub in sorted(stubs.of_other_sources, key=lambda one: -one.tap.known_m):
        way = stubs.open_way(stub)
        if way in seen:
            continue
        seen.add(way)
        if stub.is_long:
            yield stub_hit(stub, _severity(stub))
        elif stub.is_long is None:
            yield Missing((stub.device, stub.source), f"length of each stretch between {stub.source} and {stub.device}")


def _severity(stub: Stub) -> Severity:
    if stub.limit is None:
        return Severity.ADVICE
    return Severity.DANGER if stub.amps_a is not None and stub.amps_a > STRONG_A else Severity.FAULT


CHECK = Check(
    slug="oc-source-distance",
    title="first overcurrent device too far from the bus or source",
    family="overcurrent",
    severity=Severity.FAULT,
    limit=(
        "Boats (US): 178 mm bare, 1.02 m sheathed. RV: 457 mm. Boats (international): 1.8 m from charging "
        "sources, 0.5 m for AC. Caravans: 300 mm. US cabins: 3.05 m taps."
    ),
    exceptions=(
        "Wire that may stand behind the device ahead of it (E4); wiring inside a panel (E6); makers' leads below "
        "178 mm (E5). Batteries: oc-battery-distance; shore and generator: oc-shore-main, oc-generator-out."
    ),
    sources=(
        Source("33 CFR 183.455(b)(1) and (2)", "verified"),
        Source("ISO 13297:2020 12.3 and 13.2.2", "verified"),
        Source("NEC 240.21(B)", "from memory"),
        Source("NEC 552.10(E)(4)", "verified"),
    ),
    message=(
        "{device} stands {least}{found} {unit} from {source} along {runs} ({cover}); at most {limit} {unit}. "
        "Until {device} the wire is thinner than what feeds it allows."
    ),
    remedy=(
        "Move {device} to within {limit} {unit} of {source}, or run that stretch in wire that may stand "
        "behind what feeds {source}."
    ),
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Lamp fuse beside the bus
profile: us-boat
body: plastic
defaults: {insulation: 105 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah, short-circuit: 2000 A}
  F1: {kind: fuse, style: anl, rating: 200 A}
  BUS1: {kind: busbar, rating: 250 A}
  F2: {kind: fuse, style: anl, rating: 50 A}
  PU1: {kind: dc-load, name: Wash pump, power: 360 W}
  GND: {kind: chassis, name: Engine, type: engine}
runs:
  - {id: W1, path: [B1, F1, BUS1], lengths: [150 mm, 0.8 m], wire: 2 AWG}
  - {id: W2, path: [BUS1, F2, PU1], lengths: [100 mm, 1 m], wire: 8 AWG}
  - {id: W3, path: [BUS1-, GND], length: 0.5 m, carries: bond, wire: 2 AWG}
""",
        passing="lengths: [100 mm, 1 m]",
        failing="lengths: [1.5 m, 1 m]",
        finds=("F2", "BUS1"),
    ),
)
