"""A DC charger asks its alternator for more than it gives the battery, hour after hour.

An alternator stands about half of its rating hot and idling, and the vehicle wants its share of that. A charger that
takes more overheats it, or runs the starting battery down while the engine is running.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.converters import DcCharger
from rigline.kinds.sources import Alternator, VehicleBattery
from rigline.model.system import Node
from rigline.study.causes import exceeds
from rigline.study.direct_charge import chargers_fed_by, machines, running_input_a
from rigline.study.study import Study

SLUG = "sc-dcdc-too-large"
ALLOWED_FRAC = 0.5
"""Share of an alternator's rating that a charger may take for long. Common practice."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each alternator or vehicle whose DC chargers together take more than half of its rating."""
    for machine in machines(study, Alternator, VehicleBattery):
        chargers = chargers_fed_by(study, machine.id)
        if not chargers:
            continue
        inputs = [_input_a(study, charger) for charger in chargers]
        if machine.output_a is None or None in inputs:
            silent = [f"output of {c.id}" for c, amps in zip(chargers, inputs, strict=True) if amps is None]
            yield Missing((machine.id,), ", ".join(silent) or f"output of {machine.id}")
            continue
        total = sum(amps for amps in inputs if amps is not None)
        if exceeds(total, ALLOWED_FRAC * machine.output_a):
            ids = tuple(c.id for c in chargers)
            words = {"chargers": " and ".join(ids), "rating": f"{machine.output_a:.4g}"}
            yield Hit((*ids, machine.id), total, ALLOWED_FRAC * machine.output_a, "A", words=words | {"to": machine.id})


def _input_a(study: Study, charger: DcCharger) -> float | None:
    def volts(terminal: str) -> float | None:
        return study.potentials.between(Node(charger.id, terminal, "+"), Node(charger.id, terminal, "-"))

    return running_input_a(charger, volts("in"), volts("out"))


CHECK = Check(
    slug=SLUG,
    title="DC charger too large for its alternator",
    family="sources & charging",
    severity=Severity.FAULT,
    limit="The DC chargers on an alternator take at most half of its rating while the engine runs.",
    exceptions="An alternator made for continuous output: state the output that it can hold.",
    sources=(Source("half of the rating when hot and idling", "common practice"),),
    message=(
        "{chargers} takes {found} A from {to}, which is rated {rating} A and stands about {limit} A hot and idling: it "
        "overheats."
    ),
    remedy="Use a smaller charger than {chargers}, or set it so that it takes at most {limit} A.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A DC charger on the van's alternator
profile: us-rv
body: plastic
components:
  VB1: {kind: vehicle-battery, chemistry: flooded, voltage: 12 V, output: 100 A, short-circuit: 1 kA}
  F1: {kind: fuse, style: class-t, rating: 60 A}
  DCC1: {kind: dc-charger, output: 30 A, output-voltage: 12 V, efficiency: 90 %, trigger: ignition, absorb: 14.4 V}
  F2: {kind: fuse, style: class-t, rating: 40 A}
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah, short-circuit: 1 kA}
  GND: {kind: chassis, name: Frame}
runs:
  - {id: W1, path: [VB1, F1, DCC1.in], lengths: [100 mm, 1.5 m], wire: 4 AWG}
  - {id: W2, path: [B1, F2, DCC1.out], lengths: [100 mm, 0.6 m], wire: 6 AWG}
  - {id: W3, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 4 AWG}
""",
        passing="output: 100 A",
        failing="output: 60 A",
        finds=("DCC1", "VB1"),
    ),
)
