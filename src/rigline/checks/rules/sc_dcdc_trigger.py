"""A charger that never switches off charges the house from the starting battery, until the engine will not start.

Something must tell it that the engine runs: the ignition, the alternator, or a voltage that only a running alternator
reaches. On vehicles whose alternator is throttled by a computer, the voltage tells nothing.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds import Component
from rigline.kinds.converters import DcCharger
from rigline.kinds.devices import Relay
from rigline.kinds.sources import Battery, VehicleBattery
from rigline.study.direct_charge import net_of
from rigline.study.study import Study

SLUG = "sc-dcdc-trigger"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each DC charger or combining relay on a starting battery that nothing switches off with the engine."""
    for id, component in sorted(study.system.components.items()):
        starters = _starters(study, component)
        if not starters or not isinstance(component, DcCharger | Relay):
            continue
        names = " and ".join(one.id for one in starters)
        smart = [one.id for one in starters if "smart" in (getattr(one, "regulator", None) or "").lower()]
        if component.trigger is None:
            yield Missing((id,), f"what switches {id} on with the engine (trigger)")
        elif component.trigger == "none":
            words = {"starters": names, "why": "nothing switches it off when the engine stops"}
            yield Hit((id, *(one.id for one in starters)), words=words, field="trigger")
        elif component.trigger == "voltage" and smart:
            words = {"starters": names, "why": "the throttled alternator's voltage does not tell it when to"}
            yield Hit((id, *smart), severity=Severity.ADVICE, words=words, field="trigger")


def _starters(study: Study, component: Component) -> list[Component]:
    """Starting batteries on the input of a DC charger, or on one side of a relay with other batteries on its other."""
    if isinstance(component, DcCharger):
        return _starting(study, component.id, "in", "")
    if isinstance(component, Relay) and component.type != "cut-off":
        a, b = (_batteries(study, component.id, side) for side in ("a", "b"))
        sides = _starting(study, component.id, "a", component.id), _starting(study, component.id, "b", component.id)
        return (sides[0] or sides[1]) if a and b else []
    return []


def _batteries(study: Study, id: str, terminal: str) -> set[str]:
    net = net_of(study, id, id, terminal)
    return {n.component for n in net if isinstance(study.graph.component_at(n), Battery | VehicleBattery)}


def _starting(study: Study, id: str, terminal: str, without: str) -> list[Component]:
    found = {n.component: study.graph.component_at(n) for n in net_of(study, id, without or id, terminal)}
    return [c for _, c in sorted(found.items()) if isinstance(c, VehicleBattery) or getattr(c, "starting", None)]


CHECK = Check(
    slug=SLUG,
    title="charger that drains the starting battery",
    family="sources & charging",
    severity=Severity.FAULT,
    limit="A DC charger or relay between a starting battery and another closes only while the engine runs.",
    exceptions="none",
    sources=(
        Source("EN 1648-1 and EN 1648-2, separation with the engine off", "from memory"),
        Source("a signal of the running engine", "common practice"),
    ),
    message="{at} takes from {starters}, and {why}: the engine may not start the next morning.",
    remedy="Switch {at} on by the ignition or the alternator.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A DC charger on the van's battery
profile: us-rv
body: plastic
components:
  VB1: {kind: vehicle-battery, chemistry: flooded, voltage: 12 V, output: 100 A, short-circuit: 1 kA}
  F1: {kind: fuse, style: class-t, rating: 60 A}
  DCC1: {kind: dc-charger, output: 30 A, output-voltage: 12 V, efficiency: 90 %, trigger: ignition, absorb: 14.4 V}
  F2: {kind: fuse, style: class-t, rating: 40 A}
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah, short-circuit: 1 kA}
  GND: {kind: chassis, name: Frame}
runs:
  - {id: W1, path: [VB1, F1, DCC1.in], lengths: [100 mm, 1.5 m], wire: 4 AWG}
  - {id: W2, path: [B1, F2, DCC1.out], lengths: [100 mm, 0.6 m], wire: 6 AWG}
  - {id: W3, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 4 AWG}
""",
        passing="trigger: ignition",
        failing="trigger: none",
        finds=("DCC1", "VB1"),
    ),
)
