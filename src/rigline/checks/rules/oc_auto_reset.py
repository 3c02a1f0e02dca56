"""A breaker that closes again by itself feeds the same short over and over. The wire is heated each time, until its
insulation gives way.

A person must look before the current comes back.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.devices import Overcurrent
from rigline.study.study import Study


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each device that resets itself."""
    for id, device in sorted(study.system.components.items()):
        if isinstance(device, Overcurrent) and device.auto_reset:
            yield Hit(at=(id,), field="auto-reset")
        elif isinstance(device, Overcurrent) and "auto-reset" in device.unknown:
            yield Missing((id,), f"auto-reset of {id}")


CHECK = Check(
    slug="oc-auto-reset",
    title="self-resetting device ahead of wiring",
    family="overcurrent",
    severity=Severity.FAULT,
    limit="Devices that protect wiring stay open until somebody resets or replaces them.",
    exceptions="Thermal protectors that belong to a motor.",
    sources=(
        Source("33 CFR 183.455(a)", "verified"),
        Source("ISO 13297", "verified"),
    ),
    message="{at} closes again by itself after it has opened: a short behind it is fed again and again.",
    remedy="Fit {at} as a fuse, or as a breaker that is reset by hand.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Breaker for a wash pump
profile: us-boat
body: plastic
defaults: {insulation: 105 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: breaker, style: thermal, rating: 25 A, auto-reset: false}
  PU1: {kind: dc-load, name: Wash pump, power: 180 W}
  GND: {kind: chassis, name: Engine, type: engine}
runs:
  - {id: W1, path: [B1, F1, PU1], lengths: [100 mm, 2 m], wire: 10 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="auto-reset: false",
        failing="auto-reset: true",
        finds=("F1",),
    ),
)
