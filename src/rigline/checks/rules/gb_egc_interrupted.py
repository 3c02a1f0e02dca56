"""An earth wire works only if nothing can open it.

With a switch, a fuse or a plug of its own in the earth wire, everything still runs while the protection is gone. The
first sign of the gap is then the shock.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.devices import GalvanicIsolator, InLine
from rigline.study.study import Study

SLUG = "gb-egc-interrupted"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each device that can open an earth wire or a bond."""
    components = study.system.components
    for run in study.system.runs:
        for stop in run.stops[1:-1]:
            device = components[stop.component]
            opens = isinstance(device, InLine) and not isinstance(device, GalvanicIsolator)
            if opens and run.carries in ("earth", "bond"):
                yield Hit((device.id,), runs=(run.id,), words={"what": f"The {device.title}", "kept": run.id})
    for id, device in sorted(components.items()):
        if isinstance(device, GalvanicIsolator) and device.fail_safe is False:
            runs = tuple(run.id for run in study.system.runs if any(stop.component == id for stop in run.stops))
            yield Hit((id,), runs=runs, words={"what": "If it fails, the galvanic isolator", "kept": ", ".join(runs)})


CHECK = Check(
    slug=SLUG,
    title="device that can open an earth wire",
    family="grounding & bonding",
    severity=Severity.DANGER,
    limit="No switch, fuse, breaker, relay or plug stands in an earth wire or bond; galvanic isolators fail closed.",
    exceptions="Plugs and sockets of whole AC cables, whose earth pin makes first, breaks last.",
    sources=(
        Source("ISO 13297 6.9", "verified"),
        Source("NEC 250.124(B)", "from memory"),
    ),
    message="{what} {at} opens the earth wire {runs}. Cases that this wire earths can then be live without a sign.",
    remedy="Take {at} out of {kept} (for an isolator: fit one that stays conducting when it fails).",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Camper on shore power with an unbroken earth wire
profile: us-rv
body: metal
components:
  SH1: {kind: shore-inlet, rating: 30 A, voltage: 120 V}
  QM: {kind: breaker, rating: 30 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  ACP1: {kind: ac-panel, rating: 30 A}
  QA: {kind: breaker, rating: 20 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  RC1: {kind: receptacle, rating: 20 A, gfci: true, power: 900 W}
  X1: {kind: earth-bus}
  FR1: {kind: chassis, type: frame}
runs:
  - {id: W1, path: [SH1, QM, ACP1], lengths: [1 m, 100 mm], wire: 10 AWG, insulation: 75 °C}
  - {id: W2, path: [ACP1, QA, RC1], lengths: [100 mm, 3 m], wire: 12 AWG, insulation: 75 °C}
  - {id: W3, path: [ACP1, X1, FR1], lengths: [1 m, 1 m], carries: earth, wire: 8 AWG, insulation: 75 °C}
""",
        passing="X1: {kind: earth-bus}",
        failing="X1: {kind: connector, rating: 30 A, voltage: 120 V}",
        finds=("X1",),
    ),
)
