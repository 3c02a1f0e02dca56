"""The pins of a shore inlet must be dead whenever no cord is plugged in.

An interlock on the cord keeps two supplies apart, but not the pins: while generator or inverter runs, bare metal
behind the inlet's cap stands at mains voltage. A child, or whoever plugs in the cord, touches it.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.sources import AcSource, ShoreInlet
from rigline.study.ac_reach import feeds, is_on_board
from rigline.study.study import Study

SLUG = "ac-shore-backfeed"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each inlet whose pins an on-board source reaches, where an interlock keeps the two from running together."""
    components = study.system.components
    seen: set[tuple[str, str]] = set()
    for feed in feeds(study):
        source = components[feed.source]
        for id in sorted(feed.reached):
            inlet = components[id]
            pair = (id, feed.source)
            if not is_on_board(source) or not isinstance(inlet, ShoreInlet) or pair in seen:
                continue
            # Without an interlock the two can run together, which is ac-parallel-sources and says the same of the pins.
            if isinstance(source, AcSource) and source.interlock and source.interlock == inlet.interlock:
                seen.add(pair)
                yield Hit(pair, words={"source": source.display, "by": source.interlock}, field="interlock")


CHECK = Check(
    slug=SLUG,
    title="shore inlet with live pins while no cord is in",
    family="AC",
    severity=Severity.DANGER,
    limit="No source on board reaches the inlet in any position of the switches.",
    exceptions="Sources that can run together with shore power: ac-parallel-sources, which covers the pins too.",
    sources=(Source("NEC 551.33 and 551.46; IEC 60364-7-721, inlets", "from memory"),),
    message=(
        "{source} can feed the pins of {at}: the interlock {by} keeps the cord out, but bare pins stand at mains "
        "voltage."
    ),
    remedy="Put a transfer switch behind {at} that cuts off live and neutral while {source} runs.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Cabin with a cord from next door and a generator on a panel of its own
profile: us-cabin
body: wood
defaults: {insulation: 75 °C}
supply: {earthing: TN-C-S}
components:
  SH1: {kind: shore-inlet, rating: 30 A, voltage: 120 V, interlock: cap, ip: IP44}
  GEN1: {kind: generator, power: 3 kW, voltage: 120 V, neutral-bond: none, interlock: cap, internal-breaker: 25 A}
  QM: {kind: breaker, rating: 30 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  QG: {kind: breaker, rating: 30 A, poles: 1, voltage: 120 V, interrupting: 10 kA, hold-down: true}
  ACP1: {kind: ac-panel, rating: 60 A, neutral-bond: fixed}
  ACP2: {kind: ac-panel, rating: 60 A, neutral-bond: fixed}
  ER1: {kind: earth-electrode, type: rod, count: 2}
runs:
  - {id: W1, path: [SH1, QM, ACP1], lengths: [300 mm, 1 m], wire: 10 AWG}
  - {id: W2, path: [GEN1, QG, ACP2], lengths: [300 mm, 1 m], wire: 10 AWG}
  - {id: W3, path: [ACP1, ER1], length: 1 m, carries: earth, wire: 6 AWG}
  - {id: W4, path: [ACP2, ER1], length: 1 m, carries: earth, wire: 6 AWG}
  - {id: W5, path: [GEN1.case, ER1], length: 1 m, carries: earth, wire: 6 AWG}
""",
        passing="path: [GEN1, QG, ACP2]",
        failing="path: [GEN1, QG, ACP1]",
        finds=("SH1", "GEN1"),
    ),
)
