"""A warm lead battery has to be charged at a lower voltage than a cold one.

Charged by the same figure all year, a large bank gasses and dries out in a hot engine bay and never fills in winter. A
sensor on a battery post lets the charger follow.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.converters import AcCharger, ChargeController
from rigline.study.storage import chargers_of, storages
from rigline.study.study import Study

SLUG = "sc-charger-sense-temp"
LEAST_BANK_AH = 200.0
"""Lead banks above this are worth a sensor. Common practice."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each charger without a battery temperature sensor on a large lead bank."""
    for storage in storages(study):
        if storage.is_lithium or storage.is_starting or storage.known_ah <= LEAST_BANK_AH:
            continue
        for charger in chargers_of(study, storage):
            if isinstance(charger, ChargeController | AcCharger):
                if charger.temperature_sensor is None:
                    yield Missing((charger.id,), f"whether {charger.id} has a battery temperature sensor")
                elif not charger.temperature_sensor:
                    words = {"batteries": " and ".join(storage.ids)}
                    at = (charger.id, *storage.ids)
                    yield Hit(at, storage.known_ah, LEAST_BANK_AH, "Ah", words=words, field="temperature-sensor")


CHECK = Check(
    slug=SLUG,
    title="charger that does not feel a large lead bank's temperature",
    family="sources & charging",
    severity=Severity.ADVICE,
    limit="Chargers of a lead bank above 200 Ah sense its temperature.",
    exceptions="Lithium, which is charged by one voltage; starting batteries.",
    sources=(Source("-3 to -5 mV for each cell and kelvin", "common practice"),),
    message=(
        "{at} charges {batteries} ({found} Ah of lead, sensors pay above {limit} Ah) by one voltage in heat and cold: "
        "the bank dries out or stays empty."
    ),
    remedy="Fit the temperature sensor of {at} to a post of {batteries}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A controller on a lead bank
profile: us-boat
body: plastic
conditions: {coldest: 5 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 220 Ah, short-circuit: 2 kA, disconnect: true,
       charge-display: true}
  F1: {kind: fuse, style: class-t, rating: 40 A}
  SC1: {kind: charge-controller, output: 20 A, max-input: 50 V, absorb: 14.4 V, temperature-sensor: true}
  QPV: {kind: breaker, rating: 15 A, poles: 2, voltage: 80 V, interrupting: 3 kA}
  PV1: {kind: pv-array, pmax: 200 W, vmp: 30 V, imp: 6.6 A, voc: 36 V, isc: 7 A, max-series-fuse: 15 A, frame: none}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, SC1.battery], lengths: [100 mm, 1 m], wire: 8 AWG}
  - {id: W2, path: [PV1, QPV, SC1.pv], lengths: [2 m, 0.5 m], wire: 10 AWG}
  - {id: W3, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="temperature-sensor: true",
        failing="temperature-sensor: false",
        finds=("SC1", "B1"),
    ),
)
