"""Whoever pulls the shore plug believes the outlets dead; an inverter makes them live again a moment later.

A notice at the panel tells the next pair of hands, which may be a fire brigade's, that there is a second source and
where it is switched off.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.converters import Inverter
from rigline.kinds.distribution import AcPanel
from rigline.study.ac_reach import feeds
from rigline.study.study import Study

SLUG = "ac-inverter-label"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each panel that an inverter feeds and whose label does not name an inverter."""
    components = study.system.components
    fed: dict[str, str] = {}
    for feed in feeds(study):
        if isinstance(components[feed.source], Inverter):
            for id in feed.reached:
                if isinstance(components[id], AcPanel):
                    fed.setdefault(id, feed.source)
    for id, source in sorted(fed.items()):
        label = components[id].label
        if label is None:
            yield Missing((id,), f"label of {id}")
        elif "inverter" not in label.lower():
            yield Hit((id, source), words={"label": label, "source": source}, field="label")


CHECK = Check(
    slug=SLUG,
    title="inverter-fed panel without a notice",
    family="AC",
    severity=Severity.ADVICE,
    limit="A panel that an inverter feeds says so on a label.",
    exceptions="none",
    sources=(
        Source("ABYC A-31, notice at the panel, as quoted by an inverter's manual", "verified"),
        Source("NEC 551", "from memory"),
    ),
    message="The label of {at} ({label}) does not say that {source} can feed it.",
    remedy="Put a label on {at} that says: inverter on board, switch off {source} before work.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Camper with an inverter and a panel
profile: us-rv
body: metal
defaults: {insulation: 105 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 200 Ah, short-circuit: 4 kA,
       disconnect: true, charge-display: true, max-discharge: 100 A}
  F1: {kind: fuse, style: class-t, rating: 125 A}
  INV1: {kind: inverter, power: 300 W, output: 120 V, efficiency: 90 %, low-cutoff: 11 V, neutral-bond: fixed}
  ACP1: {kind: ac-panel, rating: 30 A, label: Inverter on board}
  FR1: {kind: chassis, type: frame}
runs:
  - {id: W1, path: [B1, F1, INV1.dc], lengths: [150 mm, 0.8 m], wire: 1/0 AWG}
  - {id: W2, path: [INV1.ac-out, ACP1], length: 1 m, wire: 10 AWG}
  - {id: W3, path: [B1-, FR1], length: 0.5 m, carries: bond, wire: 1/0 AWG}
  - {id: W4, path: [INV1.case, FR1], length: 0.8 m, carries: earth, wire: 1/0 AWG}
  - {id: W5, path: [ACP1, FR1], length: 1 m, carries: earth, wire: 8 AWG}
""",
        passing="label: Inverter on board",
        failing="label: Main panel",
        finds=("ACP1", "INV1"),
    ),
)
