"""The protective earth wire is what opens the breaker when a live wire touches a metal case.

Without it the case stays at mains voltage until somebody touches it and something earthed at once. A frame, a hull or
a rod in the ground is no substitute: the wire must lead back to the source.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.earth_gaps import earth_gaps
from rigline.findings import Severity
from rigline.study.study import Study

SLUG = "gb-ac-egc-missing"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each AC run without an earth core behind which a case or outlet has no earth wire back to its source."""
    for gap in earth_gaps(study):
        if not gap.soil:
            why = f"run {gap.run} has no earth core" if gap.run else "its earth wire leads elsewhere"
            yield Hit(at=(gap.id,), runs=gap.runs, words={"source": gap.source, "gap": why})


CHECK = Check(
    slug=SLUG,
    title="AC equipment without a protective earth wire",
    family="grounding & bonding",
    severity=Severity.DANGER,
    limit="From every AC case and outlet an unbroken earth wire leads to the source that feeds it, in every position.",
    exceptions=(
        "Double-insulated equipment (`class-ii: true`); cases that are not metal; one appliance alone on a floating "
        "source (electrical separation, IEC 60364-4-41 413). Where a rod stands in for the wire: gb-rod-instead-of-egc."
    ),
    sources=(
        Source("NEC 250.110 and 551.54", "from memory"),
        Source("IEC 60364-7-721", "from memory"),
    ),
    message=(
        "{at} has no protective earth back to {source}: {gap}. If a live wire touches its case, the case stays live "
        "and no breaker opens."
    ),
    remedy="Lay a cable with live, neutral and earth (`cores: [L, N, PE]`) all the way from {source} to {at}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Camper on shore power with an earthed outlet
profile: us-rv
body: metal
components:
  SH1: {kind: shore-inlet, rating: 30 A, voltage: 120 V}
  QM: {kind: breaker, rating: 30 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  ACP1: {kind: ac-panel, rating: 30 A}
  QA: {kind: breaker, rating: 20 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  RC1: {kind: receptacle, rating: 20 A, gfci: true, power: 900 W}
  FR1: {kind: chassis, type: frame}
runs:
  - {id: W1, path: [SH1, QM, ACP1], lengths: [1 m, 100 mm], wire: 10 AWG, insulation: 75 °C}
  - {id: W2, path: [ACP1, QA, RC1], lengths: [100 mm, 3 m], wire: 12 AWG, insulation: 75 °C, cores: [L, N, PE]}
  - {id: W3, path: [ACP1, FR1], length: 1 m, carries: earth, wire: 8 AWG, insulation: 75 °C}
""",
        passing="cores: [L, N, PE]",
        failing="cores: [L, N]",
        finds=("RC1",),
    ),
)
