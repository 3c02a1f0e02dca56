"""A transfer switch must take every live conductor over to the other source.

What stays behind joins the two sources for ever: a second leg that is never switched, or a neutral through which one
source's current finds its way into the other's wiring.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.devices import TransferSwitch
from rigline.model.system import HOT_LEGS, NEUTRAL
from rigline.study.study import Study

SLUG = "ac-transfer-poles"
BOATS = frozenset({"us-boat", "intl-boat", "uk-inland-boat"})
"""Where the neutral must change over, and no other rule asks for it."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each transfer switch with fewer poles than the live conductors that have to change over."""
    for id, switch in sorted(study.system.components.items()):
        if not isinstance(switch, TransferSwitch):
            continue
        nodes = study.graph.nodes_of(id)
        legs = sorted({node.pole for node in nodes if node.pole in HOT_LEGS})
        neutral = any(node.pole == NEUTRAL for node in nodes)
        switched = any(node.pole == NEUTRAL and node.terminal for node in nodes)
        counts = neutral and (switched or study.system.profile_name in BOATS)
        needed = len(legs) + counts
        unsaid = switch.switches_neutral is None or len(legs) > 1
        if not legs:
            continue
        if switch.poles is None and unsaid:
            yield Missing((id,), f"poles of {id}")
        elif (len(legs) + switched if switch.poles is None else switch.poles) < needed:
            found = len(legs) + switched if switch.poles is None else switch.poles
            live = ", ".join((*legs, *("N",) * counts))
            yield Hit((id,), float(found), float(needed), "poles", words={"live": live}, field="poles")


CHECK = Check(
    slug=SLUG,
    title="transfer switch with too few poles",
    family="AC",
    severity=Severity.DANGER,
    limit="A pole for every leg, and for the neutral in vehicles and boats: two at 30 A, three at 50 A.",
    exceptions="Cabins with a common neutral; vehicles whose switch leaves the neutral: gb-transfer-neutral-switching.",
    sources=(Source("NEC 551.33; ISO 13297", "from memory"),),
    message="{at} changes over {found} poles, but {live} must change over together ({limit} poles).",
    remedy="Fit a transfer switch with {limit} poles in place of {at}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Coach with two generators of two legs
profile: us-rv
body: metal
defaults: {insulation: 75 °C}
components:
  GEN1: {kind: generator, power: 5 kW, voltage: 120/240 V, neutral-bond: relay}
  GEN2: {kind: generator, power: 5 kW, voltage: 120/240 V, neutral-bond: relay}
  Q1: {kind: breaker, rating: 20 A, poles: 2, voltage: 240 V, interrupting: 10 kA}
  Q2: {kind: breaker, rating: 20 A, poles: 2, voltage: 240 V, interrupting: 10 kA}
  TS1: {kind: transfer-switch, rating: 50 A, poles: 3, switches-neutral: true}
  ACP1: {kind: ac-panel, rating: 50 A}
  QA: {kind: breaker, rating: 20 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  RC1: {kind: receptacle, rating: 20 A, gfci: true, power: 900 W, legs: L1}
  FR1: {kind: chassis, type: frame}
runs:
  - {id: W1, path: [GEN1, Q1, TS1.a], lengths: [150 mm, 2 m], wire: 10 AWG}
  - {id: W2, path: [GEN2, Q2, TS1.b], lengths: [150 mm, 2 m], wire: 10 AWG}
  - {id: W3, path: [TS1.out, ACP1], length: 1 m, wire: 10 AWG}
  - {id: W4, path: [ACP1, QA, RC1], lengths: [100 mm, 3 m], wire: 12 AWG}
  - {id: W5, path: [ACP1, FR1], length: 1 m, carries: earth, wire: 8 AWG}
""",
        passing="poles: 3, switches-neutral",
        failing="poles: 2, switches-neutral",
        finds=("TS1",),
    ),
)
