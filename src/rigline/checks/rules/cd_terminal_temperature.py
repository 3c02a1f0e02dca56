"""Good insulation on the wire does not cool the breaker it ends in.

A cable that may run at 105 °C brings that heat into a terminal made for 60 or 75 °C. The terminal ages, loosens and
heats up more. So the lower of the two temperatures decides what the wire may carry.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.study.study import Study
from rigline.study.surroundings import circumstances, shortfall

SLUG = "cd-terminal-temperature"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each run that counts on hotter terminals than those of a component at one of its ends."""
    said: set[str] = set()
    for one in study.conductors.values():
        run, around = one.conductor.run, circumstances(study, one)
        for end in (one.conductor.a, one.conductor.b):
            marked = study.system.components[end.component].terminals_c
            if marked is None or run in said or (around.terminals_c is not None and around.terminals_c <= marked):
                continue
            short = shortfall(study, one, replace(around, terminals_c=marked))
            if short is not None:
                said.add(run)
                words = {
                    "part": end.component, "marked": f"{marked:g}", "wire": str(one.size),
                    "what": "it stands behind" if short.by_device else "it carries",
                    "may": "it may have at most" if short.by_device else "it may carry only",
                }  # fmt: skip
                at = (run, end.component)
                yield Hit(at, short.amps_a, short.limit_a, "A", (run,), one.conductor.segment, words=words)


CHECK = Check(
    slug=SLUG,
    title="wire hotter than the terminal it ends in",
    family="conductor",
    severity=Severity.FAULT,
    limit="The ampacity at the temperature that the terminals are marked for, if that is below the insulation's.",
    exceptions="Boats, whose tables count on devices made for 105 °C cable.",
    sources=(Source("NEC 110.14(C)", "from memory"),),
    message=(
        "{at} ({wire}) ends in {part}, whose terminals are made for {marked} °C: {what} {found} A, and there {may} "
        "{limit} A."
    ),
    remedy="Run {at} in a thicker wire, or protect it with {limit} A or less.",
    find=find,
    profiles=("us-rv", "us-cabin", "eu-caravan", "iec-cabin"),
    example=Example(
        spec="""\
rigline: 1
title: Cabin with a heater on hot terminals
profile: us-cabin
body: wood
defaults: {insulation: 90 °C, terminals: 75 °C}
components:
  GEN1: {kind: generator, power: 5 kW, voltage: 120 V, neutral-bond: none, internal-breaker: 50 A}
  ACP1: {kind: ac-panel, rating: 60 A, neutral-bond: fixed}
  QA: {kind: breaker, rating: 50 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  HT1: {kind: ac-load, name: Kiln, power: 4.6 kW, continuous: false, terminals: 75 °C}
  ER1: {kind: earth-electrode, type: rod, count: 2}
runs:
  - {id: W1, path: [GEN1, ACP1], length: 2 m, wire: 4 AWG}
  - {id: W2, path: [ACP1, QA, HT1], lengths: [100 mm, 1 m], wire: 8 AWG}
  - {id: W3, path: [ACP1, ER1], length: 1 m, carries: earth, wire: 6 AWG}
  - {id: W4, path: [GEN1.case, ER1], length: 1 m, carries: earth, wire: 6 AWG}
""",
        passing="false, terminals: 75 °C",
        failing="false, terminals: 60 °C",
        finds=("W2", "HT1"),
    ),
)
