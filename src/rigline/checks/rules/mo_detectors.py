"""A gas, smoke or carbon monoxide alarm must work when everything else is off.

Cookers and heaters burn while the main switch is off, bottles leak, and people sleep. An alarm on the lights' circuit
is dead just then, and nobody notices.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.loads import Sensor
from rigline.study.isolation import always_live, main_switches
from rigline.study.storage import storages
from rigline.study.study import Study

SLUG = "mo-detectors"
WATCHES = ("smoke", "monoxide", "gas", "lpg", "propane", "fire")
"""Words in a sensor's type that make it one that wakes people."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each detector that goes off with a main switch."""
    banks = storages(study)
    live = {node.component for storage in banks for node in always_live(study, storage)}
    said: set[str] = set()
    for storage in banks:
        for main in main_switches(study, storage):
            for sensor in main.consumers:
                if isinstance(sensor, Sensor) and _wakes(sensor) and sensor.id not in live | said:
                    said.add(sensor.id)
                    yield from _judge(sensor, main.id)


def _wakes(sensor: Sensor) -> bool:
    words = f"{sensor.type or ''} {sensor.name or ''}".lower()
    return any(word in words for word in WATCHES) or words.split()[-1:] == ["co"]


def _judge(sensor: Sensor, main: str) -> Iterator[Hit | Missing]:
    if sensor.own_battery is None:
        fact = f"whether {sensor.id} goes on by a battery of its own when {main} is off (own-battery)"
        yield Missing((sensor.id,), fact)
    elif not sensor.own_battery:
        yield Hit((sensor.id, main), words={"main": main}, field="own-battery")


CHECK = Check(
    slug=SLUG,
    title="detector that goes off with the main switch",
    family="monitoring",
    severity=Severity.DANGER,
    limit="Gas, smoke and carbon monoxide detectors stay live with the main switch open, on a small fuse of their own.",
    exceptions="Detectors with a battery of their own (own-battery).",
    sources=(Source("NFPA 1192, detection devices", "from memory"), Source("ABYC A-24 and A-14", "from memory")),
    message="{at} goes off with {main}: gas, smoke or carbon monoxide then finds people asleep.",
    remedy="Join {at} ahead of {main}, with a fuse of 1 to 3 A.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A detector behind the main switch
profile: us-rv
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: class-t, rating: 20 A}
  Q1: {kind: switch, rating: 100 A, voltage: 32 V}
  DC1: {kind: fuse-block, rating: 100 A}
  FA: {kind: fuse, style: blade, rating: 10 A}
  LT1: {kind: dc-load, name: Lamps, current: 4 A, continuous: false}
  FB: {kind: fuse, style: blade, rating: 3 A}
  CO1: {kind: sensor, type: carbon monoxide, current: 0.2 A, own-battery: true}
  GND: {kind: chassis, name: Frame}
runs:
  - {id: W1, path: [B1, F1, Q1, DC1], lengths: [0.1 m, 0.5 m, 0.6 m], wire: 10 AWG}
  - {id: W2, path: [DC1, FA, LT1], length: 0.8 m, wire: 12 AWG}
  - {id: W3, path: [DC1, FB, CO1], length: 0.6 m, wire: 14 AWG}
  - {id: W4, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="own-battery: true",
        failing="own-battery: false",
        finds=("CO1", "Q1"),
    ),
)
