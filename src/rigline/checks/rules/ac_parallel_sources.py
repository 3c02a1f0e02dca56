"""Two sources of alternating current on one wire fight each other at once.

They are never in step. An inverter that meets shore power is destroyed, a generator is shaken apart, and a plug pulled
from the dock carries live pins. A label that says 'turn one off first' stops nobody in the dark.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.graph.modes import Mode
from rigline.kinds import Component
from rigline.kinds.converters import Inverter
from rigline.kinds.sources import AcSource
from rigline.model.system import HOT_LEGS, Conductor, Node
from rigline.study.study import Study

SLUG = "ac-parallel-sources"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each pair of AC sources that some position of the switches joins, once."""
    seen: set[tuple[str, str]] = set()
    for mode in study.modes:
        nets = _nets(study, mode)
        for (first, net), (second, other) in combinations(nets.items(), 2):
            pair = (first, second)
            if pair not in seen and net & other and not _made_for_it(study, *pair):
                seen.add(pair)
                plain = mode.everything or not mode.positions
                yield Hit(
                    pair, words={"mode": "always" if plain else f"with {mode.name}"}, mode=None if plain else mode.name
                )


def _nets(study: Study, mode: Mode) -> dict[str, set[Node]]:
    """Hot nodes that each AC source feeds in a mode."""
    found = {}
    for id, component in sorted(study.system.components.items()):
        starts = [n for n in study.graph.nodes_of(id) if n.pole in HOT_LEGS and _feeds(component, n, mode)]
        net: set[Node] = set()
        for start in starts:
            net |= study.graph.reach(
                start, lambda e, n: mode.closed(e) and (isinstance(e, Conductor) or e.kind == "device")
            )
        if net:
            found[id] = net
    return found


def _feeds(component: Component, node: Node, mode: Mode) -> bool:
    if isinstance(component, Inverter):
        return node.terminal in ("ac-out", "ac-out2") and mode.inverting(component.id)
    return isinstance(component, AcSource)


def _made_for_it(study: Study, first: str, second: str) -> bool:
    """Whether one of two sources follows the other, or an interlock keeps them apart."""
    a, b = study.system.components[first], study.system.components[second]
    if getattr(a, "grid_tied", None) or getattr(b, "grid_tied", None):
        return True
    name = getattr(a, "interlock", None)
    return name is not None and name == getattr(b, "interlock", None)


CHECK = Check(
    slug=SLUG,
    title="two AC sources that can be joined",
    family="AC",
    severity=Severity.DANGER,
    limit="In every position of the switches at most one source feeds a hot conductor.",
    exceptions="Inverters made to follow another source (`grid-tied: true`); an `interlock` of the same name on both.",
    sources=(Source("NEC 551.31, 702.5 and 705", "from memory"), Source("ISO 13297 6", "from memory")),
    message=(
        "{all} can feed the same wire {mode}: out of step they destroy each other, and a pulled plug has live pins."
    ),
    remedy="Put a transfer switch or a mechanical interlock between {all}; a label does not count.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Cabin with a large and a small generator
profile: us-cabin
body: wood
components:
  G1: {kind: generator, power: 5 kW, voltage: 120 V, neutral-bond: none}
  G2: {kind: generator, power: 3 kW, voltage: 120 V, neutral-bond: none}
  Q1: {kind: breaker, rating: 30 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  Q2: {kind: breaker, rating: 30 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  TS1: {kind: transfer-switch, rating: 30 A, switches-neutral: false}
  ACP1: {kind: ac-panel, rating: 60 A, neutral-bond: fixed}
  QA: {kind: breaker, rating: 20 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  RC1: {kind: receptacle, rating: 20 A, gfci: true, power: 900 W}
  ER1: {kind: earth-electrode, type: rod, count: 2}
runs:
  - {id: W1, path: [G1, Q1, TS1.a], lengths: [0.3 m, 1 m], wire: 10 AWG, insulation: 75 °C}
  - {id: W2, path: [G2, Q2, TS1.b], lengths: [150 mm, 2 m], wire: 10 AWG, insulation: 75 °C}
  - {id: W3, path: [TS1.out, ACP1], length: 1 m, wire: 6 AWG, insulation: 75 °C}
  - {id: W4, path: [ACP1, QA, RC1], lengths: [100 mm, 3 m], wire: 12 AWG, insulation: 75 °C}
  - {id: W5, path: [ACP1, ER1], length: 1 m, carries: earth, wire: 6 AWG, insulation: 75 °C}
""",
        passing="Q2, TS1.b]",
        failing="Q2, TS1.a]",
        finds=("G1", "G2"),
    ),
)
