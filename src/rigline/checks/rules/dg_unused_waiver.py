"""A waiver that accepts nothing was written for a plan that has changed since, or it names the wrong place.

Left standing it will silently accept the next mistake there. Somebody who reads the report also believes that a danger
was looked at and accepted, when nobody has seen it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.waivers import matches
from rigline.findings import Finding, Severity
from rigline.model.system import System
from rigline.study.study import Study

SLUG = "dg-unused-waiver"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each waiver for a place that the plan does not have."""
    for rule, at in _waivers(study.system):
        if at not in _places(study.system):
            yield Hit((at,), words={"rule": rule, "why": f"the plan has no {at}"})


def review(system: System, findings: Sequence[Finding]) -> Iterator[Hit]:
    """Each waiver for a place of the plan at which its rule found nothing."""
    used = {(w.rule, w.at) for w in system.waivers for finding in findings if matches(w, finding)}
    for rule, at in _waivers(system):
        if at in _places(system) and (rule, at) not in used:
            runs = tuple(run.id for run in system.runs if at in (run.id, *(s.id for s in run.segments)))
            yield Hit((at,), runs=runs, words={"rule": rule, "why": "the rule finds nothing there"})


def _waivers(system: System) -> list[tuple[str, str]]:
    """Rule and place of each; none where only one stage is judged, since the others' places are not there."""
    if system.stage is not None:
        return []
    return [(str(waiver.rule), str(waiver.at)) for waiver in system.waivers]


def _places(system: System) -> set[str]:
    return {*system.components, *(run.id for run in system.runs), *(segment.id for segment in system.segments)}


CHECK = Check(
    slug=SLUG,
    title="waiver that accepts nothing",
    family="documentation",
    severity=Severity.QUESTION,
    limit="Each waiver names a rule and a place at which this rule finds something.",
    exceptions="A report on one stage of a plan, in which the places of later stages are not there yet.",
    sources=(Source("a waiver holds for one finding, with its reason", "common practice"),),
    message="The waiver of {rule} at {at} accepts nothing: {why}.",
    remedy="Delete the waiver of {rule} at {at}, or correct its rule or place.",
    find=find,
    review=review,
    hygiene=True,
    example=Example(
        spec="""\
rigline: 1
title: A lamp circuit that needs no waiver
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
waivers: []
""",
        passing="waivers: []",
        failing="waivers: [{rule: oc-battery-distance, at: F1, reason: the battery box leaves no room}]",
        finds=("F1",),
    ),
)
