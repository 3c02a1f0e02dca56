"""A rod in the ground is no substitute for the earth wire back to the source.

Soil resists so much that a live case pushes only a few amperes through it: no breaker opens, and the case stays live.
A rod has its use beside the earth wire, never instead of it.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.earth_gaps import earth_gaps
from rigline.findings import Severity
from rigline.study.study import Study

SLUG = "gb-rod-instead-of-egc"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each AC component whose only earth is an electrode."""
    for gap in earth_gaps(study):
        if gap.soil:
            cable = f"in run {gap.run}" if gap.run else "beside the live wires"
            words = {"source": gap.source, "rod": gap.soil, "cable": cable}
            yield Hit(at=(gap.id, gap.soil), runs=gap.runs, words=words)


CHECK = Check(
    slug=SLUG,
    title="earth rod in place of an earth wire",
    family="grounding & bonding",
    severity=Severity.DANGER,
    limit="An earth wire leads back to the source; the ground is no path for the current of a fault.",
    exceptions="Supplies with their own electrode (TT) behind a 30 mA residual-current device, outside the US.",
    sources=(
        Source("NEC 250.4(A)(5)", "from memory"),
        Source("IEC 60364-4-41 411.5", "from memory"),
    ),
    message=(
        "The only earth of {at} is the electrode {rod}; no earth wire leads back to {source}. If a live wire touches "
        "its case, no breaker opens."
    ),
    remedy="Add an earth wire from {at} to {source} {cable} (`cores: [L, N, PE]`); the electrode may stay.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Cabin and shed with an earth wire between them
profile: us-cabin
body: wood
defaults: {insulation: 75 °C}
components:
  GEN1: {kind: generator, power: 3 kW, voltage: 120 V, neutral-bond: none}
  QM: {kind: breaker, rating: 30 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  ACP1: {kind: ac-panel, rating: 30 A, neutral-bond: fixed}
  QA: {kind: breaker, rating: 20 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  RC1: {kind: receptacle, name: Shed outlet, rating: 20 A, gfci: true, power: 900 W}
  ER1: {kind: earth-electrode, type: rod, count: 2}
  ER2: {kind: earth-electrode, type: rod, count: 2}
runs:
  - {id: W1, path: [GEN1, QM, ACP1], lengths: [150 mm, 2 m], wire: 10 AWG}
  - {id: W2, path: [ACP1, QA, RC1], lengths: [100 mm, 8 m], wire: 12 AWG, cores: [L, N, PE]}
  - {id: W3, path: [ACP1, ER1], length: 2 m, carries: earth, wire: 6 AWG}
  - {id: W4, path: [RC1.PE, ER2], length: 2 m, carries: earth, wire: 6 AWG}
""",
        passing="cores: [L, N, PE]",
        failing="cores: [L, N]",
        finds=("RC1", "ER2"),
    ),
)
