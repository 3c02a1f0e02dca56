"""A load that no source can feed in any position of the switches will never run.

Usually the wire that should feed its panel was left out, or the panel hangs on a supply that the plan does not have.
Better found on paper than with a heater that stays cold.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.loads import Load
from rigline.model.system import HOT_LEGS
from rigline.study.closed_loops import energised
from rigline.study.study import Study
from rigline.units import format_amount

SLUG = "dg-unreachable-load"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each wired load whose hot terminal no source reaches, every switch closed."""
    live = energised(study.graph)
    for id, component in sorted(study.system.components.items()):
        if not isinstance(component, Load) or component.spare:
            continue
        hot = [node for node in study.graph.nodes_of(id) if node.pole in ("+", *HOT_LEGS)]
        reversed_lead = any(c.a.pole != c.b.pole for node in hot for c in study.graph.conductors_at(node))
        if hot and not reversed_lead and not any(node in live for node in hot):
            runs = sorted({c.run for node in hot for c in study.graph.conductors_at(node)})
            why = f"is wired ({', '.join(runs)}), but no battery, charger, inverter, shore or other source reaches it"
            yield Hit((id,), runs=tuple(runs), words={"why": why, "cure": "Run a feed to it, or add its source"})
    yield from _starved(study)


def _starved(study: Study) -> Iterator[Hit]:
    """Each load that wants more power than its wires can bring at any voltage."""
    for drop in () if study.unsound else study.load_drops.values():
        if drop.unfed is not None:
            most_w = drop.unfed.most_w
            wanted, most = format_amount(drop.unfed.wanted_w, "w"), format_amount(most_w, "w")
            why = f"wants {wanted}, but the wires on its way can bring {most} at most"
            words = {"why": why, "cure": "Use thicker or shorter wires on its way"}
            yield Hit((drop.load,), drop.unfed.wanted_w, most_w, "W", drop.runs, words=words)


CHECK = Check(
    slug=SLUG,
    title="load that no source can feed",
    family="documentation",
    severity=Severity.FAULT,
    limit="Every load has a way to a source in at least one position of the switches, with wires that bring its power.",
    exceptions="`spare: true`. A device smaller than the load's current is rt-ocpd-under-continuous.",
    sources=(Source("a load needs a source", "common practice"),),
    message="{at} {why}. It will not work.",
    remedy="{cure} ({at}).",
    find=find,
    hygiene=True,
    example=Example(
        spec="""\
rigline: 1
title: Two lamps on a fuse block
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 20 A}
  DC1: {kind: fuse-block, rating: 100 A}
  BX1: {kind: fuse-block, rating: 100 A, spare: true}
  F2: {kind: fuse, style: blade, rating: 10 A}
  F3: {kind: fuse, style: blade, rating: 10 A}
  LT1: {kind: dc-load, name: Lamps, current: 4 A, continuous: false}
  LT2: {kind: dc-load, name: Reading lamps, current: 4 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, DC1], lengths: [100 mm, 0.5 m], wire: 10 AWG}
  - {id: W2, path: [DC1, F2, LT1], lengths: [50 mm, 2 m], wire: 14 AWG}
  - {id: W3, path: [DC1, F3, LT2], lengths: [50 mm, 2 m], wire: 14 AWG, return-to: DC1}
  - {id: W4, path: [B1-, GND], length: 0.5 m, wire: 8 AWG}
""",
        passing="path: [DC1, F3, LT2]",
        failing="path: [BX1, F3, LT2]",
        finds=("LT2",),
    ),
)
