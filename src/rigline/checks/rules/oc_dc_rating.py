"""Alternating current passes through zero a hundred times a second and puts out its own arc. Direct current does not.

A breaker made for AC, or a polarised DC breaker that meets current from the wrong side, may go on arcing when it
opens.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.devices import Breaker, Overcurrent
from rigline.study.study import Study


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each DC device that is not rated for DC, and each polarised breaker with sources on both sides."""
    for link in study.graph.links:
        device = study.system.components[link.component]
        if not isinstance(device, Overcurrent) or link.a.pole not in ("+", "-"):
            continue
        if device.dc_rated is False:
            what = "stands in a DC circuit but has no rating for DC"
            yield Hit(at=(device.id,), words={"what": what}, field="dc-rated")
        elif "dc-rated" in device.unknown:
            yield Missing((device.id,), f"whether {device.id} is rated for DC")
        elif isinstance(device, Breaker) and device.polarised and _fed_from_both_sides(study, device.id):
            what = "opens current in one direction only, but sources on both sides can feed it"
            yield Hit(at=(device.id,), words={"what": what}, field="polarised")


def _fed_from_both_sides(study: Study, device: str) -> bool:
    """Whether anything can flow to the device from each of its sides."""
    sides: dict[str, bool] = {}
    for exposure, end in study.ends_at.get(device, ()):
        sides[end.node.terminal] = sides.get(end.node.terminal, False) or exposure.other(end).is_fed
    return len(sides) == 2 and all(sides.values())


CHECK = Check(
    slug="oc-dc-rating",
    title="device not made for direct current",
    family="overcurrent",
    severity=Severity.DANGER,
    limit=(
        "A device in a DC circuit is rated for DC. A polarised breaker stands only where current has one direction."
    ),
    exceptions="Devices marked for both AC and DC; breakers without polarity.",
    sources=(
        Source("NEC 706.31(C)", "verified"),
        Source("NEC 690.9(B)", "from memory"),
    ),
    message="{at} {what}.",
    remedy="Fit a device rated for DC, without polarity, in place of {at}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Breaker in a DC circuit
profile: us-boat
body: plastic
defaults: {insulation: 105 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: breaker, style: thermal, rating: 25 A, dc-rated: true}
  PU1: {kind: dc-load, name: Wash pump, power: 180 W}
  GND: {kind: chassis, name: Engine, type: engine}
runs:
  - {id: W1, path: [B1, F1, PU1], lengths: [100 mm, 2 m], wire: 10 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="dc-rated: true",
        failing="dc-rated: false",
        finds=("F1",),
    ),
)
