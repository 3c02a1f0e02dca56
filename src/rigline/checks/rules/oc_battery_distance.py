"""Between a battery's post and its first fuse nothing stops a short: that stretch glows until the battery is flat or
the boat burns. The shorter it is, the less there is to chafe.

The figures are ceilings. As near to the post as can be done is the duty.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.exposed import batteries_judged_as_bank, stub_hit
from rigline.findings import Severity
from rigline.study.distances import Stub, is_live_from_both_ends, stubs_of
from rigline.study.study import Study

SLIGHTLY_FRAC = 1.5
"""A sheathed stretch below this share of its limit is a fault, not yet a danger. Common practice."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each stretch from a battery to a first device that is longer than allowed."""
    stubs = stubs_of(study)
    elsewhere = batteries_judged_as_bank(study)
    seen: set[tuple[str, ...]] = set()
    for stub in sorted(stubs.of_batteries, key=lambda one: -one.tap.known_m):
        way = stubs.open_way(stub)
        if stub.source in elsewhere or is_live_from_both_ends(stub, stubs.of_batteries) is not False or way in seen:
            continue
        seen.add(way)
        if stub.is_long:
            yield stub_hit(stub, _severity(stub))
        elif stub.is_long is None:
            yield Missing((stub.device, stub.source), f"length of each stretch between {stub.source} and {stub.device}")


def _severity(stub: Stub) -> Severity:
    if stub.limit is None:
        return Severity.ADVICE
    slightly = stub.tap.known_m < SLIGHTLY_FRAC * stub.limit.value
    return Severity.FAULT if slightly and stub.tap.sheathed and stub.tap.length_m is not None else Severity.DANGER


CHECK = Check(
    slug="oc-battery-distance",
    title="first overcurrent device too far from the battery",
    family="overcurrent",
    severity=Severity.DANGER,
    limit=(
        "Boats (US): 178 mm bare, 1.83 m sheathed. RV: 457 mm. Boats (international): 200 mm, 1.8 m sheathed. "
        "Caravans: 300 mm. Elsewhere as near as practicable; longer than 1.5 m (cabins) or 0.46 m (UK inland "
        "boats) is reported as advice."
    ),
    exceptions=(
        "Cranking cables (E1); a fuse on the battery post (0 m); a fuse inside the battery. A switch may stand in "
        "the stretch; it does not end it. Links that are live from both ends: oc-both-ends."
    ),
    sources=(
        Source("33 CFR 183.455(b)", "verified"),
        Source("ABYC E-11, exceptions to 72 in", "verified"),
        Source("NEC 552.10(E)(4)", "verified"),
        Source("ISO 13297 12.1", "from memory"),
        Source("EN 1648 practice", "common practice"),
    ),
    message=(
        "{device} stands {least}{found} {unit} from {source} along {runs} ({cover}); {duty} {limit} {unit}. "
        "Nothing protects that stretch from the battery."
    ),
    remedy="Move {device} to within {limit} {unit} of {source}, or fit another fuse there.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Fuse near the battery
profile: us-boat
body: plastic
defaults: {insulation: 105 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 10 A}
  LT1: {kind: dc-load, name: Lamps, power: 48 W}
  GND: {kind: chassis, name: Engine, type: engine}
runs:
  - {id: W1, path: [B1, F1, LT1], lengths: [150 mm, 2 m], wire: 14 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="lengths: [150 mm, 2 m]",
        failing="lengths: [0.9 m, 2 m]",
        finds=("F1", "B1"),
    ),
)
