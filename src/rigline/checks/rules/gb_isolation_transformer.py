"""Behind an isolation transformer begins a supply of its own, and it needs a joint of neutral and earth of its own.

Without one, a live wire on a metal case opens no breaker. With two, part of the current takes the earth wires, and the
transformer no longer isolates anything.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.floating import is_exempt
from rigline.findings import Severity
from rigline.kinds.converters import Transformer
from rigline.study.neutrals import NeutralNet
from rigline.study.study import Study

SLUG = "gb-isolation-transformer"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each transformer whose secondary is joined to earth nowhere, or more than once."""
    for net in study.neutrals.nets:
        first = next((id for id in net.sources if isinstance(study.system.components[id], Transformer)), None)
        if first is None or is_exempt(study, net):
            continue
        if net.unknown:
            yield Missing((first,), f"neutral-bond of {', '.join(net.unknown)}")
        elif net.certain == 0 or len(net.bonds) > 1:
            yield _hit(study, first, net)


def _hit(study: Study, first: str, net: NeutralNet) -> Hit:
    bonds = [bond.at for bond in net.bonds]
    at = (first, *(id for id in bonds if id in study.system.components and id != first))
    words = {
        "what": f"joined to earth {len(bonds)} times ({', '.join(bonds)})" if bonds else "joined to earth nowhere",
        "fix": f"Keep the joint at {first} and take the other out" if bonds else f"Join it once, at {first}",
    }
    runs = tuple(id for id in bonds if id not in study.system.components)
    return Hit(at, float(len(bonds)), 1.0, runs=runs, words=words, mode=net.mode, field="bond")


CHECK = Check(
    slug=SLUG,
    title="isolation transformer with no joint of neutral and earth, or two",
    family="grounding & bonding",
    severity=Severity.DANGER,
    limit="Exactly one joint of neutral and earth on the secondary of an isolation or polarisation transformer.",
    exceptions="Boats by the international standard with two-pole devices may float (ISO 13297 6.8).",
    sources=(Source("ISO 13297 6.8", "verified"), Source("NEC 250.30; ABYC E-11", "from memory")),
    message="The secondary of {at} is {what}: a fault to a case opens no breaker, or earth wires carry current.",
    remedy="{fix} (`bond: secondary`).",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Boat behind an isolation transformer
profile: us-boat
body: plastic
components:
  SH1: {kind: shore-inlet, rating: 30 A, voltage: 120 V, ip: IP67}
  QM: {kind: breaker, rating: 30 A, poles: 2, voltage: 240 V, residual: 30 mA, interrupting: 5 kA}
  T1: {kind: transformer, type: isolation, power: 3.6 kW, output: 120 V, bond: secondary, metal-case: false}
  QA: {kind: breaker, rating: 30 A, poles: 2, voltage: 240 V, interrupting: 5 kA}
  ACP1: {kind: ac-panel, rating: 30 A, polarity-indicator: true}
  QB: {kind: breaker, rating: 15 A, poles: 2, voltage: 240 V, interrupting: 5 kA}
  RC1: {kind: receptacle, rating: 15 A, gfci: true, power: 900 W, location: general, continuous: false}
runs:
  - {id: W1, path: [SH1, QM, T1.primary], lengths: [0.3 m, 0.5 m], wire: 10 AWG, sheathed: true}
  - {id: W2, path: [T1.secondary, QA, ACP1], lengths: [0.1 m, 1 m], wire: 10 AWG, sheathed: true}
  - {id: W3, path: [ACP1, QB, RC1], lengths: [0.1 m, 3 m], wire: 12 AWG}
""",
        passing="bond: secondary",
        failing="bond: none",
        finds=("T1",),
    ),
)
