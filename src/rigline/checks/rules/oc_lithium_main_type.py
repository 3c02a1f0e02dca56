"""The main device of a lithium bank must open thousands of amperes. A breaker or fuse that does not say what it can
open was made for less, as a rule.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.sources import Battery
from rigline.study.causes import exceeds
from rigline.study.duty import duties, interrupting_a
from rigline.study.study import Study

STRONG_A = 5000.0
"""Fault current from which the main device's interrupting rating must be known. Common practice."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """First devices of lithium banks of which nobody knows what they can open."""
    for duty in duties(study):
        opens, _ = interrupting_a(study, duty.device, duty.node)
        lithium = tuple(id for id, _ in duty.parts if _is_lithium(study, id))
        if duty.is_main and lithium and opens is None and exceeds(duty.amps_a, STRONG_A):
            words = {"sources": ", ".join(lithium)}
            yield Hit((duty.device.id, *lithium), duty.amps_a, STRONG_A, "A", words=words)


def _is_lithium(study: Study, id: str) -> bool:
    component = study.system.components[id]
    return isinstance(component, Battery) and component.chemistry == "lifepo4"


CHECK = Check(
    slug="oc-lithium-main-type",
    title="main device of a lithium bank without a stated interrupting rating",
    family="overcurrent",
    severity=Severity.FAULT,
    limit=(
        "Behind lithium batteries that can give more than 5 kA, the first device states an interrupting rating, "
        "or is of a style whose rating is known."
    ),
    exceptions="A battery with a listed fuse inside. Where the rating is known, oc-interrupting-rating judges.",
    sources=(
        Source("NEC 706.31(C)", "verified"),
        Source("ISO/TS 23625", "from memory"),
        Source("5 kA", "common practice"),
    ),
    message=(
        "{at} is the first device of {sources}, which can push {found} {unit} through it, and nothing says "
        "what {at} can open; above {limit} {unit} that must be known."
    ),
    remedy="Fit a class T fuse, or state the DC interrupting rating of {at} from its data sheet.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Main breaker of a lithium battery
profile: us-boat
body: plastic
defaults: {insulation: 105 °C}
components:
  B1: {kind: battery, chemistry: lifepo4, voltage: 12.8 V, capacity: 280 Ah, bms: true, charge-display: true}
  F1: {kind: breaker, rating: 150 A, voltage: 32 V, interrupting: 20 kA}
  WH1: {kind: dc-load, name: Water heater, power: 1200 W}
  GND: {kind: chassis, name: Engine, type: engine}
runs:
  - {id: W1, path: [B1, F1, WH1], lengths: [100 mm, 1 m], wire: 2 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 2 AWG}
""",
        passing=", interrupting: 20 kA",
        failing="",
        finds=("F1", "B1"),
    ),
)
