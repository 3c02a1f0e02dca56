"""When a cell in one battery fails, the batteries beside it feed the fault with all they have. One fuse for the whole
bank stands on the wrong side of that current.

Only a fuse at each battery parts the bad one from the rest. Lithium batteries give thousands of amperes each, so
there it matters most.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.exposed import exposed_hits, shared_banks
from rigline.findings import Severity
from rigline.kinds.sources import Battery
from rigline.study.banks import Bank
from rigline.study.study import Study

SLUG = "oc-parallel-battery-each"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each bank with a battery that has no device, and each battery lead that the others' devices together overload."""
    said: set[str] = set()
    for bank, severity in shared_banks(study):
        said.update(bank.batteries)
        if isinstance(severity, Missing):
            yield severity
        elif len(bank.batteries) > 1:
            yield _hit(bank, severity)
    yield from _blocks_in_one(study)
    for hit in exposed_hits(study, SLUG):
        if not said & set(hit.at):
            said.update(hit.at)
            yield hit if isinstance(hit, Missing) else _overloaded(hit)


def _blocks_in_one(study: Study) -> Iterator[Missing]:
    """Batteries written as one component: whether each string has its fuse can't be seen."""
    for id, battery in study.system.components.items():
        if isinstance(battery, Battery) and battery.parallel > 1 and battery.internal_fuse_a is None:
            fact = f"whether each of its {battery.parallel} strings has a fuse: internal-fuse, or a battery for each"
            yield Missing((id,), fact)


def _hit(bank: Bank, severity: Severity) -> Hit:
    others = [id for id in bank.batteries if id not in bank.unfused] or ["the others"]
    words = {"unfused": ", ".join(bank.unfused), "others": ", ".join(others)}
    rest = (id for id in bank.batteries if id not in bank.unfused)
    return Hit(at=(*bank.unfused, *rest), severity=severity, words=words)


def _overloaded(hit: Hit) -> Hit:
    return Hit(
        at=hit.at, found=hit.found, limit=hit.limit, unit="A", runs=hit.runs, segment=hit.segment,
        words={**hit.words, "unfused": hit.at[0], "others": hit.words["sources"]},
    )  # fmt: skip


CHECK = Check(
    slug=SLUG,
    title="parallel batteries without a device each",
    family="overcurrent",
    severity=Severity.DANGER,
    limit="A device at each battery or string, between its post and the point where they meet.",
    exceptions=(
        "Two lead-acid batteries in one place, up to 500 Ah together, with jumpers no longer than oc-battery- "
        "distance allows and a main device: advice only. Batteries with a listed fuse inside."
    ),
    sources=(
        Source("46 CFR 111.15-25", "verified"),
        Source("ABYC E-11.10.1.4.1", "verified"),
        Source("two small lead-acid batteries in one box as advice", "common practice"),
    ),
    message=(
        "{all} are joined in parallel, but no fuse stands at the post of {unfused}: a fault inside one battery is "
        "fed by {others}."
    ),
    remedy="Fit a fuse with a high interrupting rating at the post of each of {unfused}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Two lithium batteries on one bus
profile: us-boat
body: plastic
defaults: {insulation: 105 °C}
components:
  B1: {kind: battery, chemistry: lifepo4, voltage: 12.8 V, capacity: 50 Ah, bms: true, short-circuit: 5 kA}
  B2: {kind: battery, chemistry: lifepo4, voltage: 12.8 V, capacity: 50 Ah, bms: true, short-circuit: 5 kA}
  F1: {kind: fuse, style: class-t, rating: 125 A}
  F2: {kind: fuse, style: class-t, rating: 125 A}
  BUS1: {kind: busbar, rating: 250 A}
  F3: {kind: fuse, style: class-t, rating: 100 A}
  WM1: {kind: dc-load, name: Water heater, power: 800 W}
  GND: {kind: chassis, name: Engine, type: engine}
runs:
  - {id: W1, path: [B1, F1, BUS1], lengths: [100 mm, 0.8 m], wire: 2 AWG}
  - {id: W2, path: [B2, F2, BUS1], lengths: [100 mm, 0.8 m], wire: 2 AWG}
  - {id: W3, path: [BUS1, F3, WM1], lengths: [100 mm, 1 m], wire: 4 AWG}
  - {id: W4, path: [BUS1-, GND], length: 0.5 m, carries: bond, wire: 2 AWG}
""",
        passing="F2: {kind: fuse, style: class-t, rating: 125 A}",
        failing="F2: {kind: switch, voltage: 32 V, rating: 300 A}",
        finds=("B2", "B1"),
    ),
)
