"""A switching controller ties the module straight to the battery and drags it down to the battery's voltage.

What the module could give above that is lost. A large house module on a 12 V battery works at less than half its
power, and only a tracking controller gets the rest.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.study.array_inputs import array_inputs
from rigline.study.causes import exceeds
from rigline.study.study import Study

SLUG = "pv-pwm-voltage"
MOST_FRAC = 1.6
"""Voltage at greatest power over nominal battery voltage: 19 V for 12 V. Common practice."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each switching controller whose string works far above the battery's voltage."""
    for one in array_inputs(study):
        controller, battery = one.controller, one.battery_v
        volts = max((string.mild_v or 0.0 for string in one.strings), default=0.0)
        if controller.method == "mppt" or not volts or not battery or not exceeds(volts, MOST_FRAC * battery):
            continue
        if controller.method is None:
            yield Missing((controller.id,), f"method of {controller.id} (mppt or pwm)")
        else:
            arrays = tuple(array.id for array in one.every_array)
            words = {"arrays": ", ".join(arrays), "lost": f"{1 - battery / volts:.0%}", "battery": f"{battery:g}"}
            at = (controller.id, *arrays)
            yield Hit(at, volts, MOST_FRAC * battery, "V", words=words, field="method")


CHECK = Check(
    slug=SLUG,
    title="switching controller on a module of much higher voltage",
    family="PV",
    severity=Severity.ADVICE,
    limit="Voltage at greatest power up to 1.6 times the battery's: 17 to 19 V for 12 V.",
    exceptions="Tracking controllers (`method: mppt`).",
    sources=(Source("17 to 19 V modules for 12 V batteries", "common practice"),),
    message=(
        "{arrays} works best at {found} V, and {at} drags it down to the {battery} V battery ({limit} V is the most "
        "that makes sense): about {lost} is lost."
    ),
    remedy="Fit a tracking controller (mppt) in place of {at}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A module of 36 cells on a switching controller
profile: us-boat
body: plastic
conditions: {coldest: -10 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 200 Ah, short-circuit: 4 kA, charge-display: true}
  F1: {kind: fuse, style: anl, rating: 40 A}
  PV1: {kind: pv-array, pmax: 160 W, vmp: 18 V, imp: 9 A, voc: 40 V, isc: 10 A, frame: none, disconnect: true}
  SC1: {kind: charge-controller, max-input: 60 V, method: pwm, output: 20 A}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [PV1, SC1], length: 2 m, wire: 8 AWG, sunlight-resistant: true}
  - {id: W2, path: [SC1, F1, B1], lengths: [0.5 m, 100 mm], wire: 6 AWG}
  - {id: W3, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 6 AWG}
""",
        passing="vmp: 18 V",
        failing="vmp: 31 V",
        finds=("SC1", "PV1"),
    ),
)
