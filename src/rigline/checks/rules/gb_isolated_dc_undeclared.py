"""A DC system is either isolated everywhere or bonded once; half of each is worse than both.

An isolated system lets the first fault pass without current, provided that nothing ties it to metal. One sensor, radio
or inverter that joins a pole to its case makes it a grounded system whose other pole nobody protected.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.model.system import NEGATIVE, POSITIVE
from rigline.study.study import Study

SLUG = "gb-isolated-dc-undeclared"
_MAKER = "its maker ties a pole to its case"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each tie to earth in a system that is declared isolated."""
    if study.system.head.dc_grounding != "isolated":
        return
    said: set[str] = set()
    for bond in study.grounding.bonds:
        said.add(bond.dc.component)
        tie = f"run {bond.runs[0]} joins it to {bond.earth.component}" if bond.runs else _MAKER
        yield Hit((bond.dc.component,), found=1.0, limit=0.0, runs=bond.runs, words={"tie": tie})
    for id, component in sorted(study.system.components.items()):
        poles = {node.pole for node in study.graph.nodes_of(id)}
        if component.grounded_case and id not in said and poles & {POSITIVE, NEGATIVE}:
            yield Hit((id,), found=1.0, limit=0.0, words={"tie": _MAKER})


CHECK = Check(
    slug=SLUG,
    title="tie to earth in a DC system declared isolated",
    family="grounding & bonding",
    severity=Severity.FAULT,
    limit="No tie of any pole to metal where `dc-grounding: isolated` is declared.",
    exceptions="none. A floating system that is not declared isolated is found by gb-dc-bond-missing.",
    sources=(Source("ISO 13297, fully insulated two-wire system", "verified"),),
    message="The DC system is declared isolated, but at {at} it is not: {tie}.",
    remedy="Take the tie at {at} out, or use an isolated model of it.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Aluminium boat with an isolated lamp circuit
profile: intl-boat
body: metal
dc-grounding: isolated
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A, vented: true}
  F1: {kind: breaker, style: thermal, rating: 10 A, poles: 2, voltage: 32 V, interrupting: 3 kA}
  Q1: {kind: switch, rating: 100 A, voltage: 32 V, poles: 2}
  LT1: {kind: dc-load, name: Radio, power: 48 W, grounded-case: false}
  SN1: {kind: sensor, type: ground fault}
runs:
  - {id: W1, path: [B1, F1, Q1, LT1], lengths: [100 mm, 300 mm, 2 m], wire: 4 mm², insulation: 70 °C}
  - {id: W2, path: [Q1, SN1], length: 300 mm, wire: 4 mm², insulation: 70 °C}
""",
        passing="grounded-case: false",
        failing="grounded-case: true",
        finds=("LT1",),
    ),
)
