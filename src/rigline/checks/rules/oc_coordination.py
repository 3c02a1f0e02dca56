"""When a lamp shorts, the lamp's fuse should open and not the bilge pump's.

If the device ahead is no larger than the one of the faulty branch, it may open first and takes everything behind it
down. That is a nuisance for a fridge and a sinking for a pump.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.loads import Load
from rigline.study.causes import exceeds
from rigline.study.study import Study

SLUG = "oc-coordination"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each device that serves a load that lives depend on, and is no larger than the device of another branch."""
    serves = {id: frozenset(circuit.serves) for id, circuit in study.circuits.items()}
    for upper, whole in study.circuits.items():
        vital = [id for id in whole.serves if _is_vital(study, id)]
        for lower in serves if vital else ():
            served = serves[lower]
            spared = [id for id in vital if id not in served]
            first, second = study.rating_a(upper), study.rating_a(lower)
            # A device below its branch is rt-main-below-branch.
            same = (
                first is not None and second is not None and not exceeds(first, second) and not exceeds(second, first)
            )
            if same and spared and served and served < serves[upper]:
                words = {"lower": lower, "vital": ", ".join(spared)}
                yield Hit((upper, lower, *spared), first, second, "A", words=words, field="rating")


def _is_vital(study: Study, id: str) -> bool:
    load = study.system.components[id]
    return isinstance(load, Load) and bool(load.safety)


CHECK = Check(
    slug=SLUG,
    title="branch fault that takes a vital load down",
    family="overcurrent",
    severity=Severity.FAULT,
    limit="What serves a load that lives depend on is larger than the device of every other branch behind it.",
    exceptions="A main below its branch: rt-main-below-branch. Fuses of one family ask for 2 to 1 to be sure.",
    sources=(
        Source("NEC 240.12, trade press on coordination", "verified"),
        Source("IEC 60269, 1.6 to 1", "from memory"),
    ),
    message="{at} is {found} A like {lower}: a short behind {lower} can open it, and {vital} goes off too.",
    remedy="Feed {vital} ahead of {at}, or fit a larger device for {at} within what its wire allows.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A bilge pump beside a wash pump
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: terminal, rating: 40 A}
  BUS1: {kind: busbar, rating: 150 A}
  F2: {kind: fuse, style: blade, rating: 25 A}
  M1: {kind: motor, name: Wash pump, current: 15 A, continuous: false}
  F3: {kind: fuse, style: blade, rating: 5 A}
  M2: {kind: motor, name: Bilge pump, current: 3 A, continuous: false, safety: true}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, BUS1], lengths: [100 mm, 0.5 m], wire: 8 AWG}
  - {id: W2, path: [BUS1, F2, M1], lengths: [100 mm, 1 m], wire: 8 AWG}
  - {id: W3, path: [BUS1, F3, M2], lengths: [100 mm, 1 m], wire: 12 AWG}
  - {id: W4, path: [BUS1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="blade, rating: 25 A",
        failing="blade, rating: 40 A",
        finds=("F1", "F2", "M2"),
    ),
)
