"""What an inverter feeds while it inverts: its loads with their power, and the chargers that it must not feed."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from rigline.graph.build import Edge
from rigline.graph.modes import Mode
from rigline.kinds import Component
from rigline.kinds.converters import AcCharger, Inverter
from rigline.kinds.loads import Load, Motor
from rigline.model.system import HOT_LEGS, Conductor, Node
from rigline.study.demand import leg_voltage_v
from rigline.study.study import Study

START_FACTOR, SOFT_START_FACTOR = 4.0, 2.0
"""Starting power of a motor over its running power where it states none: compressors take 3 to 7 times. Common
practice."""


class InverterLoad(Struct, frozen=True):
    """One load on an inverter's output."""

    load: Load
    power_w: float | None
    """Running power of one; None if it is not stated."""
    start_w: float | None
    """Power while it starts; None if it is not known to have a start."""
    estimated: bool
    """Whether the starting power was estimated."""


def inverters(study: Study) -> Iterator[Inverter]:
    """Inverters whose output is wired, sorted by id."""
    for id, component in sorted(study.system.components.items()):
        if isinstance(component, Inverter) and any(n.terminal.startswith("ac-out") for n in study.graph.nodes_of(id)):
            yield component


def fed_nodes(study: Study, inverter: Inverter) -> frozenset[Node]:
    """Every AC node that an inverter feeds in some position of the switches in which it inverts."""
    found: set[Node] = set()
    for mode in study.modes:
        if mode.inverting(inverter.id):
            for node in study.graph.nodes_of(inverter.id):
                if node.terminal.startswith("ac-out") and node.pole in HOT_LEGS:
                    found |= _reached(study, node, mode)
    return frozenset(found)


def _reached(study: Study, start: Node, mode: Mode) -> set[Node]:
    return study.graph.reach(start, lambda edge, node: _passes(edge, node, mode))


def _passes(edge: Edge, node: Node, mode: Mode) -> bool:
    if isinstance(edge, Conductor):
        return edge.a.pole == node.pole == edge.b.pole
    return edge.kind == "device" and edge.a.pole == node.pole and mode.closed(edge)


def loads_of(study: Study, inverter: Inverter) -> list[InverterLoad]:
    """Loads on an inverter's output, sorted by id."""
    found = {n.component: c for n in fed_nodes(study, inverter) if isinstance(c := study.graph.component_at(n), Load)}
    volts = leg_voltage_v(inverter, study.system)
    return [_load(found[id], found[id].voltage_v or volts) for id in sorted(found)]


def _load(load: Load, volts_v: float) -> InverterLoad:
    power = load.power_w
    if power is None and load.current_a is not None:
        power = load.current_a * volts_v
    start, estimated = load.start_w, False
    if start is None and load.start_a is not None:
        start = load.start_a * volts_v
    if start is None and power is not None and isinstance(load, Motor):
        start, estimated = power * (SOFT_START_FACTOR if load.soft_start else START_FACTOR), True
    return InverterLoad(load, power, start, estimated)


def chargers_fed(study: Study, inverter: Inverter) -> list[Component]:
    """Chargers, and inverter-chargers' inputs, that an inverter feeds with AC, sorted by id."""
    found: dict[str, Component] = {}
    for node in fed_nodes(study, inverter):
        component = study.graph.component_at(node)
        charges = isinstance(component, Inverter) and component.charge_current_a and node.terminal == "ac-in"
        if component.id != inverter.id and (isinstance(component, AcCharger) or charges):
            found[component.id] = component
    return [found[id] for id in sorted(found)]
