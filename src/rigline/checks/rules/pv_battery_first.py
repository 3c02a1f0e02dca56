"""Some controllers take their own supply from the battery, and sun without it destroys them.

If the battery's switch opens while the array shines on, the controller sees the full open-circuit voltage with nothing
to hold it down. The array must go first, or the controller stay on the battery's side of the switch.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.study.array_inputs import array_inputs
from rigline.study.study import Study

SLUG = "pv-battery-first"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each controller that a switch parts from its battery, where nothing can take the array off first."""
    for one in array_inputs(study):
        switches = one.battery_opened_by
        if not switches or one.cut_off_by or all(array.disconnect for array in one.every_array):
            continue
        id = one.controller.id
        if one.controller.battery_first is None:
            yield Missing((id,), f"whether {id} stands sun without a battery (battery-first)")
        elif one.controller.battery_first:
            arrays = ", ".join(array.id for array in one.every_array)
            words = {"switch": ", ".join(switches), "arrays": arrays}
            yield Hit((id, *switches), words=words, field="battery-first")


CHECK = Check(
    slug=SLUG,
    title="controller that loses its battery while the sun shines",
    family="PV",
    severity=Severity.FAULT,
    limit="Where the maker asks for the battery first, the array can be switched off ahead of the battery.",
    exceptions="Controllers whose maker allows sun without a battery (`battery-first: false`).",
    sources=(
        Source("instructions of tracking controllers: battery first, array last", "verified"),
        Source("a controller on the battery's side of the switch", "common practice"),
    ),
    message="{switch} takes the battery from {at} while {arrays} still feeds it, and its maker forbids that.",
    remedy="Wire {at} to the battery's side of {switch}, or fit a switch for {arrays} that is opened first.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A small module and a battery switch
profile: us-boat
body: plastic
conditions: {coldest: -10 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: anl, rating: 35 A}
  Q1: {kind: switch, rating: 100 A, voltage: 32 V}
  PV1: {kind: pv-array, pmax: 100 W, vmp: 18 V, imp: 5.5 A, voc: 22 V, isc: 6 A, frame: none}
  SC1: {kind: charge-controller, max-input: 50 V, method: pwm, output: 10 A, battery-first: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [PV1, SC1], length: 2 m, wire: 8 AWG, sunlight-resistant: true}
  - {id: W2, path: [SC1, Q1, F1, B1], lengths: [0.3 m, 0.3 m, 100 mm], wire: 6 AWG}
  - {id: W3, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 6 AWG}
""",
        passing="battery-first: false",
        failing="battery-first: true",
        finds=("SC1", "Q1"),
    ),
)
