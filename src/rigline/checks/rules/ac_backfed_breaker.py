"""A plug-in breaker that feeds a panel has live contacts at its back when it comes loose.

An ordinary branch breaker that is pulled out of its panel is dead. One that brings power in stays live from its wires,
and its bare stabs swing towards whoever pulled it. A retainer that needs a tool prevents that.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.devices import Breaker
from rigline.kinds.distribution import AcPanel
from rigline.model.system import HOT_LEGS
from rigline.study.ac_reach import feeds, is_on_board
from rigline.study.study import Study

SLUG = "ac-backfed-breaker"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each breaker at a panel that an inverter or generator feeds the panel through, and that is not held down."""
    feeding = _feeding(study)
    for id, breaker in sorted(study.system.components.items()):
        if not isinstance(breaker, Breaker) or breaker.hold_down or id not in feeding:
            continue
        panel, source = feeding[id]
        if breaker.hold_down is None:
            yield Missing((id,), f"whether {id} is fastened in {panel} against pulling out (hold-down)")
        else:
            yield Hit((id, panel), words={"source": source, "panel": panel}, field="hold-down")


def _feeding(study: Study) -> dict[str, tuple[str, str]]:
    """Breakers wired straight to a panel that an on-board source reaches without the panel, with panel and source."""
    components = study.system.components
    found: dict[str, tuple[str, str]] = {}
    for feed in feeds(study, lambda c: not isinstance(c, Breaker)):
        if not is_on_board(components[feed.source]):
            continue
        panels = [id for id in feed.reached if isinstance(components[id], AcPanel)]
        for node in sorted(feed.hot):
            if isinstance(components[node.component], Breaker) and not panels:
                for panel in _panels_at(study, node.component):
                    found.setdefault(node.component, (panel, feed.source))
    return found


def _panels_at(study: Study, id: str) -> list[str]:
    ends = [
        end.component for node in study.graph.nodes_of(id) if node.pole in HOT_LEGS
        for conductor in study.graph.conductors_at(node) for end in (conductor.a, conductor.b)
    ]  # fmt: skip
    return sorted({end for end in ends if isinstance(study.system.components[end], AcPanel)})


CHECK = Check(
    slug=SLUG,
    title="backfed breaker that can be pulled out live",
    family="AC",
    severity=Severity.FAULT,
    limit="A plug-in breaker through which an inverter or generator feeds a panel is held by a retainer.",
    exceptions="Breakers that are bolted on, or stand in a box of their own: write `hold-down: true`.",
    sources=(Source("NEC 408.36(D), 710.15", "verified"),),
    message="{source} feeds {panel} through {at}, which nothing holds: pulled out, its bare contacts stay live.",
    remedy="Fasten {at} in {panel} with the maker's retainer.",
    find=find,
    profiles=("us-cabin", "us-rv"),
    example=Example(
        spec="""\
rigline: 1
title: Cabin with a generator that feeds its panel
profile: us-cabin
body: wood
defaults: {insulation: 75 °C}
components:
  GEN1: {kind: generator, power: 3 kW, voltage: 120 V, neutral-bond: none, internal-breaker: 25 A}
  QM: {kind: breaker, rating: 30 A, poles: 1, voltage: 120 V, interrupting: 10 kA, hold-down: true}
  ACP1: {kind: ac-panel, rating: 60 A, neutral-bond: fixed}
  QA: {kind: breaker, rating: 20 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  HT1: {kind: ac-load, name: Heater, power: 1200 W, continuous: false}
  ER1: {kind: earth-electrode, type: rod, count: 2}
runs:
  - {id: W1, path: [GEN1, QM, ACP1], lengths: [300 mm, 1 m], wire: 10 AWG}
  - {id: W2, path: [ACP1, QA, HT1], lengths: [100 mm, 3 m], wire: 12 AWG}
  - {id: W3, path: [ACP1, ER1], length: 1 m, carries: earth, wire: 6 AWG}
  - {id: W4, path: [GEN1.case, ER1], length: 1 m, carries: earth, wire: 6 AWG}
""",
        passing="hold-down: true",
        failing="hold-down: false",
        finds=("QM", "ACP1"),
    ),
)
