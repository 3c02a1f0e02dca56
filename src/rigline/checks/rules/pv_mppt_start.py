"""A tracking controller only starts when its array stands well above the battery.

Hot modules lose voltage, and a full battery stands higher than its name says. A string that is too short charges on
cool mornings and falls asleep at noon, or never starts at all.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.converters import ChargeController
from rigline.model.system import Node
from rigline.study.causes import exceeds
from rigline.study.solar import string_on
from rigline.study.study import Study

SLUG = "pv-mppt-start"
START_V, RUN_V = 5.0, 1.0
"""How far above the battery an array must stand for tracking to start on a cool morning, and to go on in the heat of
the day. Common practice of makers' documents."""
BLOCK_V, FULL_BLOCK_V = 12.5, 14.6
"""Nominal and charging voltage of one 12 V block, lead or lithium. Common practice."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each tracking controller whose string is too low on a hot day for its full battery."""
    for id, component in sorted(study.system.components.items()):
        if not isinstance(component, ChargeController) or component.method == "pwm":
            continue
        volts = study.limits.node_volts_v(Node(id, "battery", "+")) or component.battery_voltage_v
        for string in string_on(study.graph, id):
            if string.hot_v is None or string.mild_v is None or not volts:
                missing = "voltage of the battery" if string.hot_v is not None else f"vmp of {', '.join(string.arrays)}"
                yield Missing((id,), missing)
                continue
            full = max(round(volts / BLOCK_V), 1) * FULL_BLOCK_V
            words = {"strings": ", ".join(string.arrays), "battery": f"{volts:g}"}
            if exceeds(full + RUN_V, string.hot_v):
                words |= {"when": "on a hot day", "what": "go on charging"}
                yield Hit((id, *string.arrays), string.hot_v, full + RUN_V, "V", words=words)
            elif exceeds(full + START_V, string.mild_v):
                words |= {"when": "on a cool morning", "what": "start charging"}
                yield Hit((id, *string.arrays), string.mild_v, full + START_V, "V", words=words)


CHECK = Check(
    slug=SLUG,
    title="solar string too low for its battery",
    family="PV",
    severity=Severity.FAULT,
    limit=(
        "The string's voltage at greatest power is at least the charging voltage plus 1 V with cells at 70 °C, and "
        "plus 5 V "
        "at 25 °C, to start."
    ),
    exceptions="Controllers that switch and don't track (`method: pwm`); controllers that raise the voltage.",
    sources=(Source("1 V above the battery to run, 5 V to start, cells at 70 °C", "common practice"),),
    message="{at}: {strings} gives only {found} V {when}; to {what} a {battery} V battery it needs {limit} V.",
    remedy="Put more modules of {strings} in series, within the controller's largest input.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Modules in series for a 12 V bank
profile: us-boat
body: plastic
conditions: {coldest: -10 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A, max-charge: 20 A}
  F1: {kind: fuse, style: blade, rating: 30 A}
  PV1: {kind: pv-array, series: 2, vmp: 18 V, voc: 22 V, isc: 10.2 A, frame: none, disconnect: true}
  SC1: {kind: charge-controller, max-input: 100 V, output: 20 A, method: mppt}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [PV1, SC1], length: 3 m, wire: 10 AWG, insulation-voltage: 600 V, sunlight-resistant: true}
  - {id: W2, path: [SC1, F1, B1], lengths: [0.5 m, 100 mm], wire: 10 AWG}
  - {id: W3, path: [B1-, GND], length: 0.5 m, wire: 8 AWG}
""",
        passing="series: 2",
        failing="series: 1",
        finds=("SC1", "PV1"),
    ),
)
