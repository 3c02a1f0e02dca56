"""In a series string the weakest module sets the current for all.

A small module in line with a large one holds the large one down to its own current, and in bright sun it works
backwards and grows hot.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.sources import PvArray
from rigline.study.array_inputs import array_inputs
from rigline.study.study import Study

SLUG = "pv-series-current-mismatch"
SPREAD_FRAC = 0.05
"""How far the currents of modules in series may lie apart. Common practice."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each string of several arrays whose currents at greatest power differ by more than five per cent."""
    for one in array_inputs(study):
        for string in one.strings:
            arrays = one.arrays(string)
            if len(arrays) < 2:
                continue
            amps = _amps(arrays)
            if amps is None:
                unknown = tuple(array.id for array in arrays if array.imp_a is None)
                yield Missing(unknown, f"imp of {', '.join(unknown)}")
                continue
            ordered = sorted(amps, key=lambda id: (amps[id], id))
            low, high = ordered[0], ordered[-1]
            if amps[high] > amps[low] * (1 + SPREAD_FRAC):
                yield Hit((low, high), amps[low], amps[high], "A", words={"high": high}, field="imp")


def _amps(arrays: Sequence[PvArray]) -> dict[str, float] | None:
    """Current of each at greatest power, or of each when shorted: an imp compares with no isc, which is larger."""
    for known in ([array.imp_a for array in arrays], [array.isc_a for array in arrays]):
        amps = {
            array.id: one * array.parallel for array, one in zip(arrays, known, strict=True) if one is not None
        }  # fmt: skip
        if len(amps) == len(arrays):
            return amps
    return None


CHECK = Check(
    slug=SLUG,
    title="unlike modules in series",
    family="PV",
    severity=Severity.ADVICE,
    limit="Currents at greatest power of modules in series lie within 5 %.",
    exceptions="Modules with an optimiser each.",
    sources=(
        Source("installation manuals of modules: no mixed electrical characteristics in series", "verified"),
        Source("5 % between modules in series", "common practice"),
    ),
    message="{at} gives {found} A and {high} {limit} A: in series both are held to {found} A.",
    remedy="Wire {at} and {high} in parallel if their voltages agree, or give each a controller.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Two arrays in series
profile: us-boat
body: plastic
conditions: {coldest: -10 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 200 Ah, short-circuit: 4 kA, charge-display: true}
  F1: {kind: fuse, style: anl, rating: 40 A}
  PV1: {kind: pv-array, pmax: 170 W, vmp: 18 V, imp: 9.5 A, voc: 22 V, isc: 10 A, frame: none, disconnect: true}
  PV2: {kind: pv-array, pmax: 170 W, vmp: 18 V, imp: 9.4 A, voc: 22 V, isc: 10 A, frame: none}
  SC1: {kind: charge-controller, max-input: 100 V, output: 30 A, method: mppt, max-array-current: 20 A}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [PV1+, SC1.pv+], length: 2 m, wire: 8 AWG, sunlight-resistant: true}
  - {id: W2, path: [PV1-, PV2+], length: 1 m, wire: 8 AWG, sunlight-resistant: true}
  - {id: W3, path: [PV2-, SC1.pv-], length: 2 m, wire: 8 AWG, sunlight-resistant: true}
  - {id: W4, path: [SC1, F1, B1], lengths: [0.5 m, 100 mm], wire: 6 AWG}
  - {id: W5, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 6 AWG}
""",
        passing="imp: 9.4 A",
        failing="imp: 5.6 A",
        finds=("PV2", "PV1"),
    ),
)
