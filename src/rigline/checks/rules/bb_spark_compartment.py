"""What sparks must not share a box with a battery that gives off hydrogen.

Switches, relays and chargers spark inside in everyday use. A bulkhead between them and a flooded battery, or parts that
are made so that no spark gets out, keep the gas from meeting one.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.sources import Battery
from rigline.study.study import Study

SLUG = "bb-spark-compartment"
SPARKING = ("switch", "selector", "relay", "breaker", "connector", "transfer-switch")
"""Kinds with contacts, which are made with and without protection against ignition."""
OPEN_CASED = (
    "inverter", "inverter-charger", "ac-charger", "dc-charger", "dc-converter", "charge-controller", "receptacle",
    "generator", "ac-panel", "dc-panel",
)  # fmt: skip
"""Kinds whose cases have vents or contacts and which next to none are made ignition protected of. Common practice."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each part with contacts or an open case in the place of a flooded battery."""
    for id, battery in sorted(study.system.components.items()):
        if not isinstance(battery, Battery) or battery.chemistry != "flooded" or battery.place is None:
            continue
        for other, component in sorted(study.system.components.items()):
            sparks = component.kind in SPARKING + OPEN_CASED and not component.ignition_protected
            if component.place != battery.place or not sparks:
                continue
            if component.ignition_protected is None and component.kind in SPARKING:
                yield Missing((other,), f"whether {other}, which stands with {id}, is ignition protected")
            else:
                yield Hit((other, id), words={"battery": id, "place": battery.place})


CHECK = Check(
    slug=SLUG,
    title="sparking part in the battery's compartment",
    family="battery bank",
    severity=Severity.DANGER,
    limit="No switch, relay, charger, inverter or other sparking part shares a compartment with a vented lead battery.",
    exceptions="Parts that are ignition protected; sealed batteries.",
    sources=(Source("NEC 552.10(D)", "from memory"), Source("ABYC E-10 and E-11, ignition protection", "from memory")),
    message=(
        "{at} stands in {place} with {battery}, a battery that gives off hydrogen: one spark inside it "
        "explodes the gas."
    ),
    remedy="Move {at} to the other side of a bulkhead, or use one that is ignition protected.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A battery box with a switch
profile: us-boat
body: plastic
places:
  box: {ventilated: true}
components:
  B1: {kind: battery, chemistry: flooded, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A, place: box}
  F1: {kind: fuse, style: class-t, rating: 10 A}
  Q1: {kind: switch, rating: 100 A, voltage: 32 V, place: box, ignition-protected: true}
  LT1: {kind: dc-load, name: Lamps, current: 4 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, Q1, LT1], lengths: [100 mm, 0.2 m, 1.5 m], wire: 12 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="ignition-protected: true",
        failing="ignition-protected: false",
        finds=("Q1", "B1"),
    ),
)
