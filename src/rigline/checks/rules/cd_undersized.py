"""A wire that carries more than it can shed as heat cooks its own insulation.

The copper doesn't mind, but the plastic around it softens, cracks and at last burns, and a bundle of wires goes
together. A fuse does not help while the load itself is the current.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.unsound import currents_missing, unstated
from rigline.findings import Severity
from rigline.standards.ampacity import Ampacity, NoAmpacity
from rigline.study.causes import exceeds
from rigline.study.study import ConductorStudy, Study

SLUG = "cd-undersized"
CODE_PROFILES = ("us-rv", "us-cabin")
"""Rule sets that want 125 % of what lasts three hours before any correction. Source: NEC 210.19(A) and 215.2."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """The worst conductor of each run that carries more than it may."""
    if study.unsound:
        yield from currents_missing(study)
        return
    yield from unstated(study)
    worst: dict[str, Hit] = {}
    for one in study.conductors.values():
        said = _judge(study, one)
        if isinstance(said, Missing):
            yield said
        elif said is not None:
            run = one.conductor.run
            if run not in worst or (said.found or 0.0) > (worst[run].found or 0.0):
                worst[run] = said
    yield from worst.values()


def _judge(study: Study, one: ConductorStudy) -> Hit | Missing | None:
    run = one.conductor.run
    if one.size is None:
        return Missing((run,), f"wire of {run}") if one.current_a > 0 else None
    if isinstance(one.ampacity, NoAmpacity):
        return Missing((run,), one.ampacity.reason) if one.current_a > 0 else None
    if not isinstance(one.ampacity, Ampacity):
        return None
    if exceeds(one.current_a, one.ampacity.value_a):
        return _hit(one, one.current_a, one.ampacity.value_a, "where it lies")
    # NEC 210.19(A): the 125 % is compared with the table before correction, but no further than the terminals bear.
    caps = [step.cap_a for step in one.ampacity.steps if step.cap_a is not None]
    uncorrected = min([one.ampacity.base_a, *caps]) * study.run_of(one.conductor).spec.conductors
    uncorrected = max(uncorrected, one.ampacity.value_a)
    if study.profile.name in CODE_PROFILES and exceeds(one.needed_a, uncorrected):
        return _hit(one, one.needed_a, uncorrected, "before any correction, counting a quarter more on what lasts")
    return None


def _hit(one: ConductorStudy, found_a: float, limit_a: float, where: str) -> Hit:
    words = {"wire": str(one.size), "where": where}
    return Hit((one.conductor.run,), found_a, limit_a, "A", (one.conductor.run,), one.conductor.segment, words=words)


CHECK = Check(
    slug=SLUG,
    title="wire too thin for its current",
    family="conductor",
    severity=Severity.DANGER,
    limit=(
        "The design current is at most the ampacity after insulation, ambient, bundle and engine space. RVs and US "
        "cabins "
        "also: 125 % of what lasts three hours is at most the ampacity before corrections."
    ),
    exceptions="Cables that only crank an engine.",
    sources=(
        Source("33 CFR 183.425(b) and Table 5", "verified"),
        Source("NEC 310.16, 210.19(A), 215.2", "from memory"),
    ),
    message=(
        "{at}: {segment} ({wire}) has to carry {found} A but may carry only {limit} A {where}: it overheats in use."
    ),
    remedy="Run {at} in a thicker wire that may carry {found} A.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A heavy winch
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah, short-circuit: 1.5 kA}
  F1: {kind: fuse, style: terminal, rating: 125 A}
  M1: {kind: motor, name: Winch, current: 122 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, M1], lengths: [100 mm, 1 m], wire: 4 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, wire: 2 AWG}
""",
        passing="wire: 4 AWG",
        failing="wire: 6 AWG",
        finds=("W1",),
    ),
)
