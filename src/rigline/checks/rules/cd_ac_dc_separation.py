"""Mains and low voltage in one loom are one chafed spot away from mains on a lamp's switch.

Insulation made for 12 V does not hold back 230 V. Wires of both lie apart, with a barrier between, or all of them are
made for the higher voltage where the rules accept that.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.model.system import HOT_LEGS, Run
from rigline.study.causes import exceeds
from rigline.study.study import Study

SLUG = "cd-ac-dc-separation"
APART = frozenset({"us-rv", "eu-caravan"})
"""Where better insulation is no excuse. Source: NEC 552.10; EN 1648 and IEC 60364-7-721 (from memory)."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each DC run that shares a loom with AC runs and is not insulated for their voltage."""
    looms: dict[str, list[Run]] = {}
    for run in study.system.runs:
        if run.spec.loom and run.medium in ("dc", "ac"):
            looms.setdefault(run.spec.loom, []).append(run)
    for loom, runs in sorted(looms.items()):
        mains = [run for run in runs if run.medium == "ac"]
        volts = max((_volts_v(study, run) for run in mains), default=0.0)
        for run in runs if mains else []:
            if run.medium == "dc":
                yield from _judge(study, run, loom, mains[0].id, volts)


def _judge(study: Study, run: Run, loom: str, other: str, volts: float) -> Iterator[Hit | Missing]:
    rated, strict = run.spec.insulation_voltage_v, study.system.profile_name in APART
    if rated is None and not strict:
        yield Missing((run.id,), f"insulation-voltage of {run.id}")
    elif strict or (rated is not None and exceeds(volts, rated)):
        how = "" if strict or rated is None else f", and its insulation is made for {rated:g} V"
        yield Hit((run.id, other), runs=(run.id,), words={"loom": loom, "other": other, "how": how})


def _volts_v(study: Study, run: Run) -> float:
    legs = {c.pole: study.limits.volts_v(c) for s in run.segments for c in s.conductors if c.pole in HOT_LEGS}
    return sum(legs.values())


CHECK = Check(
    slug=SLUG,
    title="AC and DC in one loom",
    family="conductor",
    severity=Severity.FAULT,
    limit="AC and DC runs share no loom or conduit: 13 mm apart or a barrier in RVs.",
    exceptions="Boats and cabins, where every wire in it is insulated for the highest voltage.",
    sources=(
        Source("ISO 10133; NEC 552.10, half an inch or a barrier", "verified"),
        Source("NEC 300.3(C)(1); IEC 60364-7-721", "from memory"),
    ),
    message="{at} lies in loom {loom} together with {other}, which carries mains voltage{how}.",
    remedy="Take {at} out of loom {loom} and lay it apart from {other}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Camper with mains and twelve volts
profile: us-rv
body: metal
defaults: {insulation: 105 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 10 A}
  M1: {kind: motor, name: Pump, current: 5 A, continuous: false}
  GEN1: {kind: generator, power: 3 kW, voltage: 120 V, neutral-bond: fixed, internal-breaker: 25 A}
  HT1: {kind: ac-load, name: Heater, power: 1200 W, continuous: false}
  FR1: {kind: chassis, type: frame}
runs:
  - {id: W1, path: [B1, F1, M1], lengths: [100 mm, 2 m], wire: 12 AWG, loom: left}
  - {id: W2, path: [GEN1, HT1], length: 2 m, wire: 10 AWG, loom: right}
  - {id: W3, path: [B1-, FR1], length: 0.5 m, carries: bond, wire: 8 AWG}
  - {id: W4, path: [GEN1.case, FR1], length: 1 m, carries: earth, wire: 8 AWG}
""",
        passing="loom: right",
        failing="loom: left",
        finds=("W1", "W2"),
    ),
)
