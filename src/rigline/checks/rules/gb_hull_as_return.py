"""A hull or frame that carries the current of a load is a wire that nobody sized, joined by rust and screws.

In water the stray part of that current eats the metal it leaves. On the road it heats hinges, bearings and fuel
lines, and a loose joint shows up as a fault somewhere else.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.loads import Load, Motor
from rigline.model.system import NEGATIVE, Node
from rigline.study import demand
from rigline.study.causes import exceeds
from rigline.study.closed_loops import CHASSIS_RETURN_PROFILES, way_back
from rigline.study.study import Study

SLUG = "gb-hull-as-return"
MOST_A = 20.0
"""Greatest return through a vehicle's metal that is left to it. Source: common practice."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each load that returns through metal that may not carry it, or carries more than metal should."""
    for id, load in sorted(study.system.components.items()):
        back = Node(id, "", NEGATIVE)
        is_starter = isinstance(load, Motor) and bool(load.cranking)
        if not isinstance(load, Load) or is_starter or back not in study.graph.graph:
            continue
        if way_back(study.graph, back) == "chassis":
            yield from _judge(study, load, tuple(sorted({c.run for c in study.graph.conductors_at(back)})))


def _judge(study: Study, load: Load, runs: tuple[str, ...]) -> Iterator[Hit]:
    draw = demand.load_draw(load, study.limits.node_volts_v(Node(load.id, "", "+")) or 12.0)
    amps = draw.amps_a if draw else 0.0
    if study.profile.name not in CHASSIS_RETURN_PROFILES:
        yield Hit((load.id,), runs=runs, words={"what": "these rules do not allow that"})
    elif exceeds(amps, MOST_A):
        what = f"{amps:.3g} A are more than joints of sheet metal carry well ({MOST_A:g} A)"
        yield Hit((load.id,), amps, MOST_A, "A", runs, severity=Severity.ADVICE, words={"what": what})


CHECK = Check(
    slug=SLUG,
    title="hull, frame or chassis as the return of a load",
    family="grounding & bonding",
    severity=Severity.DANGER,
    limit=(
        "No load returns through the hull or chassis. In US vehicles low-voltage loads may; above 20 A a wire is "
        "better (advice)."
    ),
    exceptions="Starters and senders that are bolted to the engine; low-voltage returns in US vehicles.",
    sources=(
        Source("NEC 552.10(B)(1), exception", "verified"),
        Source("small-vessel codes and ISO 13297, two-conductor systems", "from memory"),
        Source("20 A through a vehicle's metal", "common practice"),
    ),
    message="{at} returns through the metal that {runs} leads to: {what}.",
    remedy="Run a negative wire of the same size as the feed from {at} back to the minus it is fed from.",
    find=find,
    hygiene=True,
    example=Example(
        spec="""\
rigline: 1
title: A winch on a steel boat
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: terminal, rating: 30 A}
  WN1: {kind: motor, name: Winch, current: 20 A, continuous: false}
  GND: {kind: chassis, type: engine}
runs:
  - {id: W1, path: [B1+, F1, WN1+], lengths: [100 mm, 1 m], wire: 8 AWG}
  - {id: W2, path: [WN1-, B1-], length: 1 m, wire: 8 AWG, carries: negative}
  - {id: W3, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="path: [WN1-, B1-]",
        failing="path: [WN1-, GND]",
        finds=("WN1",),
    ),
)
