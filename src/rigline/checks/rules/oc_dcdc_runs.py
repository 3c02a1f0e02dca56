"""A converter between two DC systems has a battery behind each of its cables. Each battery can feed a short in its
cable, so each cable needs a device at the battery's end.

One fuse protects one cable. The other stays open.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.exposed import exposed_hits
from rigline.findings import Severity
from rigline.study.study import Study

SLUG = "oc-dcdc-runs"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each cable of a DC charger or converter that its battery can overload."""
    yield from exposed_hits(study, SLUG)


CHECK = Check(
    slug=SLUG,
    title="DC charger or converter cable without a device at the battery end",
    family="overcurrent",
    severity=Severity.DANGER,
    limit=(
        "What flows into either end of the input and output cable is at most the largest device that it may have "
        "behind it."
    ),
    exceptions="The converter's own ends, if it works one way and limits itself (E2).",
    sources=(
        Source("33 CFR 183.455(b)", "verified"),
        Source("a device at both batteries, as for any link between two", "common practice"),
    ),
    message=(
        "{runs} ({wire}) at {all} can be fed with {flow} from {sources}, but may have at most {limit} {unit} "
        "ahead of it."
    ),
    remedy="Fit a device of {limit} A or less, and above 125 % of the current there, where {runs} begins at {end}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: DC charger between starter and house battery
profile: us-boat
body: plastic
defaults: {insulation: 105 °C}
components:
  B1: {kind: battery, name: Starter battery, chemistry: agm, voltage: 12 V, capacity: 80 Ah,
       short-circuit: 2 kA, starting: true}
  B2: {kind: battery, name: House battery, chemistry: agm, voltage: 12 V, capacity: 150 Ah, short-circuit: 3 kA,
       charge-display: true}
  F1: {kind: fuse, style: anl, rating: 50 A}
  F2: {kind: fuse, style: anl, rating: 40 A}
  DCC1: {kind: dc-charger, output: 30 A, output-voltage: 12 V, input: 36 A, trigger: voltage}
  GND: {kind: chassis, name: Engine, type: engine}
runs:
  - {id: W1, path: [B1, F1, DCC1.in], lengths: [100 mm, 2 m], wire: 6 AWG}
  - {id: W2, path: [B2, F2, DCC1.out], lengths: [100 mm, 1 m], wire: 8 AWG}
  - {id: W3, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 6 AWG}
""",
        passing="F1: {kind: fuse, style: anl, rating: 50 A}",
        failing="F1: {kind: switch, voltage: 32 V, rating: 300 A}",
        finds=("DCC1",),
    ),
)
