"""Two bonds make the metal between them a second negative wire.

Load current then divides between the cable and the hull, frame or engine. It warms hinges and bearings, upsets
instruments, passes a battery monitor by, and in a boat it eats the metal below the waterline.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.study.grounding import BOATS, Bond
from rigline.study.study import Study

SLUG = "gb-dc-bond-multiple"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each group of bonds that tie one DC return to one earth at more than one place."""
    grounding = study.grounding
    for bonds in grounding.bonds_by_return():
        if len(bonds) < 2:
            continue
        kept = grounding.bond_point(frozenset(bond.dc for bond in bonds))
        first = next(bond for bond in bonds if bond.dc.component == kept)
        spare = [bond for bond in bonds if bond is not first]
        yield Hit(
            at=tuple(dict.fromkeys(bond.dc.component for bond in (*spare, first))),
            found=float(len(bonds)),
            limit=1.0,
            runs=tuple(sorted({run for bond in bonds for run in bond.runs})),
            severity=Severity.DANGER if study.system.profile_name in BOATS else Severity.FAULT,
            words={
                "places": " and ".join(map(_words, bonds)),
                "keep": _words(first),
                "spare": ", ".join(map(_words, spare)),
            },
        )


def _words(bond: Bond) -> str:
    run = f" (run {bond.runs[0]})" if bond.runs else " (tied inside)"
    return f"{bond.dc.component}{bond.dc.pole} to {bond.earth.component}{run}"


CHECK = Check(
    slug=SLUG,
    title="more than one bond of the DC negative",
    family="grounding & bonding",
    severity=Severity.FAULT,
    limit="One bond for each DC system whose negatives are joined. More are a fault, in boats a danger.",
    exceptions=(
        "The own bond of a base vehicle's or starting battery belongs to the vehicle. Cases of equipment are earthed "
        "where they stand; that is no second bond."
    ),
    sources=(
        Source("ISO 13297, main grounding point", "verified"),
        Source("ABYC E-11, single-point grounding", "from memory"),
        Source("all grounds to one point", "common practice"),
    ),
    message="The DC return is joined to metal at {found} places: {places}. Load current divides through the metal.",
    remedy="Keep only the bond from {keep}. Take out {spare}, and lead those returns to the negative bus by wire.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Trailer pump with an earthed case
profile: us-rv
body: metal
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah, short-circuit: 1 kA, vented: true}
  F1: {kind: fuse, style: terminal, rating: 30 A}
  Q1: {kind: switch, rating: 100 A, voltage: 32 V}
  WP1: {kind: dc-load, name: Water heater pump, power: 100 W}
  FR1: {kind: chassis, type: frame}
runs:
  - {id: W1, path: [B1, F1, Q1, WP1], lengths: [100 mm, 300 mm, 2 m], wire: 10 AWG, insulation: 105 °C}
  - {id: W2, path: [B1-, FR1], length: 0.5 m, carries: bond, wire: 8 AWG, insulation: 105 °C}
  - {id: W3, path: [WP1.case, FR1], length: 0.5 m, carries: earth, wire: 8 AWG, insulation: 105 °C}
""",
        passing="path: [WP1.case, FR1], length: 0.5 m, carries: earth",
        failing="path: [WP1-, FR1], length: 0.5 m, carries: bond",
        finds=("WP1", "B1"),
    ),
)
