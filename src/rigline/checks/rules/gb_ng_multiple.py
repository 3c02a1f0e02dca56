"""With two joints of neutral and earth, part of the neutral's current takes the earth wires.

Cases, chassis and hull then carry current all day and stand at a voltage that somebody can feel. Residual-current
devices trip without a fault, or stay closed when there is one.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.distribution import AcPanel
from rigline.kinds.sources import AcSource, ShoreInlet
from rigline.study.grounding import CABINS
from rigline.study.neutrals import NeutralBond, NeutralNet
from rigline.study.study import Study

SLUG = "gb-ng-multiple"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each source and position in which neutral and earth are, or can be, joined more than once."""
    for net in study.neutrals.nets:
        if len(net.bonds) < 2:
            continue
        kept = _kept(study, net)
        spare = [bond for bond in net.bonds if bond is not kept]
        yield Hit(
            at=tuple(dict.fromkeys(_component(study, bond) for bond in (*spare, kept))),
            found=float(len(net.bonds)),
            limit=1.0,
            runs=tuple(bond.at for bond in net.bonds if bond.at not in study.system.components),
            words={
                "sources": ", ".join(net.sources),
                "when": f" ({net.mode})" if net.mode else "",
                "places": " and ".join(bond.words for bond in net.bonds),
                "fix": _fix(study, kept, spare),
            },
            mode=net.mode,
            field="neutral-bond",
        )


def _component(study: Study, bond: NeutralBond) -> str:
    return bond.at if bond.at in study.system.components else study.system.run(bond.at).stops[0].component


def _kept(study: Study, net: NeutralNet) -> NeutralBond:
    """The joint that should stay: in a cabin that feeds itself the panel's, elsewhere the one at the source."""
    panels = [b for b in net.bonds if isinstance(study.system.components.get(_component(study, b)), AcPanel)]
    shore = any(isinstance(study.system.components[source], ShoreInlet) for source in net.sources)
    if study.system.profile_name in CABINS and panels and not shore:
        return panels[0]
    return next((bond for bond in net.bonds if bond.at in net.sources), net.bonds[0])


def _fix(study: Study, kept: NeutralBond, spare: list[NeutralBond]) -> str:
    """One order: which joint to take out, and how."""
    one = study.system.components.get(spare[0].at)
    words = spare[0].words
    if isinstance(one, AcSource):
        return f"Keep the joint at {kept.words}; change over the neutral of {spare[0].at} too, or lift its joint."
    if one is not None and one.kind in ("inverter", "inverter-charger"):
        return f"Keep the joint at {kept.words}; give {words} a relay that opens its joint when other power passes."
    order = f"Keep the joint at {kept.words} and take out the one at {words}."
    if study.system.profile_name in CABINS and isinstance(one, AcPanel):
        order += f" If {one.id} is the main panel of a TN-C-S service, write `supply: {{earthing: TN-C-S}}` instead."
    return order


CHECK = Check(
    slug=SLUG,
    title="neutral and earth joined more than once",
    family="grounding & bonding",
    severity=Severity.DANGER,
    limit="Exactly one joint of neutral and earth on the neutral that is in use, for every source and position.",
    exceptions="All joints of the supply network behind an inlet count as one, with a cabin's panel on TN-C-S.",
    sources=(
        Source("ISO 13297, shore neutral not earthed on board", "verified"),
        Source("NEC 250.24(A)(5), 250.142(B) and 551.54(C)", "from memory"),
    ),
    message=(
        "On {sources}{when}, neutral and earth are joined {found} times: {places}. Part of the current then returns "
        "through earth wires and metal that people touch."
    ),
    remedy="{fix}",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Camper on shore power with its neutral kept apart
profile: us-rv
body: metal
components:
  SH1: {kind: shore-inlet, rating: 30 A, voltage: 120 V}
  QM: {kind: breaker, rating: 30 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  ACP1: {kind: ac-panel, rating: 30 A, neutral-bond: none}
  QA: {kind: breaker, rating: 20 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  RC1: {kind: receptacle, rating: 20 A, gfci: true, power: 900 W}
  FR1: {kind: chassis, type: frame}
runs:
  - {id: W1, path: [SH1, QM, ACP1], lengths: [1 m, 100 mm], wire: 10 AWG, insulation: 75 °C}
  - {id: W2, path: [ACP1, QA, RC1], lengths: [100 mm, 3 m], wire: 12 AWG, insulation: 75 °C}
  - {id: W3, path: [ACP1, FR1], length: 1 m, carries: earth, wire: 8 AWG, insulation: 75 °C}
""",
        passing="neutral-bond: none",
        failing="neutral-bond: fixed",
        finds=("ACP1", "SH1"),
    ),
)
