"""A lithium cell that is charged below freezing is plated with metal inside, for good.

Nothing shows at once: the cell loses charge, and later may short itself. The battery gives current in frost without
harm, so it is only the chargers that something must hold back.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.sources import Battery, Bms
from rigline.study.storage import chargers_of, storages
from rigline.study.study import Study
from rigline.units import format_amount

SLUG = "sc-lithium-cold-charge"
LEAST_CHARGE_C = 0.0
"""Coldest cell at which lithium iron phosphate may be charged where the maker gives no figure. Common practice."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each lithium battery that chargers reach in a place that may freeze."""
    for storage in storages(study):
        if chargers_of(study, storage):
            for battery in storage.batteries:
                if battery.chemistry == "lifepo4" and not battery.heated:
                    yield from _judge(study, battery)


def _judge(study: Study, battery: Battery) -> Iterator[Hit | Missing]:
    least = LEAST_CHARGE_C if battery.min_charge_temperature_c is None else battery.min_charge_temperature_c
    held_back = _is_held_back(battery, least)
    coldest = _coldest_c(study, battery)
    if held_back is True or (coldest is not None and coldest >= least):
        return
    if coldest is None:
        yield Missing((battery.id,), f"coldest air where {battery.id} stands (min of its place)")
    elif held_back is None:
        yield Missing((battery.id,), f"temperature below which {battery.id} is not charged (bms: low-temperature)")
    else:
        severity = Severity.DANGER if battery.bms is False else Severity.FAULT
        words = {"cold": format_amount(coldest, "c"), "least": format_amount(least, "c")}
        yield Hit((battery.id,), coldest, least, "°C", severity=severity, field="bms", words=words)


def _coldest_c(study: Study, battery: Battery) -> float | None:
    """Coldest air round a battery: that of its place, or of the whole system if it never gets cold there."""
    place = study.system.places.get(battery.place or "")
    if place is not None and place.min_c is not None:
        return place.min_c
    outdoors = study.system.conditions.coldest_c
    is_outside = place is not None and place.outside
    # Indoors it is no colder than outdoors, so air that never freezes settles it; how much warmer, nobody said.
    return outdoors if outdoors is not None and (is_outside or outdoors >= LEAST_CHARGE_C) else None


def _is_held_back(battery: Battery, least_c: float) -> bool | None:
    """Whether the management system stops charging in time; None if the spec does not say."""
    if battery.bms is False:
        return False
    if not isinstance(battery.bms, Bms) or battery.bms.charge_disable is None:
        limit = battery.bms.low_temperature_c if isinstance(battery.bms, Bms) else None
        return None if limit is None else limit >= least_c
    limit = battery.bms.low_temperature_c
    return battery.bms.charge_disable and (None if limit is None else limit >= least_c)


CHECK = Check(
    slug=SLUG,
    title="lithium battery charged in frost",
    family="sources & charging",
    severity=Severity.FAULT,
    limit="No charge below 0 °C, or below the maker's own figure (min-charge-temperature).",
    exceptions="A heated battery; a management system that stops the charge in time.",
    sources=(
        Source("ABYC E-13, temperature protection", "from memory"),
        Source("no charge of lithium iron phosphate in frost", "common practice"),
    ),
    message=(
        "{at} can get as cold as {cold}, and nothing stops its chargers below {least}: lithium cells charged "
        "in frost are ruined and may short."
    ),
    remedy="Use a battery for {at} that stops its chargers below {least} or warms itself, or keep it warmer.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A lithium battery in a cold locker
profile: us-boat
body: plastic
places:
  locker: {min: -10 °C}
components:
  B1: {kind: battery, chemistry: lifepo4, voltage: 12.8 V, capacity: 100 Ah, short-circuit: 2 kA, place: locker,
       bms: {charge-disable: true, low-temperature: 0 °C}}
  F1: {kind: fuse, style: class-t, rating: 40 A}
  SC1: {kind: charge-controller, output: 20 A, max-input: 50 V, absorb: 14.4 V}
  QPV: {kind: breaker, rating: 15 A, poles: 2, voltage: 80 V, interrupting: 3 kA}
  PV1: {kind: pv-array, pmax: 200 W, vmp: 30 V, imp: 6.6 A, voc: 36 V, isc: 7 A, max-series-fuse: 15 A, frame: none}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, SC1.battery], lengths: [100 mm, 1 m], wire: 8 AWG}
  - {id: W2, path: [PV1, QPV, SC1.pv], lengths: [2 m, 0.5 m], wire: 10 AWG}
  - {id: W3, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="low-temperature: 0 °C",
        failing="low-temperature: -15 °C",
        finds=("B1",),
    ),
)
