"""Where live and neutral can change places, a device on one wire may open the wrong one.

A plug that fits both ways, or a pitch outlet wired the wrong way round, puts the live wire where the breaker is not.
The appliance stops and stays live. And two legs on separate handles leave one live when the other has tripped.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.devices import Fuse, Overcurrent
from rigline.kinds.distribution import AcPanel
from rigline.kinds.sources import ShoreInlet
from rigline.model.system import HOT_LEGS, NEUTRAL
from rigline.study.ac_reach import feeds
from rigline.study.study import Study

SLUG = "oc-ac-poles"
UNPOLARISED = frozenset({"eu-caravan", "intl-boat", "uk-inland-boat"})
"""Rule sets in which shore power counts as reversible."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each device that opens one leg of two, or leaves a pole of a reversible supply joined."""
    components = study.system.components
    shore = {id for feed in feeds(study) if isinstance(components[feed.source], ShoreInlet) for id in feed.reached}
    indicated = study.system.profile_name != "eu-caravan" and _is_indicated(study)
    for id, device in sorted(components.items()):
        poles = {node.pole for node in study.graph.nodes_of(id) if node.terminal}
        if not isinstance(device, Overcurrent) or not poles & set(HOT_LEGS):
            continue
        both = {node.pole for node in study.graph.nodes_of(id)} >= set(HOT_LEGS)
        if both and not poles >= set(HOT_LEGS):
            yield Hit((id,), words={"what": "opens one of the two legs of its circuit"}, field="poles")
        elif study.system.profile_name not in UNPOLARISED or id not in shore:
            continue
        elif isinstance(device, Fuse):
            yield Hit((id,), words={"what": "is a fuse, which opens one pole of a supply that may be reversed"})
        elif NEUTRAL not in poles and _has_neutral(study, id) and not indicated:
            yield Hit((id,), words={"what": "opens one pole of a supply that may be reversed"}, field="poles")


def _has_neutral(study: Study, id: str) -> bool:
    """Whether a neutral runs beside what the device opens."""
    return any(
        NEUTRAL in {c.pole for c in segment.conductors}
        for segment in study.system.segments
        if id in (segment.start.component, segment.end.component)
    )


def _is_indicated(study: Study) -> bool:
    """Whether a panel shows reversed polarity, which makes the supply count as polarised (ISO 13297 6.10)."""
    return any(isinstance(c, AcPanel) and c.polarity_indicator for c in study.system.components.values())


CHECK = Check(
    slug=SLUG,
    title="device that leaves a live pole joined",
    family="overcurrent",
    severity=Severity.DANGER,
    limit=(
        "Both legs of a circuit open together. Caravans: live and neutral open together. Boats outside the US: the "
        "same unless polarity is indicated. No fuses in a supply that may be reversed."
    ),
    exceptions="Behind an isolation or polarisation transformer; boats with a polarity indicator (ISO 13297 6.10).",
    sources=(
        Source("ISO 13297:2020 13.1.1, 13.1.2 and 6.10; IEC 60364-7-721, double pole", "verified"),
        Source("NEC 240.15(B) and 210.4(B)", "from memory"),
    ),
    message="{at} {what}: what it should switch off can stay live.",
    remedy="Fit a breaker with two poles for {at}, which opens both conductors together.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Caravan with breakers of two poles
profile: eu-caravan
body: metal
defaults: {insulation: 70 °C}
components:
  SH1: {kind: shore-inlet, rating: 16 A, voltage: 230 V, ip: IP44}
  QM: {kind: breaker, rating: 16 A, poles: 2, voltage: 230 V, interrupting: 6 kA, residual: 30 mA}
  ACP1: {kind: ac-panel, rating: 25 A}
  QA: {kind: breaker, rating: 10 A, voltage: 230 V, interrupting: 6 kA, poles: 2}
  KT1: {kind: ac-load, name: Kettle, power: 900 W, continuous: false}
  FR1: {kind: chassis, type: frame}
runs:
  - {id: W1, path: [SH1, QM, ACP1], lengths: [300 mm, 1 m], wire: 2.5 mm²}
  - {id: W2, path: [ACP1, QA, KT1], lengths: [100 mm, 3 m], wire: 2.5 mm²}
  - {id: W3, path: [ACP1, FR1], length: 1 m, carries: earth, wire: 6 mm²}
""",
        passing="interrupting: 6 kA, poles: 2",
        failing="interrupting: 6 kA, poles: 1",
        finds=("QA",),
    ),
)
