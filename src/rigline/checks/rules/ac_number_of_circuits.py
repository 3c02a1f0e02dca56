"""An RV's supply is chosen by the number of its circuits.

Six circuits on a 30 A cord trip the pedestal on the first cold evening, and a cord at its limit for hours is warm all
the way. The table knows three steps: one circuit, two to five, six or more.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.sources import ShoreInlet
from rigline.model.system import HOT_LEGS
from rigline.study.ac_reach import feeds
from rigline.study.causes import exceeds
from rigline.study.study import Study

SLUG = "ac-number-of-circuits"
SUPPLY_A = ((1, 15.0), (5, 30.0))
"""Most circuits, and the least supply for them. Source: NEC 551.42 (from memory); 552.46 for two to five."""
LARGEST_A = 50.0
"""Supply of six circuits or more. Source: NEC 551.42, from memory."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each inlet that is smaller than the number of its circuits asks for."""
    components = study.system.components
    reached: dict[str, set[str]] = {}
    for feed in feeds(study):
        if isinstance(components[feed.source], ShoreInlet):
            reached.setdefault(feed.source, set()).update(feed.reached)
    for id, ids in sorted(reached.items()):
        inlet = components[id]
        rating = inlet.rating_a if isinstance(inlet, ShoreInlet) else None
        count = len(_branches(study, {one for one in ids if study.neutrals.is_load(components[one])}))
        least = next((amps for most, amps in SUPPLY_A if count <= most), LARGEST_A)
        if not count:
            continue
        if rating is None:
            yield Missing((id,), f"rating of {id}")
        elif exceeds(least, rating):
            yield Hit((id,), rating, least, "A", words={"count": str(count)}, field="rating")


def _branches(study: Study, loads: set[str]) -> set[str]:
    """The devices that stand last ahead of loads."""
    return {
        device for load in loads for exposure, end in study.ends_at.get(load, ()) if end.node.pole in HOT_LEGS
        for device in exposure.other(end).feeding
    }  # fmt: skip


CHECK = Check(
    slug=SLUG,
    title="more circuits than the supply is meant for",
    family="AC",
    severity=Severity.ADVICE,
    limit="One circuit 15 A (20 A for a 20 A circuit); two to five circuits 30 A; six or more 50 A.",
    exceptions="Vehicles for other uses than living (NEC 551.4(A)).",
    sources=(Source("NEC 552.46, two to five circuits", "verified"), Source("NEC 551.42", "from memory")),
    message="{at} is {found} A for {count} circuits, which ask for a supply of {limit} A.",
    remedy="Fit a {limit} A inlet and cord for {at}, or fewer circuits.",
    find=find,
    profiles=("us-rv",),
    example=Example(
        spec="""\
rigline: 1
title: Camper with two circuits on shore power
profile: us-rv
body: metal
defaults: {insulation: 75 °C}
components:
  SH1: {kind: shore-inlet, voltage: 120 V, rating: 30 A}
  QM: {kind: breaker, rating: 20 A, poles: 2, voltage: 240 V, interrupting: 10 kA}
  ACP1: {kind: ac-panel, rating: 30 A, polarity-indicator: true}
  QA: {kind: breaker, rating: 15 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  HT1: {kind: ac-load, name: Heater, power: 900 W, continuous: false}
  QB: {kind: breaker, rating: 15 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  KT1: {kind: ac-load, name: Kettle, power: 900 W, continuous: false}
  FR1: {kind: chassis, type: frame}
runs:
  - {id: W1, path: [SH1, QM, ACP1], lengths: [300 mm, 1 m], wire: 10 AWG}
  - {id: W2, path: [ACP1, QA, HT1], lengths: [100 mm, 3 m], wire: 12 AWG}
  - {id: W3, path: [ACP1, QB, KT1], lengths: [100 mm, 3 m], wire: 12 AWG}
  - {id: W4, path: [ACP1, FR1], length: 1 m, carries: earth, wire: 8 AWG}
""",
        passing="120 V, rating: 30 A",
        failing="120 V, rating: 20 A",
        finds=("SH1",),
    ),
)
