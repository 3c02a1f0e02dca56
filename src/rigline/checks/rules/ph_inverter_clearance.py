"""An inverter turns a tenth of its power into heat, and its fans need air to blow it into.

Walled in, or hotter than forty degrees outside, it gives less than it promises and switches off in the middle of the
meal. Later its capacitors dry out.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.converters import Inverter
from rigline.study.causes import exceeds
from rigline.study.study import Study
from rigline.units import format_amount

SLUG = "ph-inverter-clearance"
LEAST_M = 0.100
"""Free space round the vents. Common practice of makers' manuals."""
HOTTEST_C = 40.0
"""Air above which inverters give less. Common practice of makers' data sheets."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each inverter that is walled in, or stands in a closed or hot place."""
    for id, inverter in sorted(study.system.components.items()):
        if not isinstance(inverter, Inverter):
            continue
        place = study.system.places.get(inverter.place or "")
        if inverter.clearance_m is not None and exceeds(LEAST_M, inverter.clearance_m):
            free, usual = format_amount(inverter.clearance_m, "m"), format_amount(LEAST_M, "m")
            what = f"has {free} of free space ({usual} are usual)"
            yield Hit((id,), words={"what": what}, field="clearance")
        elif place is not None and place.max_c is not None and exceeds(place.max_c, HOTTEST_C):
            what = f"stands where it gets {format_amount(place.max_c, 'c')}, above the most for full power"
            yield Hit((id,), words={"what": what}, field="place")
        elif place is not None and place.ventilated is False:
            yield Hit((id,), words={"what": "stands in a place without ventilation"}, field="place")
        elif inverter.clearance_m is None and (place is None or place.ventilated is None):
            yield Missing((id,), f"clearance of {id}, or whether its place is ventilated")


CHECK = Check(
    slug=SLUG,
    title="inverter without air",
    family="physical",
    severity=Severity.ADVICE,
    limit="100 mm of free space, a ventilated place, air up to 40 °C.",
    exceptions="none",
    sources=(Source("installation manuals of inverters", "common practice"),),
    message="{at} {what}: it gets hot, gives less and ages.",
    remedy="Give {at} 100 mm of free space and vents to open air, or move it.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Camper with an inverter in the open
profile: us-rv
body: metal
defaults: {insulation: 105 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 200 Ah, short-circuit: 4 kA, charge-display: true}
  F1: {kind: fuse, style: class-t, rating: 50 A}
  Q1: {kind: switch, rating: 100 A, voltage: 32 V}
  INV1: {kind: inverter, power: 300 W, output: 120 V, efficiency: 90 %, low-cutoff: 11 V, neutral-bond: fixed,
         clearance: 150 mm}
  ACP1: {kind: ac-panel, rating: 30 A}
  FR1: {kind: chassis, type: frame}
runs:
  - {id: W1, path: [B1, F1, Q1, INV1.dc], lengths: [150 mm, 0.4 m, 0.4 m], wire: 4 AWG}
  - {id: W2, path: [INV1.ac-out, ACP1], length: 1 m, wire: 10 AWG}
  - {id: W3, path: [B1-, FR1], length: 0.5 m, carries: bond, wire: 4 AWG}
  - {id: W4, path: [INV1.case, FR1], length: 0.8 m, carries: earth, wire: 4 AWG}
  - {id: W5, path: [ACP1, FR1], length: 1 m, carries: earth, wire: 8 AWG}
""",
        passing="clearance: 150 mm",
        failing="clearance: 20 mm",
        finds=("INV1",),
    ),
)
