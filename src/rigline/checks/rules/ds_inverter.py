"""An inverter must be possible to part from its battery and from what it feeds.

It holds a lethal voltage at its output as long as its battery is connected, and it draws current when it idles. Whoever
changes an outlet, or the inverter, has to be able to make both sides dead.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.converters import Inverter
from rigline.study.inverter_loads import inverters
from rigline.study.isolation import is_large, is_separate, unswitched
from rigline.study.storage import storages
from rigline.study.study import Study

SLUG = "ds-inverter"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each inverter that no switch or breaker parts from its battery, or from its loads."""
    for storage in storages(study):
        found = unswitched(study, storage)
        # A large bank without any switch is ds-battery-main-missing.
        if found.is_whole and is_large(storage) is not False:
            continue
        for id in sorted(found.live):
            if isinstance(study.system.components[id], Inverter):
                words = {"side": "its battery " + " and ".join(storage.ids), "where": "in its positive cable"}
                yield Hit((id, *storage.ids), words=words)
    for inverter in inverters(study):
        if not (inverter.internal_receptacles or inverter.internal_breaker_a or is_separate(study, inverter.id)):
            yield Hit((inverter.id,), words={"side": "what it feeds", "where": "in its output"})


CHECK = Check(
    slug=SLUG,
    title="inverter that can't be isolated",
    family="disconnects",
    severity=Severity.ADVICE,
    limit="A switch or breaker stands between an inverter and its battery, and between its output and each load.",
    exceptions=(
        "Outlets on the inverter itself; a breaker inside (internal-breaker); a battery with a switch of its own."
    ),
    sources=(Source("NEC 690.15 and 706.15", "from memory"),),
    message="Nothing parts {at} from {side}: it can't be made dead to work on it.",
    remedy="Put a switch or breaker {where}, for {at}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: An inverter and its kettle
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah, short-circuit: 1 kA, max-discharge: 90 A}
  F1: {kind: fuse, style: class-t, rating: 90 A}
  Q1: {kind: switch, rating: 100 A, voltage: 32 V}
  INV1: {kind: inverter, power: 600 W, output: 120 V, neutral-bond: fixed, gfci: true}
  QB: {kind: breaker, rating: 15 A, voltage: 120 V, interrupting: 5 kA}
  LD1: {kind: ac-load, name: Kettle, power: 500 W, continuous: false, class-ii: true}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, Q1, INV1.dc], lengths: [100 mm, 0.3 m, 0.5 m], wire: 2 AWG}
  - {id: W2, path: [INV1.ac-out, QB, LD1], lengths: [0.5 m, 1 m], wire: 12 AWG}
  - {id: W4, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 2 AWG}
  - {id: W5, path: [INV1.case, GND], length: 0.5 m, carries: earth, wire: 2 AWG}
""",
        passing="Q1: {kind: switch, rating: 100 A, voltage: 32 V}",
        failing="Q1: {kind: busbar, rating: 100 A}",
        finds=("INV1", "B1"),
    ),
)
