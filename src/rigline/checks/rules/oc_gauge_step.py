"""A fuse is chosen for the wire behind it. Where a thin wire is joined to that wire, the same fuse guards both, and it
is too large for the thin one.

The thin wire then burns at a current that the fuse takes for normal.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.exposed import exposed_hits
from rigline.findings import Severity
from rigline.study.study import Study

SLUG = "oc-gauge-step"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each run that is thinner than what comes before it, behind a device chosen for the thicker one."""
    yield from exposed_hits(study, SLUG)


CHECK = Check(
    slug=SLUG,
    title="thin wire joined to a thicker one without a smaller device",
    family="overcurrent",
    severity=Severity.DANGER,
    limit="The device ahead is at most the largest that the thinnest wire behind it may have.",
    exceptions=(
        "A smaller device at the joint within the length of oc-source-distance (E3); a device ahead that already "
        "suits the thin wire (E4); makers' leads below 178 mm (E5)."
    ),
    sources=(
        Source("NEC 240.21", "verified"),
        Source("ABYC E-11, branch circuits", "verified"),
    ),
    message=(
        "{runs} ({wire}) goes on from a thicker wire behind {sources}: {flow} can flow, but {wire} may have "
        "at most {limit} {unit} ahead of it."
    ),
    remedy=(
        "Fit a device of {limit} A or less at {end}, where the wire becomes thinner, or run {runs} in the thicker wire."
    ),
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Spur from a trunk to a lamp
profile: us-boat
body: plastic
defaults: {insulation: 75 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 30 A}
  J1: {kind: junction}
  LT1: {kind: dc-load, name: Lamps, power: 24 W}
  PU1: {kind: dc-load, name: Pump, power: 120 W}
  GND: {kind: chassis, name: Engine, type: engine}
runs:
  - {id: W1, path: [B1, F1, J1], lengths: [150 mm, 2 m], wire: 8 AWG}
  - {id: W2, path: [J1, LT1], length: 1 m, wire: 10 AWG}
  - {id: W3, path: [J1, PU1], length: 1.2 m, wire: 8 AWG}
  - {id: W4, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="wire: 10 AWG",
        failing="wire: 16 AWG",
        finds=("LT1",),
    ),
)
