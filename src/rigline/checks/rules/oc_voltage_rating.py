"""When a fuse or switch opens, the full voltage stands across it. Above its rating the arc does not go out, and the
device burns instead of opening.

What counts is the charging voltage, and for solar strings the voltage of a cold morning, not the number on the
label of the battery.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.study.causes import exceeds
from rigline.study.duty import VoltageDuty, voltage_duties
from rigline.study.study import Study


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each DC device, switch and relay that may have to hold off more than it is rated for."""
    for duty in voltage_duties(study):
        id = duty.component.id
        if duty.rated_v is None:
            yield Missing((id,), f"voltage of {id}")
        elif duty.volts_v is not None and exceeds(duty.volts_v, duty.rated_v):
            yield Hit(
                at=(id,),
                found=duty.rated_v,
                limit=duty.volts_v,
                unit="V",
                words={"assumed": f" ({duty.assumed})" if duty.assumed else "", "why": _why(duty)},
                field="" if duty.assumed else "voltage",
            )
        elif duty.missing:
            yield Missing((id, *duty.of_array), ", ".join(duty.missing))
        elif duty.volts_v is None:
            yield Missing((id,), f"voltage of the circuit of {id}")


def _why(duty: VoltageDuty) -> str:
    return f" ({', '.join(duty.of_array)} on the coldest morning)" if duty.of_array else " while charging"


CHECK = Check(
    slug="oc-voltage-rating",
    title="voltage rating below the circuit's voltage",
    family="overcurrent",
    severity=Severity.DANGER,
    limit=(
        "The rating of each DC device, switch and relay is at least the highest voltage across it: lead 15, 30 or "
        "60 V in 12, 24 and 48 V systems; lithium iron phosphate 1.14 times nominal; solar strings their open- "
        "circuit voltage at the coldest."
    ),
    exceptions="None. AC devices are not judged.",
    sources=(
        Source("33 CFR 183.455(d)", "verified"),
        Source("NEC 240.60 and 690.9(B)", "from memory"),
    ),
    message=(
        "{at} is rated {found} {unit}{assumed}, but up to {limit} {unit} can stand across it{why}: its arc "
        "may not go out."
    ),
    remedy="Fit {at} in a type rated for {limit} V DC or more.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Main fuse of a 48 V battery
profile: us-cabin
body: wood
defaults: {insulation: 90 °C}
components:
  B1: {kind: battery, chemistry: lifepo4, voltage: 51.2 V, capacity: 25 Ah, bms: true, short-circuit: 2500 A}
  F1: {kind: fuse, rating: 50 A, interrupting: 20 kA, voltage: 80 V}
  HT1: {kind: dc-load, name: Water heater, power: 1500 W}
  GND: {kind: earth-electrode, type: rod, resistance: 20 ohm}
runs:
  - {id: W1, path: [B1, F1, HT1], lengths: [200 mm, 2 m], wire: 6 AWG}
  - {id: W2, path: [B1-, GND], length: 2 m, carries: bond, wire: 6 AWG}
""",
        passing="voltage: 80 V",
        failing="voltage: 32 V",
        finds=("F1",),
    ),
)
