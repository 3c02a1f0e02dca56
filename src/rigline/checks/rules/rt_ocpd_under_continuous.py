"""A fuse or breaker that runs near its rating for hours gets hot and opens for no reason.

Fuses and thermal breakers are tested in open air; in a box they age and trip below their rating. A quarter in hand over
what lasts three hours or more keeps the fridge, the charger and the inverter from dropping out.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.unsound import currents_missing, unstated
from rigline.findings import Severity
from rigline.kinds.devices import Overcurrent
from rigline.study.causes import exceeds
from rigline.study.circuits import Circuit
from rigline.study.study import Study

SLUG = "rt-ocpd-under-continuous"
CODE_PROFILES = ("us-rv", "us-cabin")
"""Rule sets in which the margin of a quarter is a rule and not only good practice."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each device smaller than its load, or without the margin on what lasts."""
    if study.unsound:
        yield from currents_missing(study)
        return
    yield from unstated(study)
    for id, circuit in study.circuits.items():
        rating = study.rating_a(id)
        if rating is None:
            if circuit.load_a > 0:
                yield Missing((id,), f"rating of {id}")
        elif not circuit.solar:
            yield from _judge(study, circuit, rating)


def _judge(study: Study, circuit: Circuit, rating_a: float) -> Iterator[Hit | Missing]:
    device = study.system.components[circuit.device]
    if exceeds(circuit.load_a, rating_a):
        yield _hit(study, circuit, rating_a, circuit.load_a, Severity.FAULT, "which it has to carry")
    elif isinstance(device, Overcurrent) and device.full_duty:
        return
    elif exceeds(circuit.needed_a, rating_a):
        severity = Severity.FAULT if study.profile.name in CODE_PROFILES else Severity.ADVICE
        why = f"that is {circuit.load_a:.4g} A with a quarter more on what lasts three hours"
        yield _hit(study, circuit, rating_a, circuit.needed_a, severity, why)
    elif exceeds(circuit.needed_if_lasting_a, rating_a):
        yield Missing((circuit.device,), f"whether {', '.join(circuit.unstated)} runs three hours or more (continuous)")


def _hit(study: Study, circuit: Circuit, rating_a: float, needed_a: float, severity: Severity, why: str) -> Hit:
    runs = sorted({c.run for n in study.graph.nodes_of(circuit.device) for c in study.graph.conductors_at(n)})
    return Hit(
        (circuit.device,), rating_a, needed_a, "A", tuple(runs), severity=severity, words={"why": why}, field="rating"
    )  # fmt: skip


CHECK = Check(
    slug=SLUG,
    title="overcurrent device too small for its continuous load",
    family="overcurrent",
    severity=Severity.FAULT,
    limit=(
        "The rating is at least the load, and in RVs and US cabins at least 125 % of what lasts three hours or more "
        "plus "
        "the rest. Elsewhere the 125 % are advice. Chargers, converters, controllers and inverters last."
    ),
    exceptions=(
        "Devices listed for 100 % duty (`full-duty: true`, NEC 210.20(A)); solar circuits have rt-ocpd-under-pv."
    ),
    sources=(
        Source("NEC 210.20(A)", "verified"),
        Source("NEC 215.3 and 706.30", "from memory"),
        Source("IEC 60364-4-43 433.1, rating at least the load", "from memory"),
        Source("125 % on boats and under IEC rules", "common practice"),
    ),
    message="{at} is rated {found} A but needs at least {limit} A: {why}. It will open in use.",
    remedy="Fit {at} with {limit} A or more, and check that the wire behind it allows that.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A fan that runs all night
profile: us-rv
body: metal
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 15 A}
  FN1: {kind: dc-load, name: Roof fan, current: 9 A, continuous: true}
  GND: {kind: chassis}
runs:
  - {id: W1, path: [B1, F1, FN1], lengths: [100 mm, 2 m], wire: 12 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, wire: 8 AWG}
""",
        passing="rating: 15 A",
        failing="rating: 10 A",
        finds=("F1",),
    ),
)
