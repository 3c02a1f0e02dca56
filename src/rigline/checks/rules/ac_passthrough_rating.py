"""Shore power that passes through an inverter runs over its small transfer relay.

The relay is made for 16, 30 or 50 A. A larger breaker ahead lets more through for hours, its contacts weld, and from
then on the inverter feeds the pins of the shore plug.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import isinf

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.converters import Inverter
from rigline.model.system import HOT_LEGS
from rigline.study.causes import exceeds
from rigline.study.protection import EndFlow
from rigline.study.study import Study

SLUG = "ac-passthrough-rating"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each inverter whose AC input stands behind more than its relay may carry."""
    for id, inverter in sorted(study.system.components.items()):
        if not isinstance(inverter, Inverter):
            continue
        ahead = [end for end in _ahead(study, id) if end.flow_unknown_a > 0]
        if ahead and inverter.transfer_rating_a is None:
            yield Missing((id,), f"transfer-rating of {id}")
            continue
        # Without any device ahead it is oc-shore-main or oc-generator-out.
        known = [end for end in ahead if not isinf(end.flow_a)]
        worst = max(known, key=lambda end: end.flow_a, default=None)
        if worst is not None and exceeds(worst.flow_a, inverter.transfer_rating_a or 0.0):
            by = worst.feeding or worst.sources
            words = {"by": ", ".join(by)}
            yield Hit((id, *by), worst.flow_a, inverter.transfer_rating_a, "A", words=words, field="transfer-rating")
        elif unknown := sorted({fact for end in ahead for fact in end.unknown}):
            yield Missing((id,), ", ".join(unknown))


def _ahead(study: Study, id: str) -> Iterator[EndFlow]:
    """What can flow towards the AC input of an inverter."""
    for exposure, end in study.ends_at.get(id, ()):
        if end.node.terminal == "ac-in" and end.node.pole in HOT_LEGS:
            yield exposure.other(end)


CHECK = Check(
    slug=SLUG,
    title="breaker larger than the transfer relay behind it",
    family="AC",
    severity=Severity.DANGER,
    limit="What stands ahead of an inverter's AC input is at most the rating of its transfer relay.",
    exceptions="none",
    sources=(Source("NEC 110.3(B), as listed and labelled", "from memory"),),
    message="{by} lets {found} A through the relay of {at}, which is made for {limit} A: its contacts can weld.",
    remedy="Fit a breaker of {limit} A or less ahead of the AC input of {at}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Camper with power passed through its inverter
profile: us-rv
body: metal
defaults: {insulation: 105 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 200 Ah, short-circuit: 4 kA,
       disconnect: true, charge-display: true, max-discharge: 100 A}
  F1: {kind: fuse, style: class-t, rating: 125 A}
  SH1: {kind: shore-inlet, rating: 30 A, voltage: 120 V}
  QM: {kind: breaker, rating: 30 A, poles: 2, voltage: 240 V, interrupting: 10 kA}
  INV1: {kind: inverter-charger, power: 300 W, output: 120 V, efficiency: 90 %, low-cutoff: 11 V,
         transfer-rating: 30 A, neutral-bond: relay}
  ACP1: {kind: ac-panel, rating: 30 A, polarity-indicator: true, label: Inverter on board}
  FR1: {kind: chassis, type: frame}
runs:
  - {id: W1, path: [B1, F1, INV1.dc], lengths: [150 mm, 0.8 m], wire: 1/0 AWG}
  - {id: W2, path: [SH1, QM, INV1.ac-in], lengths: [300 mm, 1 m], wire: 10 AWG}
  - {id: W3, path: [INV1.ac-out, ACP1], length: 1 m, wire: 10 AWG}
  - {id: W4, path: [B1-, FR1], length: 0.5 m, carries: bond, wire: 1/0 AWG}
  - {id: W5, path: [INV1.case, FR1], length: 0.8 m, carries: earth, wire: 1/0 AWG}
  - {id: W6, path: [ACP1, FR1], length: 1 m, carries: earth, wire: 8 AWG}
""",
        passing="transfer-rating: 30 A",
        failing="transfer-rating: 16 A",
        finds=("INV1", "QM"),
    ),
)
