"""What is taken from the middle of a string is taken from one half of it only.

The other half stays full, the charger sees a voltage that looks right, and the half that works is never charged while
the idle one is overcharged. Within weeks one of them is ruined. A converter across the whole string takes from all.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds import Component
from rigline.kinds.converters import AcCharger
from rigline.model.system import Node
from rigline.study.causes import exceeds
from rigline.study.storage import Series, midpoints
from rigline.study.study import Study

SLUG = "bb-midpoint-load"
TAPPING = ("load", "converter", "source")
"""Roles that take from, or give to, a part of a string."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each load, converter or source that hangs on the middle of a string."""
    seen: set[str] = set()
    for string, joint in midpoints(study):
        for node in sorted(joint):
            component = study.graph.component_at(node)
            taps = component.role in TAPPING and not _charges_each_block(study, component, string)
            taps = taps and not study.potentials.contradicts(node)
            if taps and component.id not in seen:
                seen.add(component.id)
                yield from _judge(study, string, node)


def _charges_each_block(study: Study, component: Component, string: Series) -> bool:
    """Whether a charger has an output for each block of a string."""
    outputs = {n.terminal for n in study.graph.nodes_of(component.id) if n.terminal.startswith("dc")}
    return isinstance(component, AcCharger) and len(outputs) >= len(string.blocks)


def _judge(study: Study, string: Series, node: Node) -> Iterator[Hit | Missing]:
    amps = max((_taken_a(study, node, case.amps) for case in study.cases if case.kind != "crank"), default=0.0)
    equaliser = max((b.equaliser_a or 0.0 for b in string.blocks), default=0.0)
    if equaliser and node.component in study.unstated:
        yield Missing((node.component,), study.unstated[node.component])
    elif not equaliser or exceeds(amps, equaliser):
        part = "lower" if node.pole == "+" else "upper"
        at = (node.component, *sorted(b.id for b in string.blocks))
        words = {
            "part": part,
            "blocks": " and ".join(b.id for b in string.blocks),
            "amps": f"{amps:.3g} A" if amps else "current",
        }
        yield Hit(at, amps or None, equaliser, "A" if amps else "", words=words)


def _taken_a(study: Study, node: Node, amps: dict[str, float]) -> float:
    return sum(abs(amps.get(c.id, 0.0)) for c in study.graph.conductors_at(node))


CHECK = Check(
    slug=SLUG,
    title="load on the middle of a string",
    family="battery bank",
    severity=Severity.FAULT,
    limit="Nothing is joined to the middle of a string but an equaliser rated for what is taken there.",
    exceptions="An equaliser for the current (equaliser); a charger with an output for each block.",
    sources=(Source("blocks in series carry one current", "common practice"),),
    message=(
        "{at} takes {amps} from the {part} part of the string {blocks} only, and an equaliser makes up for {limit} A: "
        "the other part is overcharged and both are ruined."
    ),
    remedy="Feed {at} through a converter across the whole string, or fit an equaliser rated for it.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A radio on a 24 V boat
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 50 Ah, short-circuit: 800 A, age: new}
  B2: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 50 Ah, short-circuit: 800 A, age: new, equaliser: 10 A}
  F1: {kind: fuse, style: class-t, rating: 10 A}
  F2: {kind: fuse, style: class-t, rating: 10 A}
  LT1: {kind: dc-load, name: Lamps, current: 4 A, continuous: false}
  RA1: {kind: dc-load, name: Radio, current: 5 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1+, F1, LT1], lengths: [100 mm, 2 m], carries: positive, wire: 12 AWG}
  - {id: W2, path: [LT1, B2], length: 2.1 m, carries: negative, wire: 12 AWG}
  - {id: W3, path: [B1-, B2+], length: 0.2 m, wire: 8 AWG}
  - {id: W4, path: [B2, F2, RA1], lengths: [100 mm, 1 m], wire: 12 AWG}
  - {id: W5, path: [B2-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="equaliser: 10 A",
        failing="equaliser: 2 A",
        finds=("RA1", "B1", "B2"),
    ),
)
