"""The faster a battery is emptied, the less it gives, and the lower its voltage sinks meanwhile.

A lead battery's figure is for twenty hours. Emptied in one, it gives half, its voltage sags to where inverters stop,
and it does not live long. What lasts for hours needs a bank of several times its current.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.unsound import currents_missing
from rigline.findings import Severity
from rigline.kinds.converters import Inverter
from rigline.kinds.sources import Battery
from rigline.model.system import Node
from rigline.study.causes import exceeds
from rigline.study.currents import Case
from rigline.study.storage import Storage, charge_ah, storages
from rigline.study.study import Study

SLUG = "bb-c-rate"
USUAL_PER_H = {"lifepo4": 0.5, "agm": 0.2, "gel": 0.2, "flooded": 0.2}
"""Lasting current over charge at the 20 h rate where the maker gives no limit. Common practice."""
ONE_HOUR_PER_H = 1.0
"""A bank that is emptied in an hour can't last at any load; by definition of its charge."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each bank from which more is taken for long than it gives well."""
    if study.unsound:
        yield from currents_missing(study)
        return
    for storage in storages(study):
        cases = [case for case in study.cases if case.kind == "continuous"]
        worst = max(cases, key=lambda case: storage.out_a(case, study.graph))
        needed = storage.out_a(worst, study.graph)
        if not exceeds(needed, 0.0) or storage.is_starting or _is_guarded(storage):
            continue
        unknown = [b.id for b in storage.batteries if _limit_a(b) is None]
        if unknown:
            yield Missing(storage.ids, f"chemistry and capacity of {', '.join(unknown)}")
            continue
        limit = sum(min(_limit_a(b) or 0.0 for b in s.blocks) for s in storage.strings)
        if exceeds(needed, limit):
            inverters = _inverters_a(study, storage, worst)
            words = {"batteries": " and ".join(storage.ids), "hours": f"{storage.known_ah / needed:.2g}"}
            severity = _severity(storage, needed, needed - inverters, limit)
            yield Hit(storage.ids, needed, limit, "A", severity=severity, words=words, field="capacity")


def _is_guarded(storage: Storage) -> bool:
    """Whether every battery is lithium with a limit of its own, which is sc-bms-discharge-limit."""
    limits = [b.max_discharge_a or getattr(b.bms, "max_discharge_a", None) for b in storage.batteries]
    return bool(storage.is_lithium) and all(limits)


def _limit_a(battery: Battery) -> float | None:
    if battery.max_discharge_a is not None:
        return battery.max_discharge_a * battery.parallel
    charge = charge_ah(battery)
    return None if charge is None or battery.chemistry is None else charge * USUAL_PER_H[battery.chemistry]


def _severity(storage: Storage, needed_a: float, without_inverters_a: float, limit_a: float) -> Severity:
    """A fault if steady loads alone are too much; an inverter seldom gives its rated power for long."""
    is_steady = exceeds(without_inverters_a, limit_a)
    return Severity.FAULT if is_steady or exceeds(needed_a, ONE_HOUR_PER_H * storage.known_ah) else Severity.ADVICE


def _inverters_a(study: Study, storage: Storage, case: Case) -> float:
    nodes = [n for n in storage.net if isinstance(study.graph.component_at(n), Inverter)]
    return sum(_into_a(study, node, case) for node in nodes)


def _into_a(study: Study, node: Node, case: Case) -> float:
    amps = ((c, case.amps.get(c.id, 0.0)) for c in study.graph.conductors_at(node))
    return max(0.0, sum(amp if c.b == node else -amp for c, amp in amps))


CHECK = Check(
    slug=SLUG,
    title="bank too small for what it gives",
    family="battery bank",
    severity=Severity.FAULT,
    limit=(
        "What lasts for three hours or more, inverters at rated power, takes at most 0.2 A for each Ah of "
        "lead, 0.5 A of "
        "lithium, or the maker's figure (max-discharge)."
    ),
    exceptions=(
        "Starting batteries; lithium that states its limit, which is sc-bms-discharge-limit. It is advice if inverters "
        "alone make it so and the bank lasts an hour."
    ),
    sources=(Source("lead C/5, lithium C/2", "common practice"),),
    message=(
        "{found} A for long from {batteries}, which gives {limit} A well: it would be empty in {hours} h at best, its "
        "voltage sags, and it does not live long."
    ),
    remedy="Use a larger bank than {batteries}, or a higher voltage, or smaller loads.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A battery and its heater
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 80 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: class-t, rating: 20 A}
  LD1: {kind: dc-load, name: Heater, current: 14 A, continuous: true}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, LD1], lengths: [100 mm, 0.8 m], wire: 8 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="capacity: 80 Ah",
        failing="capacity: 40 Ah",
        finds=("B1",),
    ),
)
