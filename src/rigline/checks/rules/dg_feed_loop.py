"""A panel that is fed from two sides is live when its main is off, and carries what both feeds let through.

Two feeds of 60 A bring 120 A into a panel made for 100 A. Whoever opens one of them believes the panel dead.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.model.system import HOT_LEGS
from rigline.study.feed_loops import feed_loops
from rigline.study.protection import hot_poles
from rigline.study.study import Study

SLUG = "dg-feed-loop"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each closed way of fixed wiring through three bars or panels or more."""
    for poles in (hot_poles(study.graph)[:1], HOT_LEGS):
        for bars in feed_loops(study.graph, poles):
            yield Hit(bars, words={"bars": ", ".join(bars)})


CHECK = Check(
    slug=SLUG,
    title="panel fed from two sides",
    family="documentation",
    severity=Severity.FAULT,
    limit="The hot conductors form a tree from bar to bar.",
    exceptions="Parallel conductors between the same two bars; ways through switches, relays and selectors.",
    sources=(Source("one feed for each panel", "common practice"),),
    message="{bars} are joined in a ring: with one feed off, the other keeps them live.",
    remedy="Take out one of the feeds between {bars}, or put a switch in it that is open in use.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Three bars and a pump
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: terminal, rating: 50 A}
  BUS1: {kind: busbar, rating: 150 A}
  BUS2: {kind: busbar, rating: 150 A}
  F2: {kind: fuse, style: terminal, rating: 30 A}
  DP1: {kind: dc-panel, rating: 150 A}
  F3: {kind: fuse, style: terminal, rating: 30 A}
  Q1: {kind: switch, rating: 60 A, voltage: 32 V}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, BUS1], lengths: [100 mm, 0.5 m], wire: 6 AWG}
  - {id: W2, path: [BUS1, BUS2], length: 0.5 m, carries: positive, wire: 6 AWG}
  - {id: W3, path: [BUS1, F2, DP1], lengths: [100 mm, 1 m], wire: 6 AWG}
  - {id: W4, path: [BUS2, F3, Q1, DP1], lengths: [100 mm, 1 m, 1 m], wire: 6 AWG, return-to: BUS1-}
  - {id: W5, path: [BUS1-, GND], length: 0.5 m, carries: bond, wire: 6 AWG}
""",
        passing="Q1: {kind: switch",
        failing="Q1: {kind: connector",
        finds=("BUS1", "BUS2", "DP1"),
    ),
)
