"""Insulation has two limits: the voltage it keeps in and the heat it stands.

Vehicle wire made for 60 V on a solar string of 100 V works for years, until it lies in a wet clamp. Wire that is no
hotter rated than the space it crosses has nothing left for its own warmth.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.model.system import Run
from rigline.study.array_inputs import array_inputs
from rigline.study.causes import exceeds
from rigline.study.study import Study

SLUG = "cd-insulation-rating"
ANY_WIRE_V = 60.0
"""Up to this any insulated wire serves. Source: ISO 6722-1, vehicle wire of 60 V, from memory."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each power run whose insulation is made for less voltage or heat than it meets."""
    cold = {a.id: s.cold_v for one in array_inputs(study) for s in one.strings for a in one.arrays(s)}
    for run in study.system.runs:
        if run.medium not in ("dc", "ac"):
            continue
        around, rated = study.limits.circumstances(run), run.spec.insulation_voltage_v
        volts = _volts_v(study, run, cold)
        if rated is not None and volts is not None and exceeds(volts, rated):
            yield _hit(run, rated, volts, "V", "the voltage it may meet")
        elif around.insulation_c and around.ambient_c and around.insulation_c <= around.ambient_c:
            yield _hit(run, around.insulation_c, around.ambient_c, "°C", "the air round it")
        elif rated is None and run.medium == "dc" and volts is not None and exceeds(volts, ANY_WIRE_V):
            yield Missing((run.id,), f"insulation-voltage of {run.id}")


def _volts_v(study: Study, run: Run, cold: dict[str, float | None]) -> float | None:
    """Highest voltage between the conductors of a run: of an array in the cold, else the nominal one."""
    arrays = [volts for stop in run.stops if (volts := cold.get(stop.component)) is not None]
    hot = [c for segment in run.segments for c in segment.conductors if c.pole in ("+", "-", "L1", "L2")]
    legs = {c.pole for c in hot if c.pole in ("L1", "L2")}
    nominal = max((study.limits.volts_v(c) for c in hot), default=None)
    if arrays:
        return max(arrays)
    return None if nominal is None else nominal * max(len(legs), 1)


def _hit(run: Run, found: float, limit: float, unit: str, what: str) -> Hit:
    return Hit((run.id,), found, limit, unit, (run.id,), words={"what": what})


CHECK = Check(
    slug=SLUG,
    title="insulation made for less than it meets",
    family="conductor",
    severity=Severity.FAULT,
    limit="Rated for the highest voltage of its circuit (a string's in the cold) and for more than the air round it.",
    exceptions="Below 60 V any wire serves. AC runs that state no voltage rating count as mains cable.",
    sources=(Source("NEC 690.31 and 310.10", "from memory"), Source("ISO 6722-1, 60 V", "from memory")),
    message="The insulation of {at} is made for {found} {unit}, and {what} is {limit} {unit}.",
    remedy="Run {at} in wire whose insulation is made for more than {limit} {unit}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Modules in series for a 24 V bank
profile: us-boat
body: plastic
conditions: {coldest: -10 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 24 V, capacity: 200 Ah, short-circuit: 4 kA, charge-display: true}
  F1: {kind: fuse, style: anl, rating: 40 A}
  PV1: {kind: pv-array, series: 4, vmp: 18 V, voc: 22 V, isc: 10.2 A, frame: none, disconnect: true}
  SC1: {kind: charge-controller, max-input: 150 V, output: 30 A, method: mppt}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [PV1, SC1], length: 2 m, wire: 8 AWG, sunlight-resistant: true, insulation-voltage: 600 V}
  - {id: W2, path: [SC1, F1, B1], lengths: [0.5 m, 100 mm], wire: 6 AWG}
  - {id: W3, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 6 AWG}
""",
        passing="insulation-voltage: 600 V",
        failing="insulation-voltage: 60 V",
        finds=("W1",),
    ),
)
