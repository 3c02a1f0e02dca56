"""A small load that never stops empties a lead battery in days, and an emptied lead battery is soon ruined.

Nothing in a lead battery protects it. Where something takes current day and night, a cut-off or at least a load that
stops by itself has to watch the voltage while nobody is there.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.devices import Relay
from rigline.kinds.loads import Load, Monitor, Sensor
from rigline.study.storage import Storage, storages
from rigline.study.study import Study

SLUG = "sc-low-voltage-cutoff"
ALWAYS_H_PER_DAY = 24.0
"""A load in use for so long never stops by itself; by definition."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each lead bank with a load that is on day and night and nothing that stops it at low voltage."""
    for storage in storages(study):
        if storage.is_lithium or any(b.low_cutoff_v is not None for b in storage.batteries):
            continue
        if not _has_cut_off(study, storage):
            drains = _drains(study, storage)
            if drains:
                words = {"batteries": " and ".join(storage.ids), "loads": ", ".join(drains)}
                yield Hit((*storage.ids, *drains), words=words)


def _has_cut_off(study: Study, storage: Storage) -> bool:
    relays = (c for n in storage.net if isinstance(c := study.graph.component_at(n), Relay))
    return any(relay.type == "cut-off" for relay in relays)


def _drains(study: Study, storage: Storage) -> list[str]:
    """Loads that never stop: what lives depend on must not be cut off, and instruments take next to nothing."""
    loads = {c.id: c for n in storage.net if isinstance(c := study.graph.component_at(n), Load)}
    return [
        id for id, load in sorted(loads.items())
        if (load.use_h_per_day or 0.0) >= ALWAYS_H_PER_DAY and load.min_voltage_v is None
        and not load.safety and not isinstance(load, Monitor | Sensor)
    ]  # fmt: skip


CHECK = Check(
    slug=SLUG,
    title="lead battery without a low-voltage cut-off",
    family="sources & charging",
    severity=Severity.ADVICE,
    limit="A load that is in use 24 hours a day stops before a lead battery is empty, at about 10.5 V of 12 V.",
    exceptions=(
        "Loads that stop by themselves (min-voltage) or that lives depend on; a relay of the type cut-off; a battery "
        "with low-cutoff; lithium, which its management system guards."
    ),
    sources=(Source("lead is cut off at 10.5 V of 12 V", "common practice"),),
    message=(
        "{loads} takes from {batteries} day and night, and nothing stops it when the battery is empty: lead "
        "is ruined so."
    ),
    remedy="Put a low-voltage cut-off (a relay) between {batteries} and {loads}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A fridge on a lead battery
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: class-t, rating: 10 A}
  FR1: {kind: dc-load, name: Fridge, current: 4 A, continuous: true, use: 8 h/day}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, FR1], lengths: [100 mm, 1 m], wire: 10 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="use: 8 h/day",
        failing="use: 24 h/day",
        finds=("B1", "FR1"),
    ),
)
