"""The frames of solar modules are metal beside live wires, out in the weather, within reach.

A module wire that chafes makes frames, rails and roof live. Nothing shows it until somebody on a ladder touches the
frame and something earthed. One earth wire from the frames keeps both at the same voltage.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.sources import PvArray
from rigline.study.grounding import CABINS
from rigline.study.solar import STANDARD_C, cold_v
from rigline.study.study import Study

SLUG = "gb-pv-frame"
TOUCH_V = 50.0
"""Open-circuit voltage above which unearthed frames are a danger. Source: NEC 690.43 with 250.112, from memory."""
ADVICE_BELOW_V = 60.0
"""Below this, on a roof that does not conduct, earthed frames are better practice. Source: common practice."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each array whose frames lead to no chassis, electrode, earth bus or DC return."""
    for id, array in sorted(study.system.components.items()):
        if not isinstance(array, PvArray) or array.frame in ("none", "plastic") or array.metal_case is False:
            continue
        if not study.grounding.is_earthed(id):
            volts = cold_open_v(array, study.system.conditions.coldest_c)
            yield Hit(
                at=(id,),
                severity=_severity(study, volts),
                words={
                    "volts": f" They stand beside up to {volts:.3g} V." if volts else "",
                    "earth": next(iter(_earths(study)), "GND"),
                    "taken": "" if array.frame else " (taken as metal, since `frame` is not given)",
                },
            )


def _earths(study: Study) -> tuple[str, ...]:
    """Where frames can be earthed, by id, the best first."""
    grounding = study.grounding
    return (*grounding.bodies, *grounding.earth_buses, *grounding.electrodes)


def cold_open_v(array: PvArray, coldest_c: float | None) -> float | None:
    """Open-circuit voltage of an array on the coldest morning; at 25 °C if that is not given; None if not known."""
    return cold_v(array, STANDARD_C if coldest_c is None else coldest_c)


def _severity(study: Study, volts: float | None) -> Severity:
    cabin = study.system.profile_name in CABINS
    insulating = study.system.head.body in ("plastic", "wood") and not cabin
    if insulating and volts is not None and volts < ADVICE_BELOW_V:
        return Severity.ADVICE
    return Severity.DANGER if cabin or (volts is not None and volts > TOUCH_V) else Severity.FAULT


CHECK = Check(
    slug=SLUG,
    title="solar frames without an earth wire",
    family="grounding & bonding",
    severity=Severity.FAULT,
    limit=(
        "All metal of the array is joined to the chassis, hull or earth. Danger on a building or above 50 V "
        "open-circuit in the cold, else a fault; advice below 60 V on a plastic or wooden roof of a vehicle or boat."
    ),
    exceptions="Modules without metal (`frame: none` or `plastic`).",
    sources=(
        Source("NEC 690.43", "verified"),
        Source("bonded to chassis or hull ground on vehicles and boats", "common practice"),
    ),
    message="No earth wire leads from the metal frames of {at}{taken}.{volts} A chafed wire would make them live.",
    remedy=(
        "Run an earth wire, 10 AWG (6 mm²), from the frames to {earth} (`path: [{id}.case, {earth}]`, "
        "`carries: earth`)."
    ),
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Trailer with a glued solar module
profile: us-rv
body: metal
conditions: {coldest: -10 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah, short-circuit: 1 kA, vented: true}
  F1: {kind: fuse, style: terminal, rating: 30 A}
  Q1: {kind: switch, rating: 100 A, voltage: 32 V}
  SC1: {kind: charge-controller, max-input: 50 V, output: 20 A, method: mppt, absorb: 14.4 V, float: 13.6 V}
  PV1: {kind: pv-array, pmax: 200 W, vmp: 27 V, imp: 7.4 A, voc: 32 V, isc: 7.9 A, frame: none, max-series-fuse: 15 A}
  QP: {kind: switch, rating: 20 A, voltage: 60 V, poles: 2}
  FR1: {kind: chassis, type: frame}
runs:
  - {id: W1, path: [B1, F1, Q1, SC1.battery], lengths: [100 mm, 300 mm, 1 m], wire: 10 AWG, insulation: 105 °C}
  - {id: W2, path: [PV1, QP, SC1.pv], lengths: [2 m, 1 m], wire: 12 AWG, insulation: 90 °C, sunlight-resistant: true}
  - {id: W3, path: [B1-, FR1], length: 0.5 m, carries: bond, wire: 8 AWG, insulation: 105 °C}
""",
        passing="frame: none",
        failing="frame: metal",
        finds=("PV1",),
    ),
)
