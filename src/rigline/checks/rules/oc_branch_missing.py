"""Each circuit needs a fuse that suits its own thin wire. The battery, or the fuse of a whole bus, gives many times
what such a wire stands.

A pump clipped to the battery works for years, until its lead chafes.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.exposed import exposed_hits
from rigline.findings import Severity
from rigline.study.study import Study

SLUG = "oc-branch-missing"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each load's circuit with nothing of its own ahead that suits its wire."""
    yield from exposed_hits(study, SLUG)


CHECK = Check(
    slug=SLUG,
    title="circuit without a device of its own",
    family="overcurrent",
    severity=Severity.DANGER,
    limit=(
        "A device at most the largest that the thinnest wire of the circuit may have, and at most what its load allows."
    ),
    exceptions=(
        "A device ahead that already suits the circuit's wire (E4); makers' leads below 178 mm (E5); wiring "
        "inside a panel (E6)."
    ),
    sources=(
        Source("ABYC E-11, branch circuits", "verified"),
        Source("IEC 60364-7-721", "from memory"),
        Source("UK inland boat safety scheme, all circuits but the starter", "verified"),
    ),
    message=(
        "{runs} ({wire}) to {all} has no device of its own: {flow} can flow from {sources}, and the wire may "
        "have at most {limit} {unit} ahead of it."
    ),
    remedy="Fit a fuse of {limit} A or less where {runs} begins, at {end}, or move it to a fuse block.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Bilge pump at the battery
profile: us-boat
body: plastic
defaults: {insulation: 105 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 10 A}
  PU1: {kind: dc-load, name: Wash pump, power: 48 W}
  GND: {kind: chassis, name: Engine, type: engine}
runs:
  - {id: W1, path: [B1, F1, PU1], lengths: [100 mm, 2 m], wire: 14 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="F1: {kind: fuse, style: blade, rating: 10 A}",
        failing="F1: {kind: switch, voltage: 32 V, rating: 300 A}",
        finds=("PU1",),
    ),
)
