"""A fact that nobody knows is a question to answer before the first cut, not a detail.

Without the size of a wire nobody can say which fuse it may have, and without a length nobody knows the voltage at its
end. The rules that need such a fact say 'not assessed'; this one asks for it, once.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.model.system import Run
from rigline.study.study import Study

SLUG = "dg-missing-data"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each fact marked `unknown`, and each power run without a length."""
    for id, component in sorted(study.system.components.items()):
        for key in sorted(component.unknown):
            yield _hit(id, key, (), Severity.QUESTION)
    for run in study.system.runs:
        for key in sorted(run.spec.unknown - {"length", "lengths"}):
            yield _hit(run.id, key, (run.id,), Severity.QUESTION)
        if run.medium in ("dc", "ac") and _lacks_length(run):
            yield _hit(run.id, "length", (run.id,), Severity.ADVICE)


def _lacks_length(run: Run) -> bool:
    return any(segment.share_m is None for segment in run.segments)


def _hit(id: str, key: str, runs: tuple[str, ...], severity: Severity) -> Hit:
    return Hit((id,), runs=runs, severity=severity, words={"key": key}, field="" if runs else key)


CHECK = Check(
    slug=SLUG,
    title="fact that the rules need",
    family="documentation",
    severity=Severity.QUESTION,
    limit="Every size, rating and length that a rule needs is known.",
    exceptions="A wire or rating that is left out is chosen by `size`; only `unknown` asks.",
    sources=(Source("a rule without its facts can't be judged", "common practice"),),
    message="The {key} of {at} is not known, so what depends on it could not be assessed.",
    remedy="Find out the {key} of {at} (read the print on it, measure it) and write it in the spec.",
    find=find,
    hygiene=True,
    example=Example(
        spec="""\
rigline: 1
title: A lamp circuit
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 10 A}
  LT1: {kind: dc-load, name: Lamps, current: 4 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, LT1], lengths: [100 mm, 2 m], wire: 14 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, wire: 8 AWG}
""",
        passing="wire: 14 AWG",
        failing="wire: unknown",
        finds=("W1",),
    ),
)
