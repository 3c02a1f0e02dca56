"""Strings in parallel share one voltage, and the shortest one sets it.

A string of three beside one of two is dragged down to two thirds of its voltage, and the shorter one may be driven
beyond its own. What looks like more power on the roof is less at the battery.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.study.array_inputs import array_inputs
from rigline.study.study import Study

SLUG = "pv-string-parallel-mismatch"
SPREAD_FRAC = 0.05
"""How far the voltages of parallel strings may lie apart. Common practice."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each controller whose strings differ in voltage by more than five per cent."""
    for one in array_inputs(study):
        if len(one.strings) < 2:
            continue
        unknown = [string for string in one.strings if string.mild_v is None]
        if unknown:
            yield Missing((one.controller.id,), f"vmp or voc of {', '.join(unknown[0].arrays)}")
            continue
        ordered = sorted(one.strings, key=lambda string: (string.mild_v or 0.0, string.arrays))
        low, high = ordered[0], ordered[-1]
        if low.mild_v and high.mild_v and high.mild_v > low.mild_v * (1 + SPREAD_FRAC):
            words = {"low": ", ".join(low.arrays), "high": ", ".join(high.arrays)}
            at = (one.controller.id, *low.arrays, *high.arrays)
            yield Hit(at, low.mild_v, high.mild_v, "V", words=words)


CHECK = Check(
    slug=SLUG,
    title="unlike solar strings in parallel",
    family="PV",
    severity=Severity.FAULT,
    limit="Strings on one input give the same voltage at greatest power within 5 %: alike modules, as many in series.",
    exceptions="Strings with controllers of their own.",
    sources=(
        Source("IEC 62548", "from memory"),
        Source("5 % between parallel strings", "common practice"),
    ),
    message="At {at}, {low} works at {found} V and {high} at {limit} V: in parallel one of them gives almost nothing.",
    remedy="Give {high} a controller of its own, or put as many modules in series in each string of {at}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Two strings alike on one controller
profile: us-boat
body: plastic
conditions: {coldest: -10 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 200 Ah, short-circuit: 4 kA, charge-display: true}
  F1: {kind: fuse, style: anl, rating: 40 A}
  PV1: {kind: pv-array, series: 2, vmp: 18 V, imp: 5.6 A, voc: 22 V, isc: 6 A, max-series-fuse: 15 A,
        frame: none, disconnect: true}
  PV2: {kind: pv-array, series: 2, vmp: 18 V, imp: 5.6 A, voc: 22 V, isc: 6 A, max-series-fuse: 15 A,
        frame: none, disconnect: true, note: aft}
  SC1: {kind: charge-controller, max-input: 100 V, output: 30 A, method: mppt, max-array-current: 20 A}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [PV1, SC1], length: 2 m, wire: 8 AWG, sunlight-resistant: true}
  - {id: W2, path: [PV2, SC1], length: 2 m, wire: 8 AWG, sunlight-resistant: true}
  - {id: W3, path: [SC1, F1, B1], lengths: [0.5 m, 100 mm], wire: 6 AWG}
  - {id: W4, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 6 AWG}
""",
        passing="PV2: {kind: pv-array, series: 2,",
        failing="PV2: {kind: pv-array, series: 3,",
        finds=("SC1", "PV1", "PV2"),
    ),
)
