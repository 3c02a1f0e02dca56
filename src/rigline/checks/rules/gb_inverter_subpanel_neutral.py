"""The neutral of a circuit belongs on the bar of the panel that its hot wire comes from.

An inverter that is cut off from shore has a neutral of its own. A circuit fed from the inverter's panel, with its
neutral on the other bar, then works only as far as the current finds a way back through earth wires, cases and the
water round the hull, or not at all. While shore is there, nothing shows it.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.graph.modes import Mode
from rigline.kinds.converters import Inverter
from rigline.kinds.distribution import AcPanel
from rigline.kinds.sources import AcSource
from rigline.model.system import NEUTRAL, Node
from rigline.study.study import Study

SLUG = "gb-inverter-subpanel-neutral"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each load whose neutral leads, in some position of the switches, to another source than its hot wire."""
    said: set[str] = set()
    for mode in study.modes if study.neutrals.countable else ():
        for source in study.neutrals.feeding(mode):
            for hit in _fed_by(study, source, mode):
                if hit.at[0] not in said:
                    said.add(hit.at[0])
                    yield hit


def _fed_by(study: Study, source: str, mode: Mode) -> Iterator[Hit]:
    neutrals = study.neutrals
    home = [node for node in neutrals.source_nodes(source, mode) if node.pole == NEUTRAL]
    net = neutrals.joined(home, mode)
    for id in sorted(neutrals.live(source, mode)) if home else ():
        ends = [node for node in study.graph.nodes_of(id) if node.pole == NEUTRAL]
        if neutrals.is_load(study.system.components[id]) and ends and not net & set(ends):
            yield from _hit(study, id, source, mode, neutrals.joined(ends, mode))


def _hit(study: Study, id: str, source: str, mode: Mode, reached: set[Node]) -> Iterator[Hit]:
    """Nothing where the neutral leads to no bar or source at all: then it is a missing return."""
    kinds = {node.component: study.graph.component_at(node) for node in reached}
    others = sorted(other for other, c in kinds.items() if isinstance(c, AcPanel | AcSource | Inverter))
    if not others:
        return
    bar = next((other for other in others if isinstance(kinds[other], AcPanel)), others[0])
    runs = {c.run for node in study.graph.nodes_of(id) if node.pole == NEUTRAL for c in study.graph.conductors_at(node)}
    bonded = getattr(study.system.components[source], "neutral_bond", None) in ("fixed", "relay")
    yield Hit(
        (id, bar),
        runs=tuple(sorted(runs)),
        severity=Severity.DANGER if bonded else Severity.FAULT,
        words={"source": source, "bar": bar},
        mode=mode.name if mode.positions else None,
    )


CHECK = Check(
    slug=SLUG,
    title="neutral on another panel's bar than its hot wire",
    family="grounding & bonding",
    severity=Severity.FAULT,
    limit=(
        "In every position of the switches a circuit's neutral leads to the source that feeds its hot wire. Where that "
        "source joins neutral and earth, the current returns through earth wires, and it is a danger."
    ),
    exceptions="None; a neutral that leads nowhere is dg-missing-return.",
    sources=(
        Source("NEC 200.4(A) and 300.3(B)", "from memory"),
        Source("ABYC A-31, neutrals of an inverter's loads", "from memory"),
    ),
    message=(
        "{source} feeds {at}, but the neutral of {at} ({runs}) is on {bar}, which {source} does not reach: its current "
        "returns through earth wires or not at all."
    ),
    remedy="Move the neutral of {at} to the neutral bar of the panel that its hot wire comes from.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Camper with a panel for shore and one for the inverter
profile: us-rv
body: metal
components:
  SH1: {kind: shore-inlet, rating: 20 A, voltage: 120 V, ip: IP44}
  QM: {kind: breaker, rating: 20 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  ACP1: {kind: ac-panel, rating: 30 A, polarity-indicator: true}
  INV1: {kind: inverter, power: 1 kW, output: 120 V, neutral-bond: relay, transfer-rating: 30 A}
  ACP2: {kind: ac-panel, rating: 30 A, label: Inverter aboard}
  QA: {kind: breaker, rating: 15 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  RC1: {kind: receptacle, rating: 15 A, gfci: true, power: 600 W, location: general, continuous: false}
  FR1: {kind: chassis, type: frame}
runs:
  - {id: W1, path: [SH1, QM, ACP1], lengths: [0.4 m, 0.2 m], wire: 10 AWG}
  - {id: W2, path: [ACP1, INV1.ac-in], length: 2 m, wire: 10 AWG}
  - {id: W3, path: [INV1.ac-out, ACP2], length: 1 m, wire: 10 AWG}
  - {id: W4, path: [ACP2, QA, RC1], lengths: [0.1 m, 3 m], wire: 12 AWG, cores: [L, PE]}
  - {id: W5, path: [RC1, ACP2], length: 3 m, wire: 12 AWG, cores: [N]}
  - {id: W6, path: [ACP1, FR1], length: 1 m, carries: earth, wire: 8 AWG}
""",
        passing="path: [RC1, ACP2]",
        failing="path: [RC1, ACP1]",
        finds=("RC1", "ACP1"),
    ),
)
