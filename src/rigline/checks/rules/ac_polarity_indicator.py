"""In a campground outlet wired the wrong way round the live wire is where the neutral should be.

Breakers with one pole then open the neutral: the appliance stops and stays live inside. A lamp or buzzer that tells
reversed polarity is the only warning before somebody opens a case.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.devices import Overcurrent
from rigline.kinds.distribution import AcPanel
from rigline.kinds.loads import Sensor
from rigline.kinds.sources import ShoreInlet
from rigline.model.system import NEUTRAL
from rigline.study.ac_reach import feeds
from rigline.study.study import Study

SLUG = "ac-polarity-indicator"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each inlet with breakers of one pole behind it and no panel that shows reversed polarity."""
    components = study.system.components
    reached: dict[str, set[str]] = {}
    for feed in feeds(study):
        if isinstance(components[feed.source], ShoreInlet):
            reached.setdefault(feed.source, set()).update(feed.reached)
    shown = any(isinstance(c, Sensor) and "polarity" in (c.type or "") for c in components.values())
    for inlet, ids in sorted(reached.items()):
        panels = [c for id in sorted(ids) if isinstance(c := components[id], AcPanel)]
        single = [id for id in sorted(ids) if _leaves_neutral(study, id)]
        if not single or shown or any(panel.polarity_indicator for panel in panels):
            continue
        said = [panel for panel in panels if panel.polarity_indicator is None]
        if said or not panels:
            at = said[0].id if said else inlet
            yield Missing((at,), f"whether {at} shows reversed polarity (polarity-indicator)")
        else:
            words = {"inlet": inlet, "breakers": ", ".join(single)}
            yield Hit((panels[0].id, inlet), words=words, field="polarity-indicator")


def _leaves_neutral(study: Study, id: str) -> bool:
    """Whether a device opens the hot conductor and leaves the neutral joined."""
    opens = any(node.pole == NEUTRAL and node.terminal for node in study.graph.nodes_of(id))
    return isinstance(study.system.components[id], Overcurrent) and not opens


CHECK = Check(
    slug=SLUG,
    title="no warning of reversed polarity",
    family="AC",
    severity=Severity.FAULT,
    limit="Behind a shore inlet with breakers of one pole something shows reversed polarity.",
    exceptions="Every breaker opens live and neutral; an isolation or polarisation transformer (ISO 13297 6.10).",
    sources=(
        Source("ISO 13297:2020 6.10; RV panels since 2020", "verified"),
        Source("ABYC E-11, reverse polarity indicator", "from memory"),
    ),
    message=(
        "{at} shows no reversed polarity: behind an outlet of the wrong polarity {breakers} open the neutral and leave "
        "appliances live."
    ),
    remedy="Fit a polarity indicator at {at}, or breakers that open live and neutral together.",
    find=find,
    profiles=("us-rv", "us-boat", "intl-boat", "uk-inland-boat"),
    example=Example(
        spec="""\
rigline: 1
title: Camper on shore power
profile: us-rv
body: metal
defaults: {insulation: 75 °C}
components:
  SH1: {kind: shore-inlet, rating: 30 A, voltage: 120 V, ip: IP44}
  QM: {kind: breaker, rating: 30 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  ACP1: {kind: ac-panel, rating: 30 A, polarity-indicator: true}
  QA: {kind: breaker, rating: 20 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  RC1: {kind: receptacle, rating: 20 A, gfci: true, power: 900 W, location: galley}
  FR1: {kind: chassis, type: frame}
runs:
  - {id: W1, path: [SH1, QM, ACP1], lengths: [300 mm, 1 m], wire: 10 AWG}
  - {id: W2, path: [ACP1, QA, RC1], lengths: [100 mm, 3 m], wire: 12 AWG}
  - {id: W3, path: [ACP1, FR1], length: 1 m, carries: earth, wire: 8 AWG}
""",
        passing="polarity-indicator: true",
        failing="polarity-indicator: false",
        finds=("ACP1", "SH1"),
    ),
)
