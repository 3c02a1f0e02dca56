"""A machine that loses its battery while it charges sends its voltage up until something breaks.

The battery is what holds an alternator's or a turbine's voltage down. Open a switch, or let a lithium battery's
management system open, and for a moment there are tens of volts on everything that is still connected.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.devices import Relay, Selector, Switch
from rigline.kinds.sources import Alternator, Turning
from rigline.study.direct_charge import Parting, batteries_on_machine, machines, partings
from rigline.study.study import Study

SLUG = "sc-alternator-load-dump"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each machine whose last battery can be taken away while it charges."""
    for machine in machines(study, Turning):
        assert isinstance(machine, Turning)
        if machine.surge_clamp:
            continue
        for at, opens in _ways(study, machine):
            if machine.surge_clamp is None and isinstance(machine, Alternator):
                yield Missing((machine.id, at), f"whether {machine.id} survives losing its battery (surge-clamp)")
            else:
                yield Hit((machine.id, at), words={"opens": opens})


def _ways(study: Study, machine: Turning) -> Iterator[tuple[str, str]]:
    """What can open, and how, so that no battery is left."""
    for parting in partings(study, machine.id):
        if _can_open(parting, machine):
            yield parting.device.id, f"{parting.device.id} is opened"
    batteries = batteries_on_machine(study, machine.id)
    if batteries and all(b.chemistry == "lifepo4" and b.bms is not False for b in batteries):
        yield batteries[0].id, f"the management system of {' and '.join(b.id for b in batteries)} opens"


def _can_open(parting: Parting, machine: Turning) -> bool:
    device = parting.device
    if isinstance(device, Switch) and device.brake:
        return False
    if isinstance(device, Selector):
        return not device.field_disconnect
    if isinstance(device, Switch | Relay):
        return True
    # A blown fuse is rare; that it leaves a turbine alone with an inverter is the fault, for the wind does not stop.
    return not isinstance(machine, Alternator) and device.protects and bool(parting.left)


CHECK = Check(
    slug=SLUG,
    title="machine that can lose its battery while it charges",
    family="sources & charging",
    severity=Severity.FAULT,
    limit=(
        "No switch, relay, selector or management system parts an alternator from its last battery; no fuse or breaker "
        "leaves a turbine connected to loads without a battery."
    ),
    exceptions=(
        "A machine that survives it (surge-clamp); a selector that opens the field first (field-disconnect); a lead "
        "battery that stays."
    ),
    sources=(Source("ABYC E-13, disconnection while charging", "from memory"), Source("load dump", "common practice")),
    message=(
        "If {opens} while {at} charges, no battery holds its voltage down: the surge destroys the machine and what is "
        "still connected."
    ),
    remedy=(
        "Leave {at} joined to a lead battery at all times, or fit a surge clamp, or a switch that stops the machine "
        "first."
    ),
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: An alternator on a lithium battery
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: lifepo4, voltage: 12.8 V, capacity: 100 Ah, short-circuit: 2 kA, bms: true,
       max-charge: 100 A}
  F1: {kind: fuse, style: class-t, rating: 125 A}
  ALT1: {kind: alternator, output: 100 A, voltage: 12 V, self-limited: true, surge-clamp: true, setpoint: 14.4 V}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, ALT1], lengths: [100 mm, 0.6 m], wire: 2 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 2 AWG}
""",
        passing="surge-clamp: true",
        failing="surge-clamp: false",
        finds=("ALT1", "B1"),
    ),
)
