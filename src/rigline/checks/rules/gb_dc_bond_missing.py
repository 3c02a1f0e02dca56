"""A bond between the DC negative and the metal round it lets a chafed wire open its fuse.

Without it the first positive wire that rubs through its insulation makes the whole body live, and nothing shows it.
The second such fault then sends its current through hinges, shafts, fuel lines or people instead of through a fuse.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.model.system import Node
from rigline.study.grounding import CABINS
from rigline.study.study import Study

SLUG = "gb-dc-bond-missing"
UNBONDED_MOST_V = 60.0
"""Two-wire DC systems up to here need no bond in a building. Source: NEC 250.162(A), from memory."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each DC system that stands alone and of which no pole leads to a chassis, an electrode or an earth bus."""
    grounding = study.grounding
    if study.system.head.dc_grounding == "isolated":
        return
    for island in grounding.dc_islands:
        if grounding.is_bonded(island):
            continue
        point = grounding.bond_point(island)
        pole = "positive" if grounding.dc_pole == "+" else "negative"
        yield Hit(
            at=(grounding.chief(island),),
            severity=_severity(study, island),
            words={"pole": pole, "point": f"{point}{grounding.dc_pole}", "metal": _metal(study), "list": _list(study)},
        )


def _severity(study: Study, island: frozenset[Node]) -> Severity:
    grounding, body = study.grounding, study.system.head.body
    volts = max((abs(study.potentials.volts.get(node, 0.0)) for node in island), default=0.0)
    if study.system.profile_name in CABINS and volts <= UNBONDED_MOST_V:
        return Severity.ADVICE
    if body in ("plastic", "wood") and not grounding.metal_body and not grounding.has_ac:
        return Severity.ADVICE
    return Severity.DANGER if grounding.has_ac or grounding.metal_body else Severity.FAULT


def _list(study: Study) -> str:
    """What the spec lacks for such a run."""
    return "" if study.grounding.references else ", to a component of `kind: chassis`"


def _metal(study: Study) -> str:
    grounding = study.grounding
    if grounding.bodies:
        return grounding.bodies[0]
    if study.system.profile_name in CABINS:
        return "the cabin's earth electrode"
    return "an earth bus or engine block" if study.system.head.body in ("plastic", "wood") else "the metal body"


CHECK = Check(
    slug=SLUG,
    title="DC system without a bond to the chassis",
    family="grounding & bonding",
    severity=Severity.DANGER,
    limit=(
        "Exactly one bond for each DC system whose negatives are joined. Danger where AC is aboard or the body is "
        "metal, else a fault; advice for a plastic or wooden body without AC, and in cabins up to 60 V."
    ),
    exceptions=(
        "Systems declared isolated (`dc-grounding: isolated`), with protection in both poles. Two-wire systems up to "
        "60 V in buildings need no bond (NEC 250.162; IEC 60364-4-41 414)."
    ),
    sources=(
        Source("NEC 552.10(C)", "verified"),
        Source("ABYC E-11; ISO 13297, main grounding point", "from memory"),
        Source("NEC 250.162(A); IEC 60364-4-41 414", "from memory"),
    ),
    message=(
        "Nothing joins the DC {pole} of {at} to {metal}. A wire that chafes on metal would make it live, "
        "and no fuse would open."
    ),
    remedy="Run one cable from {point} to {metal} and write it down as a run with `carries: bond`{list}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Trailer battery bonded to the frame
profile: us-rv
body: metal
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah, short-circuit: 1 kA, vented: true}
  F1: {kind: fuse, style: terminal, rating: 30 A}
  Q1: {kind: switch, rating: 100 A, voltage: 32 V}
  LT1: {kind: dc-load, name: Lamps, power: 100 W}
  FR1: {kind: chassis, type: frame}
runs:
  - {id: W1, path: [B1, F1, Q1, LT1], lengths: [100 mm, 300 mm, 2 m], wire: 10 AWG, insulation: 105 °C}
  - {id: W2, path: [B1-, FR1], length: 0.5 m, carries: bond, wire: 8 AWG, insulation: 105 °C}
""",
        passing="type: frame",
        failing="type: gas-pipe",
        finds=("B1",),
    ),
)
