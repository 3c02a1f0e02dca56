"""A fuse that opens an overload may still fail at a dead short: the arc inside goes on burning and the fuse bursts.
Lithium batteries give thousands of amperes, far more than small fuses can stop.

The interrupting rating says how much a device can open. It must be at least what the batteries can give at that
place.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.converters import Inverter
from rigline.kinds.devices import Overcurrent
from rigline.kinds.sources import Battery, VehicleBattery
from rigline.standards.ratings import boat_interrupting
from rigline.study.ac_duty import ac_duties, is_tabled_shore
from rigline.study.causes import exceeds
from rigline.study.distances import stubs_of
from rigline.study.duty import Duty, duties, interrupting_a
from rigline.study.study import Study


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each device that may have to open more than it can."""
    yield from _dc(study)
    yield from _ac(study)


def _ac(study: Study) -> Iterator[Hit | Missing]:
    for id, keys in sorted(study.ac_faults.missing.items()):
        source = study.system.components[id]
        if not isinstance(source, Inverter) and not is_tabled_shore(study, source):
            yield Missing((id,), f"{' and '.join(keys)} of {id}")
    for duty in ac_duties(study):
        if duty.opens_a is None:
            yield Missing((duty.device,), f"interrupting rating of {duty.device}")
        elif exceeds(duty.amps_a, duty.opens_a):
            severity = Severity.FAULT if duty.assumed else Severity.DANGER
            words = {
                "assumed": f" ({duty.assumed})" if duty.assumed else "",
                "sources": duty.source,
                "estimated": f" ({duty.table})" if duty.table else "",
            }
            at = (duty.device, duty.source)
            yield Hit(at=at, found=duty.opens_a, limit=duty.amps_a, unit="A", severity=severity, words=words)


def _dc(study: Study) -> Iterator[Hit | Missing]:
    for duty in duties(study):
        opens, assumed = interrupting_a(study, duty.device, duty.node)
        required, table = _required(study, duty)
        if opens is None:
            yield Missing((duty.device.id,), f"interrupting rating or style of {duty.device.id}")
        elif exceeds(required, opens):
            yield Hit(
                at=(duty.device.id, *(id for id, _ in duty.parts)),
                found=opens,
                limit=required,
                unit="A",
                severity=_severity(study, duty, opens, assumed),
                words={
                    "assumed": f" ({assumed})" if assumed else "",
                    "sources": ", ".join(id for id, _ in duty.parts),
                    "estimated": table or (" (estimated from the capacity)" if duty.estimated else ""),
                },
            )
        elif duty.unknown and not table:
            for id in duty.unknown:
                yield Missing((duty.device.id, id), f"short-circuit current, or chemistry and capacity, of {id}")


def _required(study: Study, duty: Duty) -> tuple[float, str]:
    """The fault current, or what the boats' table asks for lead batteries that state their cranking current."""
    batteries = [study.system.components[id] for id in (*(id for id, _ in duty.parts), *duty.unknown)]
    lead = [b for b in batteries if isinstance(b, Battery | VehicleBattery) and b.chemistry != "lifepo4" and b.cca_a]
    if study.profile.interrupting.value == "cranking-table" and lead and len(lead) == len(batteries):
        total = sum((b.cca_a or 0.0) * getattr(b, "parallel", 1) for b in lead)
        typical = boat_interrupting(total, main=duty.is_main)
        if typical is not None:
            return typical.value_a, f" (by the table for {total:.4g} A cold cranking current)"
    return duty.amps_a, ""


def _severity(study: Study, duty: Duty, opens: float, assumed: str) -> Severity:
    if len(duty.parts) > 1 and all(amps <= opens for _, amps in duty.parts) and _each_has_its_own(study, duty):
        return Severity.ADVICE
    return Severity.FAULT if assumed and not duty.is_main else Severity.DANGER


def _each_has_its_own(study: Study, duty: Duty) -> bool:
    """Whether every battery behind a device has an adequate device ahead of it."""
    for id, amps in duty.parts:
        own = {stub.device for stub in stubs_of(study).of_batteries if stub.source == id}
        devices = [c for name in own if isinstance(c := study.system.components[name], Overcurrent)]
        strong = [(interrupting_a(study, device, duty.node)[0] or 0.0) >= amps for device in devices]
        if not own or duty.device.id in own or not all(strong):
            return False
    return True


CHECK = Check(
    slug="oc-interrupting-rating",
    title="interrupting rating below the fault current",
    family="overcurrent",
    severity=Severity.DANGER,
    limit=(
        "DC devices: the interrupting rating at the system's voltage is at least the fault current that comes "
        "through it. Boats (US) with flooded or other lead batteries that state cold cranking current: the table "
        "of main and branch devices. AC devices: at least the greatest fault current of any one source there; "
        "on US boats 3000 A on a 120 V shore supply of 30 A or 50 A that states none. In the US a device without a "
        "mark counts as 5000 A (breaker) or 10 kA (fuse)."
    ),
    exceptions=(
        "Batteries behind a current-limiting fuse (class T) that is itself strong enough are not counted. Several "
        "batteries, each with an adequate device ahead: advice. Inverters limit their own current."
    ),
    sources=(
        Source("NEC 110.9", "from memory"),
        Source("NEC 706.31(C)", "verified"),
        Source("ABYC E-11, interrupting table", "verified"),
        Source("IEC 60909-0, greatest short-circuit current", "from memory"),
        Source("NEC 240.83(C) and 240.60(C), devices without a mark", "from memory"),
    ),
    message=(
        "{at} can open {found} {unit}{assumed}, but {sources} can push {limit} {unit}{estimated} through it: "
        "at a dead short it may burst."
    ),
    remedy=(
        "Fit {at} in a type with an interrupting rating of {limit} A or more, such as class T, or such a fuse "
        "ahead of it, next to {sources}."
    ),
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Main fuse of a lithium battery
profile: us-boat
body: plastic
defaults: {insulation: 105 °C}
components:
  B1: {kind: battery, chemistry: lifepo4, voltage: 12.8 V, capacity: 280 Ah, bms: true,
       disconnect: true, charge-display: true}
  F1: {kind: fuse, style: class-t, rating: 150 A}
  WH1: {kind: dc-load, name: Water heater, power: 1200 W}
  GND: {kind: chassis, name: Engine, type: engine}
runs:
  - {id: W1, path: [B1, F1, WH1], lengths: [100 mm, 1 m], wire: 2 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 2 AWG}
""",
        passing="style: class-t",
        failing="style: bolt-down",
        finds=("F1", "B1"),
    ),
)
