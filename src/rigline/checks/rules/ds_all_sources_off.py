"""With the battery switched off, a charger or a turbine may still hold the whole system live.

Whoever works behind the main switch then touches what he believes dead; and without the battery the charger's voltage
wanders, which electronics do not survive. Every source needs a way to be turned off.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds import Component
from rigline.kinds.converters import DcCharger
from rigline.kinds.devices import Switch
from rigline.kinds.sources import HydroTurbine, WindTurbine
from rigline.model.system import Node
from rigline.study.direct_charge import machines, net_of
from rigline.study.isolation import main_switches, stays_closed
from rigline.study.storage import storages
from rigline.study.study import Study

SLUG = "ds-all-sources-off"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each turbine without a brake, and each charger that nothing turns off while it feeds loads."""
    for turbine in machines(study, WindTurbine, HydroTurbine):
        inline = {study.graph.component_at(n) for n in net_of(study, turbine.id)}
        if not any(isinstance(c, Switch) and c.brake for c in inline):
            words = {"what": "has no brake switch, so nothing stops it", "do": "Fit a switch that stops it (brake)"}
            yield Hit((turbine.id,), severity=Severity.ADVICE, words=words)
    if any(main_switches(study, storage) for storage in storages(study)):
        for id, charger in sorted(study.system.components.items()):
            if isinstance(charger, DcCharger) and _holds_live(study, charger):
                yield from _by_trigger(id, charger)


def _by_trigger(id: str, charger: DcCharger) -> Iterator[Hit | Missing]:
    if charger.trigger is None:
        yield Missing((id,), f"what switches {id} off (trigger)")
    elif charger.trigger == "none":
        words = {"what": "feeds the loads even with the main switch off", "do": "Put a breaker or a trigger on it"}
        yield Hit((id,), words=words, field="trigger")


def _holds_live(study: Study, charger: DcCharger) -> bool:
    """Whether no switch stands on a charger's input, and none between its output and a load."""
    return _reaches(study, charger.id, "in", ("storage", "source")) and _reaches(study, charger.id, "out", ("load",))


def _reaches(study: Study, id: str, terminal: str, roles: tuple[str, ...]) -> bool:
    start = Node(id, terminal, "+")
    if start not in study.graph.graph:
        return False
    reached = study.graph.reach(start, lambda edge, node: stays_closed(study, edge, node))
    found: list[Component] = [study.graph.component_at(n) for n in reached]
    return any(c.role in roles for c in found)


CHECK = Check(
    slug=SLUG,
    title="source that nothing turns off",
    family="disconnects",
    severity=Severity.FAULT,
    limit=(
        "With every switch and breaker open that a hand can open, no charger feeds a load, and every turbine "
        "can be stopped."
    ),
    exceptions=(
        "A charger that stops with the engine (trigger); solar arrays are pv-disconnect; a turbine without a "
        "brake is advice."
    ),
    sources=(Source("NEC 690.13, 694.20 and 706.15", "from memory"),),
    message="{at} {what}: who works on the system believes it dead.",
    remedy="{do}, for {at}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A charger behind the main switch
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: class-t, rating: 30 A}
  Q1: {kind: switch, rating: 100 A, voltage: 32 V}
  BUS1: {kind: busbar, rating: 100 A}
  LT1: {kind: dc-load, name: Lamps, current: 4 A, continuous: false}
  LT2: {kind: dc-load, name: Reading lamps, current: 4 A, continuous: false}
  DCC1: {kind: dc-charger, output: 10 A, output-voltage: 12 V, trigger: ignition, absorb: 14.4 V}
  F2: {kind: fuse, style: class-t, rating: 30 A}
  B2: {kind: battery, name: Spare, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, Q1, BUS1], lengths: [0.1 m, 0.4 m, 0.4 m], wire: 8 AWG}
  - {id: W2, path: [BUS1, LT1], length: 0.4 m, wire: 8 AWG}
  - {id: W3, path: [BUS1, LT2], length: 0.4 m, wire: 8 AWG}
  - {id: W4, path: [B2, F2, DCC1.in], lengths: [0.1 m, 0.4 m], wire: 8 AWG}
  - {id: W5, path: [DCC1.out, BUS1], length: 0.4 m, wire: 8 AWG}
  - {id: W6, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="trigger: ignition",
        failing="trigger: none",
        finds=("DCC1",),
    ),
)
