"""A lithium battery's management system switches off when more is asked of it than it may give, and all goes dark.

It guards the cells, not the cook: the inverter stops under the kettle, and on a boat the navigation lights stop with
it. Batteries in parallel never share quite evenly, so of several only a part of the sum can be counted on.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.unsound import currents_missing
from rigline.findings import Severity
from rigline.kinds.sources import Battery, Bms
from rigline.study.causes import exceeds
from rigline.study.storage import Storage, storages
from rigline.study.study import Study

SLUG = "sc-bms-discharge-limit"
SHARE_FRAC = 0.8
"""Share of the sum that several lithium batteries in parallel can be counted on for. Common practice."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each lithium bank whose loads together take more than its management systems let out."""
    if study.unsound:
        yield from currents_missing(study)
        return
    for storage in storages(study):
        if any(b.chemistry == "lifepo4" for b in storage.batteries):
            yield from _judge(study, storage)


def _judge(study: Study, storage: Storage) -> Iterator[Hit | Missing]:
    unknown = [b.id for b in storage.batteries if _limit_a(b) is None]
    needed = max((storage.out_a(c, study.graph) for c in study.cases if c.kind == "discharge"), default=0.0)
    if unknown and needed > 0:
        yield Missing(storage.ids, f"continuous discharge current of {', '.join(unknown)} (max-discharge)")
    elif not unknown:
        share = SHARE_FRAC if storage.string_count > 1 else 1.0
        limit = share * sum(min(_limit_a(b) or 0.0 for b in s.blocks) for s in storage.strings)
        if exceeds(needed, limit):
            words = {"batteries": " and ".join(storage.ids)}
            yield Hit(storage.ids, needed, limit, "A", words=words, field="max-discharge")


def _limit_a(battery: Battery) -> float | None:
    """What a battery's strings give together."""
    own = battery.max_discharge_a
    if own is None and isinstance(battery.bms, Bms):
        own = battery.bms.max_discharge_a
    return None if own is None else own * battery.parallel


CHECK = Check(
    slug=SLUG,
    title="loads above what the management system lets out",
    family="sources & charging",
    severity=Severity.FAULT,
    limit=(
        "All loads together, inverters at rated power and lowest voltage, take at most the battery's continuous "
        "discharge current; of several batteries in parallel, 80 % of the sum."
    ),
    exceptions="Loads that the author knows are never on together: waive the finding with that reason.",
    sources=(Source("ABYC E-13", "from memory"), Source("80 % of packs in parallel", "common practice")),
    message=(
        "All loads together take {found} A from {batteries}, whose management system can be counted on for {limit} A: "
        "it switches everything off."
    ),
    remedy="Use batteries for {batteries} that give {found} A for long, or smaller loads.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A lithium battery and its heater
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: lifepo4, voltage: 12.8 V, capacity: 60 Ah, short-circuit: 2 kA, bms: true,
       max-discharge: 50 A}
  F1: {kind: fuse, style: class-t, rating: 50 A}
  LD1: {kind: dc-load, name: Heater, current: 30 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, LD1], lengths: [100 mm, 1 m], wire: 6 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 6 AWG}
""",
        passing="max-discharge: 50 A",
        failing="max-discharge: 25 A",
        finds=("B1",),
    ),
)
