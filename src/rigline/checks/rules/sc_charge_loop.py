"""A battery can't charge itself: what goes round through an inverter and a charger comes back smaller.

A charger on the panel that the inverter feeds takes from the battery all that it gives it, and a third more for the
losses of both. It looks like charging, and by morning the battery is empty and both units are hot.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.converters import DcToDc
from rigline.model.system import Node
from rigline.study.direct_charge import net_of
from rigline.study.inverter_loads import chargers_fed, fed_nodes, inverters
from rigline.study.storage import CHARGING_TERMINALS
from rigline.study.study import Study

SLUG = "sc-charge-loop"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each charger that is fed, through an inverter or another charger, by the bank that it charges."""
    for inverter in inverters(study):
        if any(node.component == inverter.id and node.terminal == "ac-in" for node in fed_nodes(study, inverter)):
            yield Hit((inverter.id,), words={"through": "its own output", "what": _OWN_INPUT, "fix": _OWN_FIX})
        for charger in chargers_fed(study, inverter):
            terminals = CHARGING_TERMINALS[charger.kind]
            net = {n for t in terminals for n in net_of(study, charger.id, terminal=t)}
            if Node(inverter.id, "dc", "+") in net:
                yield Hit((charger.id, inverter.id), words=_circle(inverter.id))
    units = [c for _, c in sorted(study.system.components.items()) if isinstance(c, DcToDc)]
    for first, second in combinations(units, 2):
        if _feeds(study, first.id, second.id) and _feeds(study, second.id, first.id):
            yield Hit((first.id, second.id), words=_circle(second.id))


_CIRCLES = (
    "the battery can feed it, and it charges the battery again: the battery goes flat in circles, and both run hot"
)
_OWN_INPUT = "its input is fed by itself: its transfer relay then joins output to output, which destroys it"
_MOVE = "Move it ahead of what {through} feeds, to the shore or generator side"
_OWN_FIX = "Feed the input from shore, generator or a panel ahead of it"


def _circle(through: str) -> dict[str, str]:
    return {"through": through, "what": _CIRCLES, "fix": _MOVE.format(through=through)}


def _feeds(study: Study, first: str, second: str) -> bool:
    return Node(second, "in", "+") in net_of(study, first, terminal="out")


CHECK = Check(
    slug=SLUG,
    title="charger that is fed by its own battery",
    family="sources & charging",
    severity=Severity.DANGER,
    limit="No position of the switches lets a bank feed its own charger.",
    exceptions="An inverter-charger's own charger, which stops while it inverts.",
    sources=(Source("no closed loop of energy", "common practice"),),
    message="{at}: through {through} {what}.",
    remedy="{fix} ({at}).",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A charger in the galley of an inverter boat
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah, short-circuit: 1 kA, max-discharge: 90 A}
  F1: {kind: fuse, style: class-t, rating: 90 A}
  Q1: {kind: switch, rating: 100 A, voltage: 32 V}
  INV1: {kind: inverter, power: 600 W, output: 120 V, neutral-bond: fixed, gfci: true}
  QB: {kind: breaker, rating: 15 A, voltage: 120 V, interrupting: 5 kA}
  CH1: {kind: ac-charger, output: 10 A, absorb: 14.4 V, class-ii: true}
  F2: {kind: fuse, style: class-t, rating: 15 A}
  B2: {kind: battery, name: Tender, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F3: {kind: fuse, style: class-t, rating: 10 A}
  LT1: {kind: dc-load, name: Lamps, current: 4 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, Q1, INV1.dc], lengths: [100 mm, 0.3 m, 0.5 m], wire: 2 AWG}
  - {id: W2, path: [INV1.ac-out, QB, CH1.ac], lengths: [0.5 m, 1 m], wire: 12 AWG}
  - {id: W3, path: [B2, F2, CH1.dc], lengths: [100 mm, 0.6 m], wire: 10 AWG}
  - {id: W6, path: [B2, F3, LT1], lengths: [100 mm, 1 m], wire: 10 AWG}
  - {id: W7, path: [B2-, B1-], length: 0.5 m, carries: negative, wire: 2 AWG}
  - {id: W4, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 2 AWG}
  - {id: W5, path: [INV1.case, GND], length: 0.5 m, carries: earth, wire: 2 AWG}
""",
        passing="path: [B2, F2, CH1.dc]",
        failing="path: [B1, F2, CH1.dc]",
        finds=("CH1", "INV1"),
    ),
)
