"""Any metal that a chafed wire can touch must not become live: gas pipes, skins, tanks, frames.

A thin strap is not enough, for it must carry a short until the fuse opens, and it must survive a vehicle's life.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.earthing import Chassis
from rigline.model.system import Node
from rigline.standards.wire import CMIL_COMPARISON_FRAC, WireSize, parse_wire_size
from rigline.study.study import Study

SLUG = "gb-metal-parts"
LEAST = {"us-rv": parse_wire_size("8 AWG"), "eu-caravan": parse_wire_size("4 mm²")}
"""Least bonding wire. Source: NEC 551.56; IEC 60364-7-721 (4 mm² from memory)."""
PARTS = ("gas-pipe", "metal")
"""Metal that belongs to no circuit."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each gas pipe or other metal part whose bond is too thin, or leads to no other metal."""
    least = LEAST.get(study.system.profile_name)
    for id, part in sorted(study.system.components.items()):
        if least is None or not isinstance(part, Chassis) or part.type not in PARTS:
            continue
        start = study.grounding.case(id)
        if not study.graph.nodes_of(id):
            continue  # dg-orphan speaks of what no run reaches.
        others = _others(study, id)
        path = study.grounding.thickest([start], partial(_leads, others))
        if path is None and not others:
            continue  # Without any body there is nothing to bond it to; the rules on bonds speak of that.
        if path is None:
            yield Hit((id,), words={"what": "is wired, but to no chassis, frame or earth bus", "least": str(least)})
        elif path.area_mm2 is None:
            yield Missing((id,), f"wire of the bond of {id}")
        elif path.area_mm2 < least.area_mm2 * (1 - CMIL_COMPARISON_FRAC):
            yield _thin(study, id, path.area_mm2, least, path.thinnest.run if path.thinnest else "")


def _leads(others: set[str], node: Node) -> bool:
    return node.component in others


def _others(study: Study, id: str) -> set[str]:
    """Chassis, frames and earth buses that a part can be bonded to."""
    grounding = study.grounding
    return {*grounding.bodies, *grounding.electrodes, *grounding.earth_buses} - {id}


def _thin(study: Study, id: str, area_mm2: float, least: WireSize, run: str) -> Hit:
    words = {"what": f"is bonded by {area_mm2:.3g} mm² ({least.area_mm2:.3g} mm² is the least)", "least": str(least)}
    return Hit((id,), area_mm2, least.area_mm2, "mm²", (run,), words=words)


CHECK = Check(
    slug=SLUG,
    title="gas pipe or other metal without a sound bond",
    family="grounding & bonding",
    severity=Severity.FAULT,
    limit="Bonded by 8 AWG in US RVs, 4 mm² in caravans.",
    exceptions="Insulated parts and short brackets, which need not be listed.",
    sources=(Source("NEC 551.56", "verified"), Source("IEC 60364-7-721, 4 mm²", "from memory")),
    message="{at} {what}: a wire that chafes on it makes it live.",
    remedy="Bond {at} to the chassis by {least} copper or thicker.",
    find=find,
    profiles=("us-rv", "eu-caravan"),
    example=Example(
        spec="""\
rigline: 1
title: Camper with a bonded gas pipe
profile: us-rv
body: metal
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 10 A}
  M1: {kind: motor, name: Pump, current: 5 A, continuous: false}
  GAS: {kind: chassis, name: Gas pipe, type: gas-pipe}
  FR1: {kind: chassis, type: frame}
runs:
  - {id: W1, path: [B1, F1, M1], lengths: [100 mm, 2 m], wire: 12 AWG}
  - {id: W2, path: [B1-, FR1], length: 0.5 m, carries: bond, wire: 8 AWG}
  - {id: W3, path: [GAS, FR1], length: 1 m, carries: earth, wire: 8 AWG}
""",
        passing="earth, wire: 8 AWG",
        failing="earth, wire: 14 AWG",
        finds=("GAS",),
    ),
)
