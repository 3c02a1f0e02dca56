"""Somewhere on the way of the current, neutral and earth must be joined once.

A live wire that touches a metal case opens a breaker only if its current can return from earth to neutral. With no
joint at all the case simply stays live, and many shock-protection devices work no better than the wires around them.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.floating import is_exempt
from rigline.findings import Severity
from rigline.kinds.converters import Transformer
from rigline.kinds.sources import Generator, ShoreInlet
from rigline.study.grounding import CABINS
from rigline.study.study import Study

SLUG = "gb-ng-none"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each source and position in which no joint of neutral and earth is sure to be there."""
    if not study.neutrals.countable:
        yield Missing((), "fewer positions of switches: they are too many to look at each")
    for net in study.neutrals.nets:
        if is_exempt(study, net):
            continue
        if net.unknown:
            yield Missing(net.unknown, f"neutral-bond of {', '.join(net.unknown)}")
        elif net.certain == 0:
            yield Hit(
                at=net.sources,
                found=0.0,
                limit=1.0,
                words={"when": f" ({net.mode})" if net.mode else "", "fix": _fix(study, net.sources[0])},
                mode=net.mode,
                field="neutral-bond",
            )


def _fix(study: Study, id: str) -> str:
    """One order: where the joint belongs."""
    source = study.system.components[id]
    panels = [c.id for c in study.system.components.values() if c.kind == "ac-panel"]
    if isinstance(source, ShoreInlet):
        return f"Do not use the supply at {id} until an electrician has joined its neutral to earth at the supply."
    if isinstance(source, Transformer):
        return f"Join one end of the secondary of {id} to earth, at {id} (`bond: secondary`)."
    if study.system.profile_name in CABINS and panels:
        return f"Join neutral and earth once: in {panels[0]} if its neutral is never switched, else at {id}."
    if isinstance(source, Generator):
        return f"Join neutral and earth once at {id} itself, with a bonding plug; never in the panel."
    return f"Set or fit the relay in {id} that joins neutral and earth while it inverts (`neutral-bond: relay`)."


CHECK = Check(
    slug=SLUG,
    title="AC source without any joint of neutral and earth",
    family="grounding & bonding",
    severity=Severity.DANGER,
    limit="Exactly one joint of neutral and earth on the neutral that is in use, for every source and position.",
    exceptions=(
        "Systems that float by design (`ac-grounding: floating`) with two-pole devices and one appliance or an "
        "insulation monitor (IEC 60364-4-41 413); ISO boats with a transformer or without shore power, with two-pole "
        "devices (ISO 13297 6.8); an inverter with one double-insulated load or with outlets on its own case only."
    ),
    sources=(
        Source("NEC 551.30(A)", "verified"),
        Source("ISO 13297 6.8", "verified"),
        Source("NEC 250.20(B) and 250.30; IEC 60364-4-41 413", "from memory"),
    ),
    message=(
        "On {all}{when}, neutral and earth are joined nowhere. A live wire that touches a metal case opens no breaker, "
        "and the case stays live."
    ),
    remedy="{fix}",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Camper with a generator that is bonded inside
profile: us-rv
body: metal
components:
  GEN1: {kind: generator, power: 3 kW, voltage: 120 V, neutral-bond: fixed}
  QM: {kind: breaker, rating: 30 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  ACP1: {kind: ac-panel, rating: 30 A, neutral-bond: none}
  QA: {kind: breaker, rating: 20 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  RC1: {kind: receptacle, rating: 20 A, gfci: true, power: 900 W}
  FR1: {kind: chassis, type: frame}
runs:
  - {id: W1, path: [GEN1, QM, ACP1], lengths: [150 mm, 2 m], wire: 10 AWG, insulation: 75 °C}
  - {id: W2, path: [ACP1, QA, RC1], lengths: [100 mm, 3 m], wire: 12 AWG, insulation: 75 °C}
  - {id: W3, path: [ACP1, FR1], length: 1 m, carries: earth, wire: 8 AWG, insulation: 75 °C}
  - {id: W4, path: [GEN1.case, FR1], length: 1 m, carries: earth, wire: 8 AWG, insulation: 75 °C}
""",
        passing="neutral-bond: fixed",
        failing="neutral-bond: none",
        finds=("GEN1",),
    ),
)
