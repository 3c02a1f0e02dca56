"""Current needs a way back: without one nothing works, or it finds a way of its own.

That way may be a hull, a fuel line, a bicycle rack or a thin bond that was never meant to carry it. On boats stray
current eats metal under water; everywhere it heats joints that nobody watches.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds import Component
from rigline.kinds.loads import Motor
from rigline.model.system import HOT_LEGS, NEGATIVE, NEUTRAL, POSITIVE, Node
from rigline.study.closed_loops import way_back
from rigline.study.study import Study

SLUG = "dg-missing-return"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each load and battery whose return leads nowhere."""
    for id, component in sorted(study.system.components.items()):
        if component.role not in ("load", "storage") or _is_grounded_starter(study, component):
            continue
        nodes = study.graph.nodes_of(id)
        hot = [node for node in nodes if node.pole in (POSITIVE, *HOT_LEGS)]
        back = [node for node in nodes if node.pole in (NEGATIVE, NEUTRAL)] or (hot[1:] if len(hot) > 1 else [])
        if hot:
            yield from _judge(study, component, hot, back)


def _is_grounded_starter(study: Study, component: Component) -> bool:
    """A starter whose case, bolted to the engine, is its return."""
    return isinstance(component, Motor) and bool(component.cranking)


def _judge(study: Study, component: Component, hot: list[Node], back: list[Node]) -> Iterator[Hit]:
    runs = tuple(sorted({c.run for node in hot for c in study.graph.conductors_at(node)}))
    if not back:
        yield Hit((component.id,), runs=runs, words={"what": "has no return: only its hot wire is connected"})
    elif component.role == "load" and not way_back(study.graph, back[0]):
        yield Hit((component.id,), runs=runs, words={"what": "has a return that leads to no source"})


CHECK = Check(
    slug=SLUG,
    title="missing return",
    family="documentation",
    severity=Severity.DANGER,
    limit="Every circuit is a closed loop of wire from the source to the load and back.",
    exceptions="Returns through metal, which gb-hull-as-return judges; starters bolted to their engine.",
    sources=(
        Source("NEC 552.10(B)(1), exception", "verified"),
        Source("ISO 13297 and boat codes, two-conductor systems", "from memory"),
    ),
    message="{at} {what} ({runs}). Current would take whatever metal it finds, or not flow at all.",
    remedy="Run a return of the same size from {at} back to the minus it is fed from.",
    find=find,
    hygiene=True,
    example=Example(
        spec="""\
rigline: 1
title: A masthead lamp
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 10 A}
  LT1: {kind: dc-load, name: Lamp, current: 2 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, LT1], lengths: [100 mm, 2 m], wire: 14 AWG, carries: pair}
  - {id: W2, path: [B1-, GND], length: 0.5 m, wire: 8 AWG}
""",
        passing="carries: pair",
        failing="carries: positive",
        finds=("LT1",),
    ),
)
