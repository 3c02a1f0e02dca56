"""A starter's cable may carry far more than its ampacity, because it does so for seconds. It may not carry anything.

What the copper takes up in those seconds has no time to leave it: half the size, and it is four times as hot. A thin
cable chars within one long attempt to start, and no fuse is there to end it.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import sqrt

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.study.causes import exceeds
from rigline.study.study import ConductorStudy, Study

SLUG = "cd-cranking-cable"
CRANKING_S = 30.0
"""The longest attempt to start that makers of starters allow before a rest. Common practice."""
HEAT_A_SQRT_S_PER_MM2 = {"copper": 115.0, "aluminium": 76.0, "copper-clad": 76.0}
"""Current times the square root of time, per area, that brings PVC insulation from 70 °C to 160 °C, where it chars.
Source: IEC 60364-4-43 Table 43A, from memory; copper-clad aluminium is taken as aluminium, our own choice."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """The worst conductor of each run that would char while the engine is cranked."""
    worst: dict[str, Hit] = {}
    for one in () if study.unsound else study.conductors.values():
        cranked = (abs(case.amps.get(one.conductor.id, 0.0)) for case in study.cases if case.kind == "crank")
        amps = max(cranked, default=0.0)
        if one.size is not None and exceeds(amps, limit_a := _limit_a(study, one)):
            run, words = one.conductor.run, {"wire": str(one.size), "time": f"{CRANKING_S:g} s"}
            if run not in worst or amps - limit_a > (worst[run].found or 0.0) - (worst[run].limit or 0.0):
                worst[run] = Hit((run,), amps, limit_a, "A", (run,), one.conductor.segment, words=words)
    yield from worst.values()


def _limit_a(study: Study, one: ConductorStudy) -> float:
    """What a conductor may carry for as long as an engine is cranked, all its parallel wires together."""
    assert one.size is not None
    run = study.run_of(one.conductor)
    heat = HEAT_A_SQRT_S_PER_MM2[run.spec.material or study.system.defaults.material or "copper"]
    return heat * one.size.area_mm2 * run.spec.conductors / sqrt(CRANKING_S)


CHECK = Check(
    slug=SLUG,
    title="starter cable that chars while cranking",
    family="conductor",
    severity=Severity.DANGER,
    limit=(
        "The cranking current is at most k x area / square root of 30 s, with k = 115 for copper and 76 for aluminium: "
        "what heats PVC from 70 °C to 160 °C."
    ),
    exceptions="none",
    sources=(
        Source("IEC 60364-4-43 434.5.2 and Table 43A", "from memory"),
        Source("30 s of cranking: common practice", "common practice"),
    ),
    message=(
        "{at}: {segment} ({wire}) carries {found} A while the engine is cranked; above {limit} A its insulation chars "
        "within {time}."
    ),
    remedy="Run {at} in a thicker wire; the loss of voltage usually asks for more than this limit.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A starter
profile: us-boat
body: plastic
components:
  B1: {kind: battery, name: Starting battery, chemistry: agm, voltage: 12 V, capacity: 80 Ah, short-circuit: 2 kA}
  Q1: {kind: switch, rating: 200 A, voltage: 32 V, cranking: 800 A}
  M1: {kind: motor, name: Starter, cranking: true, current: 150 A, start: 180 A}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, Q1, M1], lengths: [0.5 m, 1 m], wire: 2 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, wire: 2 AWG}
""",
        passing="1 m], wire: 2 AWG",
        failing="1 m], wire: 10 AWG",
        finds=("W1",),
    ),
)
