"""A shunt that is turned round shows charging as discharging.

The monitor then counts down while the sun shines and up in the evening, and its alarm and its charge figure are both
nonsense. Its two studs look alike, which is why one of them is marked for the battery.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.study.shunts import shunts
from rigline.study.study import Study

SLUG = "mo-shunt-direction"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each shunt whose load side is towards the battery."""
    for sides in shunts(study):
        if sides.is_reversed:
            batteries = sides.batteries("load")
            yield Hit((sides.shunt.id, *batteries), words={"batteries": " and ".join(batteries)})


CHECK = Check(
    slug=SLUG,
    title="shunt turned round",
    family="monitoring",
    severity=Severity.ADVICE,
    limit="The battery side of a shunt is towards the battery.",
    exceptions="A monitor that is set to show the opposite sign: waive the finding with that reason.",
    sources=(Source("the marked stud towards the battery", "common practice"),),
    message="The load side of {at} is towards {batteries}: the monitor takes charging for discharging.",
    remedy="Swap the two sides of {at}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A monitored battery
profile: iec-cabin
dc-grounding: isolated
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: breaker, style: thermal, rating: 20 A, poles: 2, voltage: 32 V, interrupting: 2 kA}
  RS1: {kind: shunt, rating: 300 A}
  LT1: {kind: dc-load, name: Lamps, current: 4 A, continuous: false}
runs:
  - {id: W1, path: [B1, F1, RS1.battery], lengths: [0.1 m, 0.5 m], wire: 10 mm²}
  - {id: W2, path: [RS1, LT1], length: 0.6 m, wire: 10 mm²}
""",
        passing="RS1.battery",
        failing="RS1.load",
        finds=("RS1", "B1"),
    ),
)
