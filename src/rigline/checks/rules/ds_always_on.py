"""What keeps a boat afloat or wakes the crew must work with the main switch off, and little else should.

The switch is off when nobody is aboard, which is when the bilge fills. A stereo or a heater that goes round the switch,
on the other hand, stays live in the fire that the switch was meant for, and empties the battery in the winter.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.converters import Inverter
from rigline.kinds.loads import Load, Motor, Sensor
from rigline.model.system import Node
from rigline.study.isolation import LEAST_BEHIND_MAIN, MainSwitch, always_live, main_switches, unswitched
from rigline.study.storage import Storage, storages
from rigline.study.study import Study

SLUG = "ds-always-on"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each load on the wrong side of a main switch."""
    banks = storages(study)
    live = frozenset(node for storage in banks for node in always_live(study, storage))
    said: set[str] = set()
    for storage in banks:
        for main in main_switches(study, storage):
            for hit in _dead(study, main, live):
                if hit.at[0] not in said:
                    said.add(hit.at[0])
                    yield hit
        yield from _bypassing(study, storage)


def _dead(study: Study, main: MainSwitch, live: frozenset[Node]) -> Iterator[Hit]:
    for load in main.consumers:
        stays = isinstance(load, Load) and (load.safety or load.always_on) and not isinstance(load, Sensor)
        if stays and not any(node.component == load.id for node in live):
            words = {"what": f"goes off with {main.id}, though it must always work", "where": f"ahead of {main.id}"}
            yield Hit((load.id, main.id), words=words)


def _bypassing(study: Study, storage: Storage) -> Iterator[Hit]:
    # The switch of an engine alone turns no house off.
    mains = [main.id for main in main_switches(study, storage) if _is_of_house(main)]
    found = unswitched(study, storage)
    if mains and not found.is_whole:
        for id in sorted(found.live):
            if not isinstance(study.system.components[id], Inverter):
                words = {"what": f"stays on when {mains[0]} is off", "where": f"behind {mains[0]}"}
                yield Hit((id, mains[0]), words=words)


def _is_of_house(main: MainSwitch) -> bool:
    house = [c for c in main.consumers if not (isinstance(c, Motor) and c.cranking)]
    return len(house) >= LEAST_BEHIND_MAIN


CHECK = Check(
    slug=SLUG,
    title="load on the wrong side of the main switch",
    family="disconnects",
    severity=Severity.FAULT,
    limit=(
        "Loads that lives depend on (safety) or that are always on stay live with the main switch open; of "
        "the rest, only "
        "alarms, monitors and charging leads do."
    ),
    exceptions=("Loads declared always-on, such as memories; inverters are ds-inverter; detectors are mo-detectors."),
    sources=(Source("Boat Safety Scheme, part 3", "from memory"), Source("ABYC E-11 and ISO 13297", "from memory")),
    message="{at} {what}.",
    remedy="Join {at} {where}, with a fuse of its own.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A bilge pump and a main switch
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: class-t, rating: 20 A}
  Q1: {kind: switch, rating: 100 A, voltage: 32 V}
  BUS1: {kind: busbar, rating: 100 A}
  LT1: {kind: dc-load, name: Lamps, current: 4 A, continuous: false}
  LT2: {kind: dc-load, name: Reading lamps, current: 4 A, continuous: false}
  F2: {kind: fuse, style: class-t, rating: 10 A}
  PU1: {kind: motor, name: Bilge pump, current: 3 A, safety: true}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, Q1, BUS1], lengths: [0.1 m, 0.5 m, 0.6 m], wire: 10 AWG}
  - {id: W2, path: [BUS1, LT1], length: 0.6 m, wire: 12 AWG}
  - {id: W3, path: [BUS1, LT2], length: 0.6 m, wire: 12 AWG}
  - {id: W4, path: [B1, F2, PU1], lengths: [0.1 m, 0.8 m], wire: 12 AWG}
  - {id: W5, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="path: [B1, F2, PU1]",
        failing="path: [BUS1, F2, PU1]",
        finds=("PU1", "Q1"),
    ),
)
