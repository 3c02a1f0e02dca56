"""The charge line of a trailer runs through a plug, along two frames, to a battery at each end. It is the line that
chafes most.

The tow vehicle's fuse opens for the tow vehicle's battery. The trailer's own battery goes on feeding the short
unless it has a fuse too.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.rules.oc_both_ends import link_hits
from rigline.findings import Severity
from rigline.study.study import Study

SLUG = "oc-tow-charge-line"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Charge lines from a towing vehicle through a plug to a battery, with a device at one end at most."""
    yield from link_hits(study, SLUG)


CHECK = Check(
    slug=SLUG,
    title="trailer charge line protected at one end only",
    family="overcurrent",
    severity=Severity.DANGER,
    limit=(
        "A device at the vehicle's end and one at the trailer battery, each at most what the wire may have and "
        "each near its own battery."
    ),
    exceptions=(
        "A one-way DC charger in the trailer: then the vehicle's end of its input and the battery's end of its output."
    ),
    sources=(
        Source("33 CFR 183.455(b) as for any link between two sources", "verified"),
        Source("NEC 552.10(E)(4)", "verified"),
        Source("EN 1648-1", "from memory"),
    ),
    message=(
        "{runs} is a charge line that is live from both ends, from {source} and from {live}: {where}. A short "
        "near {source} would have nothing to stop it."
    ),
    remedy=(
        "Fit a fuse or breaker for the same wire within {limit} {unit} of {source}, and keep the one at the other end."
    ),
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Charge line of a trailer
profile: us-rv
body: metal
defaults: {insulation: 75 °C}
components:
  VB1: {kind: vehicle-battery, chemistry: flooded, voltage: 12 V, capacity: 90 Ah, output: 120 A, short-circuit: 900 A}
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah, short-circuit: 900 A}
  F1: {kind: fuse, style: blade, rating: 30 A}
  F2: {kind: fuse, style: blade, rating: 30 A}
  X1: {kind: connector, name: Tow plug, rating: 30 A}
  GND: {kind: chassis, name: Frame}
runs:
  - {id: W1, path: [VB1, F1, X1, F2, B1], lengths: [0.3 m, 5 m, 3 m, 0.3 m], wire: 10 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="F2: {kind: fuse, style: blade, rating: 30 A}",
        failing="F2: {kind: switch, voltage: 32 V, rating: 100 A}",
        finds=("B1", "F1"),
    ),
)
