"""An inverter may give more current than the thin wire behind it carries, and in its pass-through position the shore
supply gives more still.

Each AC circuit behind an inverter needs a breaker that suits its wire, as behind any other source.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.exposed import exposed_hits
from rigline.findings import Severity
from rigline.study.study import Study

SLUG = "oc-inverter-ac-out"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each AC circuit that an inverter can overload."""
    yield from exposed_hits(study, SLUG)


CHECK = Check(
    slug=SLUG,
    title="inverter output circuit without a breaker",
    family="overcurrent",
    severity=Severity.DANGER,
    limit=(
        "What the inverter, or the shore supply through it, can push into a circuit is at most the largest device "
        "that its wire may have."
    ),
    exceptions="A wire that carries all that the inverter can give (E2).",
    sources=(
        Source("NEC 240.4 and 710.15(B)", "from memory"),
        Source("ABYC E-11, branch circuits", "verified"),
    ),
    message=(
        "{runs} ({wire}) to {all} has no breaker: {flow} can flow from {sources}, and the wire may have at "
        "most {limit} {unit} ahead of it."
    ),
    remedy="Fit a breaker of {limit} A or less between {end} and {all}, one for each circuit.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Outlet on an inverter
profile: us-rv
body: metal
defaults: {insulation: 90 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 24 V, capacity: 300 Ah, short-circuit: 4 kA,
       disconnect: true, charge-display: true, max-discharge: 200 A}
  F1: {kind: fuse, style: class-t, rating: 200 A}
  INV1: {kind: inverter, power: 3000 W, output: 120 V, efficiency: 90 %, neutral-bond: fixed}
  QA: {kind: breaker, style: thermal-magnetic, rating: 15 A}
  HT1: {kind: ac-load, name: Air heater, power: 1200 W, class-ii: true}
  GND: {kind: chassis, name: Frame}
runs:
  - {id: W1, path: [B1, F1, INV1.dc], lengths: [150 mm, 0.8 m], wire: 3/0 AWG}
  - {id: W2, path: [INV1.ac-out, QA, HT1], lengths: [0.3 m, 2 m], wire: 14 AWG}
  - {id: W3, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 3/0 AWG}
  - {id: W4, path: [INV1.case, GND], length: 0.5 m, carries: earth, wire: 3/0 AWG}
""",
        passing="QA: {kind: breaker, style: thermal-magnetic, rating: 15 A}",
        failing="QA: {kind: switch, voltage: 240 V, rating: 30 A}",
        finds=("HT1",),
    ),
)
