"""A neutral has no fuse of its own, so nothing notices when it carries too much.

Between two legs that swing against each other it carries their difference. Where circuits of one leg share it, or
both legs are in step, their currents add up in it while every breaker stays content.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.model.system import HOT_LEGS, NEUTRAL, Conductor
from rigline.standards.ampacity import Ampacity
from rigline.study.causes import exceeds
from rigline.study.currents import Case
from rigline.study.study import Study

SLUG = "ac-neutral-overload"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each run whose neutral carries more than it may while its hot conductors carry no more than they may."""
    for run in study.system.runs:
        if run.medium != "ac":
            continue
        found = [one for s in run.segments if (one := _worst(study, s.conductors)) is not None]
        missing = next((one for one in found if isinstance(one, Missing)), None)
        hits = [one for one in found if isinstance(one, Hit)]
        if hits:
            yield max(hits, key=lambda hit: hit.found or 0.0)
        elif missing is not None:
            yield missing


def _worst(study: Study, conductors: tuple[Conductor, ...]) -> Hit | Missing | None:
    neutral = next((c for c in conductors if c.pole == NEUTRAL), None)
    case = max(
        (case for case in study.cases if case.kind == "ac"),
        key=lambda case: abs(case.amps.get(neutral.id, 0.0)) if neutral else 0.0,
        default=None,
    )
    if neutral is None or case is None or not case.amps.get(neutral.id):
        return None
    amps, limit = abs(case.amps[neutral.id]), _carries_a(study, neutral)
    if limit is None:
        return Missing((neutral.run,), f"wire of the neutral of {neutral.run}")
    if not exceeds(amps, limit) or _hot_exceeds(study, case, conductors):
        return None
    words = {"wire": str(study.wiring.size(neutral)), "source": case.source or "its source"}
    return Hit((neutral.run,), amps, limit, "A", (neutral.run,), neutral.segment, words=words)


def _carries_a(study: Study, conductor: Conductor) -> float | None:
    size = study.wiring.size(conductor)
    found = None if size is None else study.limits.ampacity_of(study.run_of(conductor), conductor, size)
    return found.value_a if isinstance(found, Ampacity) else None


def _hot_exceeds(study: Study, case: Case, conductors: tuple[Conductor, ...]) -> bool:
    """Whether a hot conductor beside it is overloaded too, which is cd-undersized."""
    hot = [c for c in conductors if c.pole in HOT_LEGS]
    return any((limit := _carries_a(study, c)) and exceeds(abs(case.amps.get(c.id, 0.0)), limit) for c in hot)


CHECK = Check(
    slug=SLUG,
    title="neutral that carries more than it may",
    family="AC",
    severity=Severity.DANGER,
    limit="In every position of the switches the neutral carries at most its ampacity.",
    exceptions="Where the hot conductors are overloaded as well: cd-undersized.",
    sources=(Source("NEC 710.15(C)", "verified"), Source("Kirchhoff's law of currents", "common practice")),
    message="The neutral of {at} ({wire}) carries {found} A on {source}, but may carry {limit} A, and has no breaker.",
    remedy="Give each circuit of {at} a neutral of its own, or run a neutral for {found} A or more.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Cabin with a generator of two legs
profile: us-cabin
body: wood
defaults: {insulation: 75 °C}
components:
  GEN1: {kind: generator, power: 5 kW, voltage: 120/240 V, neutral-bond: none, internal-breaker: 20 A, in-phase: false}
  ACP1: {kind: ac-panel, rating: 60 A, neutral-rating: 100 A, neutral-bond: fixed}
  QA: {kind: breaker, rating: 20 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  HT1: {kind: ac-load, name: Heater, power: 1800 W, legs: L1, continuous: false}
  QB: {kind: breaker, rating: 20 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  HT2: {kind: ac-load, name: Kettle, power: 1800 W, legs: L2, continuous: false}
  ER1: {kind: earth-electrode, type: rod, count: 2}
runs:
  - {id: W1, path: [GEN1, ACP1], length: 2 m, wire: 12 AWG}
  - {id: W2, path: [ACP1, QA, HT1], lengths: [100 mm, 3 m], cores: [L1, N, PE], wire: 12 AWG}
  - {id: W3, path: [ACP1, QB, HT2], lengths: [100 mm, 3 m], cores: [L2, N, PE], wire: 12 AWG}
  - {id: W4, path: [ACP1, ER1], length: 1 m, carries: earth, wire: 6 AWG}
  - {id: W5, path: [GEN1.case, ER1], length: 1 m, carries: earth, wire: 6 AWG}
""",
        passing="in-phase: false",
        failing="in-phase: true",
        finds=("W1",),
    ),
)
