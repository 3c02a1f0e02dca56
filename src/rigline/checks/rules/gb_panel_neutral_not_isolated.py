"""In a vehicle or boat the joint of neutral and earth belongs at the source, never in the panel.

A panel made for a house comes with a screw that joins both bars. Aboard, the next source that is plugged in brings its
own joint, and from then on frame and cases carry part of the current.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.converters import Transformer
from rigline.kinds.distribution import AcPanel
from rigline.model.system import NEUTRAL
from rigline.study.neutrals import NeutralBond, NeutralNet
from rigline.study.study import Study

SLUG = "gb-panel-neutral-not-isolated"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each panel aboard with the joint in it, unless gb-ng-multiple speaks of the same joint already."""
    nets = study.neutrals.nets
    doubled = {bond.at for net in nets if len(net.bonds) > 1 for bond in net.bonds}
    said: set[str] = set()
    for net in nets:
        for bond in net.bonds:
            panel = _panel(study, bond)
            if panel and bond.at not in doubled and panel not in said and not _behind_transformer(study, net):
                said.add(panel)
                runs = (bond.at,) if bond.at != panel else ()
                yield Hit((panel,), runs=runs, words={"source": net.sources[0]}, field="neutral-bond")


def _panel(study: Study, bond: NeutralBond) -> str:
    """The panel that a joint is made in or at; an empty text if it is elsewhere."""
    components = study.system.components
    if bond.at in components:
        return bond.at if isinstance(components[bond.at], AcPanel) else ""
    conductors = [c for segment in study.system.run(bond.at).segments for c in segment.conductors]
    ids = [node.component for c in conductors for node in (c.a, c.b) if node.pole == NEUTRAL]
    return next((id for id in ids if isinstance(components[id], AcPanel)), "")


def _behind_transformer(study: Study, net: NeutralNet) -> bool:
    """A panel behind an isolation transformer may be where the new system is joined (ISO 13297 6.8)."""
    return any(isinstance(study.system.components[source], Transformer) for source in net.sources)


CHECK = Check(
    slug=SLUG,
    title="neutral joined to earth in a panel aboard",
    family="grounding & bonding",
    severity=Severity.DANGER,
    limit="In vehicles and boats the panel's neutral bar is apart from its enclosure and earth bar.",
    exceptions="The main panel of a cabin; a panel behind an isolation transformer in a boat.",
    sources=(
        Source("NEC 552.45", "verified"),
        Source("NEC 551.54(C)", "from memory"),
    ),
    message=(
        "{at} joins neutral and earth aboard. The next source that brings its own joint makes it two, and frame and "
        "cases then carry current."
    ),
    remedy="Take the joint out of {at}, and join neutral and earth at {source} instead.",
    find=find,
    profiles=("us-rv", "us-boat", "intl-boat", "uk-inland-boat", "eu-caravan"),
    example=Example(
        spec="""\
rigline: 1
title: Camper with a generator bonded by a strap
profile: us-rv
body: metal
components:
  GEN1: {kind: generator, power: 3 kW, voltage: 120 V, neutral-bond: none}
  QM: {kind: breaker, rating: 30 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  ACP1: {kind: ac-panel, rating: 30 A}
  QA: {kind: breaker, rating: 20 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  RC1: {kind: receptacle, rating: 20 A, gfci: true, power: 900 W}
  FR1: {kind: chassis, type: frame}
runs:
  - {id: W1, path: [GEN1, QM, ACP1], lengths: [150 mm, 2 m], wire: 10 AWG, insulation: 75 °C}
  - {id: W2, path: [ACP1, QA, RC1], lengths: [100 mm, 3 m], wire: 12 AWG, insulation: 75 °C}
  - {id: W3, path: [ACP1, FR1], length: 1 m, carries: earth, wire: 8 AWG, insulation: 75 °C}
  - {id: W4, path: [GEN1.case, FR1], length: 1 m, carries: earth, wire: 8 AWG, insulation: 75 °C}
  - {id: W5, path: [GEN1, FR1], length: 1 m, carries: neutral-bond, wire: 8 AWG, insulation: 75 °C}
""",
        passing="path: [GEN1, FR1]",
        failing="path: [ACP1, FR1], note: at the panel",
        finds=("ACP1",),
    ),
)
