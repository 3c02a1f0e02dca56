"""A lithium battery's management system guards its cells. It may open at some current, but it is electronics: it can
fail closed, and nobody has tested it against a dead short in your wiring.

It does not replace the fuse at the post.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.exposed import exposed_hits
from rigline.findings import Severity
from rigline.study.study import Study

SLUG = "oc-bms-not-ocpd"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Circuits whose only limit is a battery's management system."""
    yield from exposed_hits(study, SLUG)


CHECK = Check(
    slug=SLUG,
    title="management system in place of a fuse",
    family="overcurrent",
    severity=Severity.DANGER,
    limit="A management system or electronic switch is not counted as an overcurrent device.",
    exceptions="A fuse of stated rating that the maker built in (internal-fuse).",
    sources=(
        Source("NEC 110.3(B) and 240.4, devices listed for overcurrent protection", "from memory"),
        Source("ABYC E-13", "from memory"),
    ),
    message=(
        "{runs} ({wire}) to {all} has only the management system of {sources} ahead of it, and that is no "
        "overcurrent device: {flow} can flow, the wire may have at most {limit} {unit} ahead."
    ),
    remedy="Fit a fuse of {limit} A or less with a high interrupting rating at the post of {sources}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Fuse beside the management system
profile: us-boat
body: plastic
defaults: {insulation: 105 °C}
components:
  B1: {kind: battery, chemistry: lifepo4, voltage: 12.8 V, capacity: 100 Ah, short-circuit: 4 kA,
       bms: {max-discharge: 150 A, charge-disable: true}}
  F1: {kind: fuse, style: class-t, rating: 125 A}
  WH1: {kind: dc-load, name: Water heater, power: 1200 W}
  GND: {kind: chassis, name: Engine, type: engine}
runs:
  - {id: W1, path: [B1, F1, WH1], lengths: [100 mm, 1 m], wire: 2 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 2 AWG}
""",
        passing="F1: {kind: fuse, style: class-t, rating: 125 A}",
        failing="F1: {kind: switch, voltage: 32 V, rating: 300 A}",
        finds=("WH1",),
    ),
)
