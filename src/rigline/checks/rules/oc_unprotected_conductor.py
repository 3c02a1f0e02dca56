"""A wire is safe only if everything that can push current into it is stopped before the wire overheats.

Two fuses that feed one bus add up: each stays whole while the wire behind the bus carries the sum of both. A wire
whose supplies together can exceed it needs a device of its own where it begins.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.exposed import exposed_hits
from rigline.findings import Severity
from rigline.standards.ampacity import NoAmpacity
from rigline.study.study import Study

SLUG = "oc-unprotected-conductor"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each run that no more specific rule claims, and each whose size or ampacity nobody knows."""
    yield from exposed_hits(study, SLUG)
    said: set[str] = set()
    for one in study.conductors.values():
        if one.limits is None and one.conductor.run not in said and any(end.is_fed for end in one.exposure.ends):
            said.add(one.conductor.run)
            reason = one.ampacity.reason if isinstance(one.ampacity, NoAmpacity) else f"wire of {one.conductor.run}"
            yield Missing((one.conductor.run,), reason)


CHECK = Check(
    slug=SLUG,
    title="wire without overcurrent protection",
    family="overcurrent",
    severity=Severity.DANGER,
    limit=(
        "What can flow into either end of a hot conductor, all devices at their ratings, is at most the largest "
        "device that the conductor may have behind it."
    ),
    exceptions=(
        "Cranking cables (E1); ends that only self-limited sources reach (E2); short stubs (E3), which oc- "
        "battery-distance and oc-source-distance judge; makers' leads below 178 mm (E5); wiring inside a panel "
        "(E6); series jumpers (E10)."
    ),
    sources=(
        Source("NEC 240.4 and 240.21", "verified"),
        Source("33 CFR 183.455(a)", "verified"),
        Source("46 CFR 28.860(c)", "verified"),
        Source("ABYC E-11.10", "verified"),
    ),
    message=(
        "{runs} ({wire}) to {all} can be fed with {flow} from {sources}, but may have at most {limit} {unit} "
        "ahead of it: a short would set it alight."
    ),
    remedy="Fit a fuse or breaker of {limit} A or less where {runs} begins, at {end}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Two batteries on one bus, and a feed from it
profile: us-boat
body: plastic
defaults: {insulation: 105 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 50 Ah, short-circuit: 1500 A}
  B2: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 50 Ah, short-circuit: 1500 A}
  F1: {kind: fuse, style: anl, rating: 100 A}
  F2: {kind: fuse, style: anl, rating: 100 A}
  F3: {kind: fuse, style: anl, rating: 100 A}
  BUS1: {kind: busbar, rating: 250 A}
  WL1: {kind: dc-load, name: Capstan, power: 700 W}
  GND: {kind: chassis, name: Engine, type: engine}
runs:
  - {id: W1, path: [B1, F1, BUS1], lengths: [100 mm, 0.8 m], wire: 2 AWG}
  - {id: W2, path: [B2, F2, BUS1], lengths: [100 mm, 0.8 m], wire: 2 AWG}
  - {id: W3, path: [BUS1, F3, WL1], lengths: [100 mm, 1.5 m], wire: 6 AWG}
  - {id: W4, path: [BUS1-, GND], length: 0.5 m, carries: bond, wire: 2 AWG}
""",
        passing="F3: {kind: fuse, style: anl, rating: 100 A}",
        failing="F3: {kind: switch, voltage: 32 V, rating: 300 A}",
        finds=("WL1",),
    ),
)
