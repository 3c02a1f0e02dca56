"""An empty lithium bank takes all that an alternator can give, for hours, and the alternator burns.

Alternators are rated for a short while and in cold air; idling in a hot engine bay they stand about half of that. Lead
soon takes less by itself. Lithium does not, so a relay or plain cable to it needs something that limits the current.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.sources import Alternator, Battery, VehicleBattery
from rigline.study.causes import exceeds
from rigline.study.direct_charge import batteries_on_machine, machines
from rigline.study.storage import charge_ah
from rigline.study.study import Study

SLUG = "sc-alternator-overload"
ALLOWED_FRAC = 0.5
"""Share of an alternator's rating that it stands hot and idling. Common practice."""
TAKEN_PER_H = 0.33
"""Current that an empty lithium bank was measured to take from an alternator, for each ampere-hour. Common practice."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each alternator with lithium batteries joined to it by nothing that limits the current."""
    for machine in machines(study, Alternator, VehicleBattery):
        lithium = [b for b in batteries_on_machine(study, machine.id) if b.chemistry == "lifepo4"]
        if not lithium or getattr(machine, "temperature_sensor", None):
            continue
        unknown = [f"capacity of {b.id}" for b in lithium if charge_ah(b) is None]
        rating = getattr(machine, "output_a", None)
        if unknown or rating is None:
            yield Missing((machine.id,), ", ".join(unknown) or f"output of {machine.id}")
            continue
        yield from _judge(machine.id, rating, lithium)


def _judge(machine: str, rating_a: float, lithium: list[Battery]) -> Iterator[Hit]:
    taken = TAKEN_PER_H * sum(charge_ah(b) or 0.0 for b in lithium)
    if exceeds(taken, ALLOWED_FRAC * rating_a):
        names = " and ".join(b.id for b in lithium)
        words = {"batteries": names, "rating": f"{rating_a:.4g}"}
        yield Hit((machine, *(b.id for b in lithium)), taken, ALLOWED_FRAC * rating_a, "A", words=words)


CHECK = Check(
    slug=SLUG,
    title="alternator that charges a lithium bank without a limit",
    family="sources & charging",
    severity=Severity.FAULT,
    limit="A third of the lithium bank's charge, in A for each Ah, is at most half of the alternator's rating.",
    exceptions="A DC charger between; a regulator that senses the alternator's temperature (temperature-sensor).",
    sources=(Source("measured charging currents; half of the rating when hot and idling", "common practice"),),
    message=(
        "{batteries} can take about {found} A from {at} for hours; of its {rating} A it stands about {limit} A when it "
        "is hot and idling, and may burn out."
    ),
    remedy=(
        "Put a DC charger of less than {limit} A between {at} and {batteries}, or a regulator that senses temperature."
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
        passing="output: 100 A, voltage",
        failing="output: 60 A, voltage",
        finds=("ALT1", "B1"),
    ),
)
