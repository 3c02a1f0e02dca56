"""In a circuit of one phase the neutral carries the same current as the live wire.

A thinner neutral runs hotter than the wire that the breaker was chosen for, and the breaker never knows.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.model.system import HOT_LEGS, NEUTRAL, Run
from rigline.standards.wire import CMIL_COMPARISON_FRAC, WireSize
from rigline.study.study import Study

SLUG = "cd-neutral-smaller"
LARGE_A = 200.0
"""From here the neutral of a balanced three-wire feeder may be smaller. Source: NEC 220.61, from memory."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each AC run whose neutral is thinner than its thickest leg."""
    for run in study.system.runs:
        if run.medium != "ac":
            continue
        neutral, hot = _thinnest(study, run), _thickest(study, run)
        known = [study.conductors.get(c.id) for segment in run.segments for c in segment.conductors]
        large = any(one.needed_a >= LARGE_A for one in known if one is not None)
        if neutral and hot and not large and neutral.area_mm2 < hot.area_mm2 * (1 - CMIL_COMPARISON_FRAC):
            words = {"neutral": str(neutral), "hot": str(hot)}
            yield Hit((run.id,), neutral.area_mm2, hot.area_mm2, "mm²", (run.id,), words=words)


def _thinnest(study: Study, run: Run) -> WireSize | None:
    return min(_sizes(study, run, (NEUTRAL,)), key=lambda size: size.area_mm2, default=None)


def _thickest(study: Study, run: Run) -> WireSize | None:
    return max(_sizes(study, run, HOT_LEGS), key=lambda size: size.area_mm2, default=None)


def _sizes(study: Study, run: Run, poles: tuple[str, ...]) -> list[WireSize]:
    conductors = [c for segment in run.segments for c in segment.conductors if c.pole in poles]
    return [size for c in conductors if (size := study.wiring.size(c)) is not None]


CHECK = Check(
    slug=SLUG,
    title="neutral thinner than its live wire",
    family="conductor",
    severity=Severity.DANGER,
    limit="The neutral is as thick as the thickest leg of its run.",
    exceptions="Balanced three-wire feeders of 200 A or more.",
    sources=(Source("NEC 220.61", "from memory"),),
    message="The neutral of {at} is {neutral}, its live wire {hot}: both carry the same, and the thin one overheats.",
    remedy="Run the neutral of {at} in {hot} too.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Cabin with a heater
profile: us-cabin
body: wood
defaults: {insulation: 75 °C}
components:
  GEN1: {kind: generator, power: 3 kW, voltage: 120 V, neutral-bond: none, internal-breaker: 25 A}
  ACP1: {kind: ac-panel, rating: 60 A, neutral-bond: fixed}
  QA: {kind: breaker, rating: 20 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  HT1: {kind: ac-load, name: Heater, power: 1200 W, continuous: false}
  ER1: {kind: earth-electrode, type: rod, count: 2}
runs:
  - {id: W1, path: [GEN1, ACP1], length: 2 m, wire: 10 AWG}
  - {id: W2, path: [ACP1, QA, HT1], lengths: [100 mm, 3 m], wire: 10 AWG, neutral-wire: 10 AWG}
  - {id: W3, path: [ACP1, ER1], length: 1 m, carries: earth, wire: 6 AWG}
  - {id: W4, path: [GEN1.case, ER1], length: 1 m, carries: earth, wire: 6 AWG}
""",
        passing="neutral-wire: 10 AWG",
        failing="neutral-wire: 12 AWG",
        finds=("W2",),
    ),
)
