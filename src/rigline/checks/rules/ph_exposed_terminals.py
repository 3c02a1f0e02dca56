"""A spanner across two bare battery posts melts in a second, and nothing opens.

What is live before the first fuse is live for ever and without limit. A boot or cover over each post and stud keeps
tools, rings and loose locker contents off it.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import isinf

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.distribution import DcBus
from rigline.kinds.sources import Battery
from rigline.study.protection import hot_poles
from rigline.study.study import Study

SLUG = "ph-exposed-terminals"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each battery, and each live bar, whose terminals are stated to be bare; what is unfused and doesn't say."""
    hot = hot_poles(study.graph)[0]
    for id, component in sorted(study.system.components.items()):
        if not isinstance(component, Battery | DcBus) or not any(n.pole == hot for n in study.graph.nodes_of(id)):
            continue
        unfused = isinstance(component, Battery) or _is_unfused(study, id)
        if component.covered is False:
            what = "unfused" if unfused else "live, though behind a fuse"
            severity = Severity.DANGER if unfused else Severity.ADVICE
            yield Hit((id,), severity=severity, words={"what": what}, field="covered")
        elif component.covered is None and unfused:
            yield Missing((id,), f"whether the terminals of {id} are covered")


def _is_unfused(study: Study, id: str) -> bool:
    """Whether any current can reach a bar along one of its hot conductors."""
    return any(
        isinf(exposure.other(end).flow_a)
        for exposure, end in study.ends_at.get(id, ())
        if not exposure.other(end).unknown
    )


CHECK = Check(
    slug=SLUG,
    title="bare live terminals",
    family="physical",
    severity=Severity.DANGER,
    limit="Posts and studs that are always live are covered; advice where a fuse stands ahead of them.",
    exceptions="Terminals of the grounded conductor.",
    sources=(Source("33 CFR 183.445(b); ISO 10133, battery tops", "verified"),),
    message="The terminals of {at} are bare and {what}: a tool that falls on them draws an arc.",
    remedy="Fit boots or a cover over the terminals of {at}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A pump on a battery with boots
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A, covered: true}
  F1: {kind: fuse, style: blade, rating: 10 A}
  M1: {kind: motor, name: Wash pump, current: 5 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, M1], lengths: [100 mm, 2 m], wire: 12 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 6 AWG}
""",
        passing="covered: true",
        failing="covered: false",
        finds=("B1",),
    ),
)
