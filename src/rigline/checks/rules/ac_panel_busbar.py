"""A panel's neutral bar takes back what all its circuits send out.

Fed by two legs that swing against each other it carries the difference. Fed by a source whose legs are in step it
carries the sum, which may be twice what the panel was built for, and no breaker watches it.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import isinf

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.distribution import AcPanel
from rigline.model.system import HOT_LEGS
from rigline.study.ac_reach import feeds
from rigline.study.causes import exceeds
from rigline.study.study import Study

SLUG = "ac-panel-busbar"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each panel whose neutral bar is rated below what its feeds can send back through it."""
    in_phase = {
        id for feed in feeds(study) if getattr(study.system.components[feed.source], "in_phase", None)
        for id in feed.reached
    }  # fmt: skip
    for id, panel in sorted(study.system.components.items()):
        if not isinstance(panel, AcPanel):
            continue
        legs = [amps for leg in HOT_LEGS if (amps := _feed_a(study, id, leg)) > 0]
        adds_up = id in in_phase and len(legs) > 1
        found = sum(legs) if adds_up else max(legs, default=0.0)
        if panel.neutral_rating_a is None and adds_up:
            yield Missing((id,), f"neutral-rating of {id}")
        elif panel.neutral_rating_a is not None and exceeds(found, panel.neutral_rating_a):
            words = {"how": "both legs together" if adds_up else "its feed"}
            yield Hit((id,), found, panel.neutral_rating_a, "A", words=words, field="neutral-rating")


def _feed_a(study: Study, id: str, leg: str) -> float:
    """What all feeds of one leg can send into a panel; what has no device ahead is another rule's."""
    flows = [
        exposure.other(end).flow_a for exposure, end in study.ends_at.get(id, ()) if end.node.pole == leg
    ]  # fmt: skip
    return sum(flow for flow in flows if not isinf(flow))


CHECK = Check(
    slug=SLUG,
    title="neutral bar rated below what comes back through it",
    family="AC",
    severity=Severity.DANGER,
    limit="The neutral bar carries the largest leg; both legs together where the source feeds them in step.",
    exceptions="Hot bars fed from several sides: ph-busbar-rating. A bar without a rating counts as the panel's own.",
    sources=(Source("NEC 710.15(C)", "verified"), Source("NEC 705.12", "from memory")),
    message="The neutral bar of {at} is rated {limit} A, but {how} can send {found} A back through it.",
    remedy="Fit a neutral bar for {found} A in {at}, or a smaller main ahead of it.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Cabin with a panel on two legs in step
profile: us-cabin
body: wood
defaults: {insulation: 75 °C}
components:
  GEN1: {kind: generator, power: 5 kW, voltage: 120/240 V, neutral-bond: none, internal-breaker: 20 A, in-phase: true}
  ACP1: {kind: ac-panel, rating: 60 A, neutral-rating: 60 A, neutral-bond: fixed}
  QA: {kind: breaker, rating: 20 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  HT1: {kind: ac-load, name: Heater, power: 1200 W, legs: L1, continuous: false}
  ER1: {kind: earth-electrode, type: rod, count: 2}
runs:
  - {id: W1, path: [GEN1, ACP1], length: 2 m, wire: 8 AWG}
  - {id: W2, path: [ACP1, QA, HT1], lengths: [100 mm, 3 m], cores: [L1, N, PE], wire: 12 AWG}
  - {id: W3, path: [ACP1, ER1], length: 1 m, carries: earth, wire: 6 AWG}
  - {id: W4, path: [GEN1.case, ER1], length: 1 m, carries: earth, wire: 6 AWG}
""",
        passing="neutral-rating: 60 A",
        failing="neutral-rating: 30 A",
        finds=("ACP1",),
    ),
)
