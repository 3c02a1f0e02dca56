"""What stays live when the main switch is off has to be safe when nobody is there.

A bilge pump, an alarm or a charger lead ahead of the switch hangs on the battery itself, and on a boat that is left
alone for weeks. Without a fuse at the post its thin wire is the first thing to burn.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.exposed import exposed_hits
from rigline.findings import Severity
from rigline.study.study import Study

SLUG = "oc-bypass-load-unfused"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each load straight on a battery that has a main switch for the rest, without a device."""
    yield from exposed_hits(study, SLUG)


CHECK = Check(
    slug=SLUG,
    title="load ahead of the main switch without a fuse",
    family="overcurrent",
    severity=Severity.DANGER,
    limit="A load ahead of the battery's main switch has a device at the battery, at most what its wire may have.",
    exceptions="none",
    sources=(
        Source("Boat Safety Scheme, part 3", "from memory"),
        Source("ABYC E-11.10", "verified"),
    ),
    message="{runs} ({wire}) leads {at} past the main switch without a device: any current can flow from {sources}.",
    remedy="Fit a fuse of {limit} A or less in {runs}, at the post of {end}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A pump ahead of the main switch
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: terminal, rating: 30 A}
  Q1: {kind: switch, rating: 100 A, voltage: 32 V, accessible: true}
  HT1: {kind: dc-load, current: 15 A, continuous: false}
  F2: {kind: fuse, style: cartridge, rating: 6 A, voltage: 80 V, interrupting: 10 kA}
  PU1: {kind: motor, name: Bilge pump, current: 4 A, always-on: true, safety: true, continuous: false}
  GND: {kind: chassis, type: engine}
runs:
  - {id: W1, path: [B1, F1, Q1, HT1], lengths: [0.1 m, 0.3 m, 0.6 m], wire: 8 AWG}
  - {id: W2, path: [B1, F2, PU1], lengths: [0.1 m, 1 m], wire: 12 AWG}
  - {id: W3, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="F2: {kind: fuse, style: cartridge, rating: 6 A, voltage: 80 V, interrupting: 10 kA}",
        failing="F2: {kind: switch, voltage: 32 V, rating: 300 A}",
        finds=("PU1",),
    ),
)
