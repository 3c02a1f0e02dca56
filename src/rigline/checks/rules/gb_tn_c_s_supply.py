"""A house in much of Europe gets neutral and earth in one wire, and that wire can break.

Then everything that is earthed there stands at mains voltage. In a house nobody touches the ground outside; a person
with bare feet beside a caravan, or in the water beside a boat, does.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.converters import Autotransformer, Transformer
from rigline.kinds.sources import ShoreInlet
from rigline.study.ac_reach import feeds
from rigline.study.study import Study

SLUG = "gb-tn-c-s-supply"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each inlet on a supply with a combined earth and neutral, or on one that is not described."""
    components, supply = study.system.components, study.system.supply
    earthing = None if supply is None else supply.earthing
    for id, inlet in sorted(components.items()):
        if not isinstance(inlet, ShoreInlet) or _is_isolated(study, id):
            continue
        if earthing is None:
            yield Missing((id,), "earthing of the supply (supply: {earthing: ...})")
        elif earthing == "TN-C-S":
            yield Hit((id,))


def _is_isolated(study: Study, inlet: str) -> bool:
    """Whether the inlet feeds an isolation transformer and nothing else that uses power."""
    reached = {id for feed in feeds(study) if feed.source == inlet for id in feed.reached}
    windings = [c for id in reached if isinstance(c := study.system.components[id], Transformer)]
    others = any(study.neutrals.is_load(study.system.components[id]) for id in reached)
    return bool(windings) and not others and not any(isinstance(one, Autotransformer) for one in windings)


CHECK = Check(
    slug=SLUG,
    title="caravan or boat on a supply of combined earth and neutral",
    family="grounding & bonding",
    severity=Severity.DANGER,
    limit="The supply of a caravan or boat is TT or TN-S, never TN-C-S.",
    exceptions="An isolation transformer aboard.",
    sources=(
        Source("BS 7671 708 and 721, trade press on TN-C-S and caravans", "verified"),
        Source("BS 7671 709", "from memory"),
    ),
    message="{at} takes its earth from a TN-C-S supply: if its neutral breaks, the whole body stands at mains voltage.",
    remedy="Plug {at} into a TT outlet with its own electrode and a 30 mA device, or fit an isolation transformer.",
    find=find,
    profiles=("eu-caravan", "intl-boat", "uk-inland-boat"),
    example=Example(
        spec="""\
rigline: 1
title: Caravan on a pitch with its own electrode
profile: eu-caravan
body: metal
defaults: {insulation: 70 °C}
supply: {earthing: TT}
components:
  SH1: {kind: shore-inlet, rating: 16 A, voltage: 230 V, ip: IP44}
  QM: {kind: breaker, rating: 16 A, poles: 2, voltage: 230 V, interrupting: 6 kA, residual: 30 mA}
  ACP1: {kind: ac-panel, rating: 25 A}
  QA: {kind: breaker, rating: 10 A, poles: 2, voltage: 230 V, interrupting: 6 kA}
  KT1: {kind: ac-load, name: Kettle, power: 900 W, continuous: false}
  FR1: {kind: chassis, type: frame}
runs:
  - {id: W1, path: [SH1, QM, ACP1], lengths: [300 mm, 1 m], wire: 2.5 mm²}
  - {id: W2, path: [ACP1, QA, KT1], lengths: [100 mm, 3 m], wire: 2.5 mm²}
  - {id: W3, path: [ACP1, FR1], length: 1 m, carries: earth, wire: 6 mm²}
""",
        passing="earthing: TT",
        failing="earthing: TN-C-S",
        finds=("SH1",),
    ),
)
