"""Two shore cords into one panel are two supplies that nobody can switch off together.

Who pulls one plug believes the panel dead while half of it is live, and the common neutral carries what both cords
bring. Two outlets of one pedestal may even be on different phases, or the same.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.distribution import AcPanel
from rigline.kinds.sources import ShoreInlet
from rigline.study.ac_reach import Feed, feeds
from rigline.study.study import Study

SLUG = "ac-two-cords"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each pair of inlets that feed one panel at once, on different bars and without a lock-out."""
    components = study.system.components
    inlets = [feed for feed in feeds(study) if isinstance(components[feed.source], ShoreInlet)]
    seen: set[tuple[str, str]] = set()
    for first, second in combinations(inlets, 2):
        pair = (first.source, second.source)
        shared = [id for id in sorted(first.reached & second.reached) if isinstance(components[id], AcPanel)]
        # Two inlets on one bar are ac-parallel-sources.
        joined = bool(first.hot & second.hot)
        if first.mode == second.mode and shared and not joined and pair not in seen and not _locked(study, pair):
            seen.add(pair)
            yield _hit(first, second, shared[0])


def _locked(study: Study, pair: tuple[str, str]) -> bool:
    names = {getattr(study.system.components[id], "interlock", None) for id in pair}
    return len(names) == 1 and None not in names


def _hit(first: Feed, second: Feed, panel: str) -> Hit:
    words = {"panel": panel, "other": second.source}
    return Hit((first.source, second.source, panel), words=words, mode=first.mode_name)


CHECK = Check(
    slug=SLUG,
    title="two shore cords into one panel",
    family="AC",
    severity=Severity.FAULT,
    limit="A panel is fed by one shore cord at a time.",
    exceptions="Inlets with an `interlock` of the same name; inlets with panels of their own.",
    sources=(
        Source("one supply cord for an RV, as explained by makers of RV panels", "verified"),
        Source("NEC 551.46", "from memory"),
    ),
    message="{at} and {other} both feed {panel} at once: pulling one plug leaves half of the panel live.",
    remedy="Give {at} and {other} a panel each, or an interlock that lets one of them close.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Cabin with two cords and a panel for each
profile: us-cabin
body: wood
defaults: {insulation: 75 °C}
supply: {earthing: TN-C-S}
components:
  SH1: {kind: shore-inlet, rating: 30 A, voltage: 120 V, ip: IP44}
  SH2: {kind: shore-inlet, rating: 30 A, voltage: 120 V, ip: IP44}
  QM: {kind: breaker, rating: 30 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  QN: {kind: breaker, rating: 30 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  ACP1: {kind: ac-panel, rating: 60 A, neutral-bond: fixed}
  ACP2: {kind: ac-panel, rating: 60 A, neutral-bond: fixed}
  ER1: {kind: earth-electrode, type: rod, count: 2}
runs:
  - {id: W1, path: [SH1, QM, ACP1], lengths: [300 mm, 1 m], cores: [L1, N, PE], wire: 10 AWG}
  - {id: W2, path: [SH2, QN, ACP2], lengths: [300 mm, 1 m], cores: [L2, N, PE], wire: 10 AWG}
  - {id: W3, path: [ACP1, ER1], length: 1 m, carries: earth, wire: 6 AWG}
  - {id: W4, path: [ACP2, ER1], length: 1 m, carries: earth, wire: 6 AWG}
""",
        passing="[SH2, QN, ACP2]",
        failing="[SH2, QN, ACP1]",
        finds=("SH1", "SH2", "ACP1"),
    ),
)
