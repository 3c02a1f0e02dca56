"""A run that ends in the air is live metal waiting to touch something, or a circuit that was not finished.

A switch or fuse with a wire on one side only does nothing. A run drawn twice makes the order list wrong and hides
which of the two is really there.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.model.system import Run
from rigline.study.study import Study

SLUG = "dg-dangling-run"
_PLUGS = ("connector", "shunt", "galvanic-isolator")
"""Kinds whose far side may rightly be outside the plan or be wired in another way."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each run that ends on a device nothing goes on from, and each run that repeats another."""
    seen: dict[tuple[object, ...], Run] = {}
    for run in study.system.runs:
        for stop in (run.stops[0], run.stops[-1]):
            component = study.system.components[stop.component]
            if component.role == "inline" and component.kind not in _PLUGS and not component.spare:
                used = {
                    n.terminal for n in study.graph.nodes_of(component.id) if n.terminal and n.pole not in ("PE", "S")
                }
                if len(used) == 1:
                    yield Hit((component.id,), runs=(run.id,), words={"what": "nothing goes on from its other side"})
        ends = frozenset(frozenset((c.a, c.b)) for segment in run.segments for c in segment.conductors)
        key = (run.medium, run.carries, ends)
        if len(run.stops) == 2 and run.medium in ("dc", "ac") and key in seen:
            what = f"{run.id} joins the same two ends as {seen[key].id}"
            yield Hit((run.stops[-1].component,), runs=(run.id, seen[key].id), words={"what": what})
        seen.setdefault(key, run)


CHECK = Check(
    slug=SLUG,
    title="run that leads nowhere, or stands twice",
    family="documentation",
    severity=Severity.FAULT,
    limit="Every run joins two things, and no two runs join the same two.",
    exceptions="Plugs whose far side is outside the plan; `spare: true`; cables in parallel, written `conductors: 2`.",
    sources=(Source("a wire has two ends", "common practice"),),
    message="{runs} at {at}: {what}.",
    remedy="Finish the run at {at}, delete it, or write `conductors: 2` on one run for cables in parallel.",
    find=find,
    hygiene=True,
    example=Example(
        spec="""\
rigline: 1
title: A lamp behind a switch
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 20 A}
  DC1: {kind: fuse-block, rating: 100 A}
  F2: {kind: fuse, style: blade, rating: 10 A}
  F3: {kind: fuse, style: blade, rating: 10 A}
  Q1: {kind: switch, name: Switch for the heater to come, rating: 15 A, spare: true}
  LT1: {kind: dc-load, name: Lamps, current: 4 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, DC1], lengths: [100 mm, 0.5 m], wire: 10 AWG}
  - {id: W2, path: [DC1, F2, LT1], lengths: [50 mm, 2 m], wire: 14 AWG}
  - {id: W3, path: [DC1, F3, Q1], lengths: [50 mm, 1 m], wire: 14 AWG}
  - {id: W4, path: [B1-, GND], length: 0.5 m, wire: 8 AWG}
""",
        passing="spare: true",
        failing="spare: false",
        finds=("Q1",),
    ),
)
