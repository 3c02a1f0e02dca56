"""Which batteries an engine's or turbine's machine charges without a converter between, and what stands between."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from rigline.graph.build import Edge
from rigline.kinds import Component
from rigline.kinds.converters import DcCharger
from rigline.kinds.devices import InLine
from rigline.kinds.sources import Battery, Turning, VehicleBattery
from rigline.model.system import Conductor, Node
from rigline.study.demand import CHARGER_EFFICIENCY_FRAC, charging_output_a
from rigline.study.study import Study

Machine = Turning | VehicleBattery


def machines(study: Study, *kinds: type[Machine]) -> Iterator[Machine]:
    """Wired machines of some kinds, sorted by id."""
    for id, component in sorted(study.system.components.items()):
        if isinstance(component, kinds) and study.graph.nodes_of(id):
            yield component


def net_of(study: Study, id: str, without: str = "", terminal: str = "") -> set[Node]:
    """The positive net that a terminal feeds over wires, devices and diodes, with one component taken out."""
    start = Node(id, terminal, "+")
    if start not in study.graph.graph:
        return set()
    return study.graph.reach(start, lambda edge, node: _feeds(edge, node, without))


def _feeds(edge: Edge, node: Node, without: str) -> bool:
    if isinstance(edge, Conductor):
        return edge.a.pole == node.pole == edge.b.pole
    if edge.component == without or edge.a.pole != node.pole:
        return False
    return edge.kind == "device" or (edge.kind == "one-way" and edge.a == node)


def batteries_on_machine(study: Study, id: str, without: str = "") -> list[Battery]:
    """Batteries that a machine charges directly, sorted by id."""
    net = net_of(study, id, without)
    found = {c.id: c for n in net if isinstance(c := study.graph.component_at(n), Battery) and c.id != id}
    return [found[one] for one in sorted(found)]


class Parting(Struct, frozen=True):
    """One device whose opening leaves a machine without any battery."""

    device: InLine
    left: tuple[Component, ...]
    """Loads and converters that the machine still feeds then."""


def partings(study: Study, id: str) -> Iterator[Parting]:
    """Each in-line component between a machine and all of its batteries."""
    if not batteries_on_machine(study, id):
        return
    inline = {c.id: c for n in net_of(study, id) if isinstance(c := study.graph.component_at(n), InLine)}
    for device in (inline[one] for one in sorted(inline)):
        if not batteries_on_machine(study, id, device.id):
            net = net_of(study, id, device.id)
            left = {n.component: study.graph.component_at(n) for n in net}
            yield Parting(device, tuple(c for _, c in sorted(left.items()) if c.role in ("load", "converter")))


def chargers_fed_by(study: Study, id: str) -> list[DcCharger]:
    """DC chargers whose input hangs on a machine, sorted by id."""
    inputs = [n for n in net_of(study, id) if n.terminal == "in"]
    found = {n.component: c for n in inputs if isinstance(c := study.graph.component_at(n), DcCharger)}
    return [found[one] for one in sorted(found)]


def running_input_a(charger: DcCharger, input_v: float | None, output_v: float | None) -> float | None:
    """Input of a DC charger while its engine runs, both sides at the same stage of charge; None if not known."""
    input_v, output_v = input_v or charger.input_v, charger.output_voltage_v or output_v
    output = charging_output_a(charger, output_v)
    if output is None or not input_v or not output_v:
        return charger.input_a
    found = output * output_v / input_v / (charger.efficiency_frac or CHARGER_EFFICIENCY_FRAC)
    return found if charger.input_a is None else min(found, charger.input_a)
