"""Plus on minus destroys electronics at once and turns pumps and fans backwards.

A battery the wrong way round in a bank is worse: its cells drive the others through the links, and nothing but wire
limits the current.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds import Component
from rigline.model.system import Node
from rigline.study.study import Study

SLUG = "dg-polarity-reversed"
_CHAINS = ("battery", "vehicle-battery", "pv-array")
"""Kinds that are joined plus to minus on purpose, in series."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each component whose plus lies on the minus of what feeds it, and each block the wrong way round."""
    linked = {node.component for c in study.graph.conductors if c.pole == "link" for node in (c.a, c.b)}
    for id in sorted(linked):
        component = study.system.components[id]
        if component.kind not in _CHAINS and component.role in ("load", "converter", "source", "bus"):
            yield from _judge(study, component)
    for found in study.potentials.contradictions:
        if found.reversed_block:
            yield _hit(study, found.reversed_block, _runs(study, found.reversed_block))

    yield from _bonded_plus(study)


def _bonded_plus(study: Study) -> Iterator[Hit]:
    """Each bond that lands on the pole which is to stay off the metal."""
    grounding = study.grounding
    if study.system.head.dc_grounding == "isolated":
        return
    for bond in grounding.bonds:
        if bond.dc.pole in ("+", "-") and bond.dc.pole != grounding.dc_pole and bond.runs:
            what = f"is bonded by its {bond.dc.pole}, but the {grounding.dc_pole} is the pole that is grounded"
            yield Hit((bond.dc.component,), runs=bond.runs, words={"what": what, "leads": "the end of the bond at"})


def _judge(study: Study, component: Component) -> Iterator[Hit]:
    for terminal in sorted({node.terminal for node in study.graph.nodes_of(component.id) if node.pole in ("+", "-")}):
        plus, minus = Node(component.id, terminal, "+"), Node(component.id, terminal, "-")
        runs = tuple(
            sorted({c.run for n in (plus, minus) for c in study.graph.conductors_at(n) if c.a.pole != c.b.pole})
        )
        between = study.potentials.between(plus, minus)
        # A bar may serve one pole only; two bars of a pair that stand the wrong way round have a voltage that says so.
        reversed_ = (
            (between is None or between <= 0) if component.role != "bus" else (between is not None and between < 0)
        )
        # An array's leads have a rule of their own: pv-orientation-polarity.
        if runs and reversed_ and terminal != "pv":
            yield _hit(study, component.id, runs)


def _runs(study: Study, id: str) -> tuple[str, ...]:
    nodes = study.graph.nodes_of(id)
    return tuple(sorted({c.run for n in nodes for c in study.graph.conductors_at(n) if c.a.pole != c.b.pole}))


def _hit(study: Study, id: str, runs: tuple[str, ...]) -> Hit:
    what = "is wired the wrong way round: its plus and minus do not lie on the plus and minus of the system"
    return Hit((id,), runs=runs, words={"what": what, "leads": "the two leads of"})


CHECK = Check(
    slug=SLUG,
    title="reversed polarity",
    family="documentation",
    severity=Severity.DANGER,
    limit="No positive terminal on a negative net, and no block of a bank the wrong way round.",
    exceptions="Links between the blocks of a series string; motors behind a reversing switch.",
    sources=(Source("polarity follows from the wiring itself", "common practice"),),
    message="{at} {what} ({runs}). Electronics are destroyed at once, and wires without a fuse in that pole burn.",
    remedy="Swap {leads} {at}.",
    find=find,
    hygiene=True,
    example=Example(
        spec="""\
rigline: 1
title: A bilge pump with single leads
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 10 A}
  BX1: {kind: junction, rating: 30 A}
  M1: {kind: motor, name: Washdown pump, current: 5 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, BX1], lengths: [100 mm, 0.5 m], wire: 12 AWG}
  - {id: W2, path: [BX1+, M1+], length: 2 m, wire: 12 AWG}
  - {id: W3, path: [BX1-, M1-], length: 2 m, wire: 12 AWG}
  - {id: W4, path: [B1-, GND], length: 0.5 m, wire: 8 AWG}
""",
        passing="path: [BX1+, M1+]",
        failing="path: [BX1-, M1+]",
        finds=("M1",),
    ),
)
