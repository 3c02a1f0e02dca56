"""The sun can't be switched off, so the array needs a switch that breaks a live DC circuit.

The plugs between modules are not made for it: pulled under load they draw an arc that does not go out. Before
anybody works at the controller, one reachable handle must make its input dead.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.devices import Switch
from rigline.study.array_inputs import ArrayInput, array_inputs
from rigline.study.causes import exceeds
from rigline.study.demand import IRRADIANCE_FACTOR
from rigline.study.study import Study

SLUG = "pv-disconnect"
HARMLESS_V, HARMLESS_A = 30.0, 15.0
"""Up to both of these a plug may be pulled by hand. Common practice for portable modules."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each controller whose arrays nothing can cut off, or only a switch that is out of reach."""
    for one in array_inputs(study):
        if all(array.disconnect for array in one.every_array) or _is_harmless(one):
            continue
        switches = [study.system.components[id] for id in one.cut_off_by]
        hidden = [c.id for c in switches if isinstance(c, Switch) and c.accessible is False]
        at = (one.controller.id, *(array.id for array in one.every_array))
        volts = max((string.cold_v or 0.0 for string in one.strings), default=0.0)
        words = {"arrays": ", ".join(at[1:]), "volts": f"of {volts:.3g} V in the cold " if volts else ""}
        if not switches and not _each_has_one(one):
            yield Hit(at, words={**words, "what": "nothing that breaks a live circuit"})
        elif switches and len(hidden) == len(switches):
            what = f"only {', '.join(hidden)}, which can't be reached at once,"
            yield Hit((*at, *hidden), words={**words, "what": what})


def _is_harmless(one: ArrayInput) -> bool:
    volts, current = [string.cold_v for string in one.strings], one.isc_a
    if current is None or None in volts:
        return False
    low = all(not exceeds(v, HARMLESS_V) for v in volts if v is not None)
    return low and not exceeds(IRRADIANCE_FACTOR * current, HARMLESS_A)


def _each_has_one(one: ArrayInput) -> bool:
    """Whether every string has an array with a switch of its own."""
    return all(any(array.disconnect for array in one.arrays(string)) for string in one.strings)


CHECK = Check(
    slug=SLUG,
    title="solar array that nothing switches off",
    family="PV",
    severity=Severity.FAULT,
    limit="A load-break DC switch or breaker, within reach, between array and controller.",
    exceptions="Arrays up to 30 V in the cold and 15 A; an array with a switch of its own (`disconnect: true`).",
    sources=(
        Source("NEC 690.13 and 690.15", "from memory"),
        Source("30 V and 15 A for plugs pulled by hand", "common practice"),
    ),
    message="{arrays} {volts}reaches {at} with {what} between: plugs pulled under load draw an arc.",
    remedy="Fit a two-pole DC breaker or load-break switch between {arrays} and {at}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Two modules in series with a switch
profile: us-boat
body: plastic
conditions: {coldest: -10 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 200 Ah, short-circuit: 4 kA, charge-display: true}
  F1: {kind: fuse, style: anl, rating: 40 A}
  PV1: {kind: pv-array, series: 2, pmax: 160 W, vmp: 18 V, imp: 9 A, voc: 22 V, isc: 10 A, frame: none,
        disconnect: true}
  SC1: {kind: charge-controller, max-input: 100 V, output: 30 A, method: mppt}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [PV1, SC1], length: 2 m, wire: 8 AWG, sunlight-resistant: true}
  - {id: W2, path: [SC1, F1, B1], lengths: [0.5 m, 100 mm], wire: 6 AWG}
  - {id: W3, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 6 AWG}
""",
        passing="disconnect: true}",
        failing="disconnect: false}",
        finds=("SC1", "PV1"),
    ),
)
