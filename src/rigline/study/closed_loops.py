"""Whether the wiring makes whole circuits at all: what is energised, what finds its way back, what is shorted.

Every switch counts as closed and every transfer device as standing in each position: these are questions about wires,
not about what is switched on.
"""

from __future__ import annotations

from collections.abc import Iterable

from rigline.graph.build import Edge, SystemGraph
from rigline.graph.kept import kept
from rigline.kinds import Component
from rigline.kinds.converters import AcCharger, ChargeController, DcToDc, Inverter, Transformer
from rigline.kinds.sources import AcSource, Battery, PvArray, Turning, VehicleBattery
from rigline.model.system import EARTH, HOT_LEGS, NEGATIVE, NEUTRAL, POSITIVE, Conductor, Node
from rigline.study.sides import Sides

_OUTPUTS = {
    ChargeController: (("pv",), ("battery", "load")),
    DcToDc: (("in",), ("out",)),
    AcCharger: (("ac",), ("dc", "dc1", "dc2", "dc3")),
    Inverter: (("dc",), ("ac-out", "ac-out2")),
    Transformer: (("primary",), ("secondary",)),
}
"""Terminals that feed a converter, and those that it then feeds."""
CHASSIS_RETURN_PROFILES = ("us-rv",)
"""Rule sets in which the metal of the vehicle may carry the return. Source: NEC 552.10(B)(1), exception."""


def passes_current(edge: Edge, node: Node) -> bool:
    """Whether current can pass an edge along one pole: a conductor, or a way through that is no source or load."""
    if isinstance(edge, Conductor):
        return True
    return edge.kind in ("device", "common") or (edge.kind == "one-way" and node == edge.a)


def energised(graph: SystemGraph) -> frozenset[Node]:
    """Every hot node that some source can feed, converters passing on what feeds them."""
    live: set[Node] = set()
    waiting = set(graph.graph)
    while fresh := {n for n in waiting if n not in live and _feeds(graph.component_at(n), n, live)}:
        for start in sorted(fresh):
            if start not in live:
                live |= graph.reach(start, passes_current)
        waiting -= live
    return frozenset(live)


def _feeds(component: Component, node: Node, live: set[Node]) -> bool:
    if node.pole not in (POSITIVE, *HOT_LEGS):
        return False
    if isinstance(component, Battery | VehicleBattery | PvArray | Turning | AcSource):
        return True
    for kind, (inputs, outputs) in _OUTPUTS.items():
        if isinstance(component, kind) and node.terminal in outputs:
            return any(Node(component.id, name, pole) in live for name in inputs for pole in (POSITIVE, *HOT_LEGS))
    return isinstance(component, Inverter) and component.charge_current_a is not None and node.terminal == "dc"


def supply_nodes(graph: SystemGraph, poles: Iterable[str]) -> list[Node]:
    """Terminals of everything that gives power, in the poles asked for."""
    wanted = frozenset(poles)
    return [node for node in _every_supply(graph) if node.pole in wanted]


@kept
def _every_supply(graph: SystemGraph) -> tuple[Node, ...]:
    return tuple(
        node for node in sorted(graph.graph)
        if graph.component_at(node).role in ("source", "storage") or _is_output(graph, node)
    )  # fmt: skip


def _is_output(graph: SystemGraph, node: Node) -> bool:
    component = graph.component_at(node)
    return any(isinstance(component, kind) and node.terminal in outputs for kind, (_, outputs) in _OUTPUTS.items())


def way_back(graph: SystemGraph, node: Node) -> str:
    """How a load's return reaches a source: wire, chassis, or nothing (an empty text)."""
    poles = (NEGATIVE, NEUTRAL, *HOT_LEGS) if node.pole in (NEUTRAL, *HOT_LEGS) else (NEGATIVE,)
    if node in _with_wire_back(graph, poles):
        return "wire"
    seen, fresh = graph.reach(node, lambda edge, at: _passes_but_metal(graph, edge, at)), {node}
    while fresh:
        metal = {n.component for n in seen if graph.component_at(n).kind == "chassis"}
        fresh = {m for id in metal for m in graph.nodes_of(id)} - seen
        for start in fresh:
            onwards = _onwards(graph, start)
            if not onwards.isdisjoint(supply_nodes(graph, poles)):
                return "chassis"
            seen |= onwards
    return ""


def _passes_but_metal(graph: SystemGraph, edge: Edge, node: Node) -> bool:
    return passes_current(edge, node) and graph.component_at(node).role != "earth"


@kept
def _with_wire_back(graph: SystemGraph, poles: tuple[str, ...]) -> frozenset[Node]:
    """Every node with a way by wire to something that gives power in some poles, found from there backwards."""
    queue = supply_nodes(graph, poles)
    found = set(queue)
    while queue:
        for edge, before in graph.edges_at(queue.pop()):
            if before not in found and _passes_but_metal(graph, edge, before):
                found.add(before)
                queue.append(before)
    return frozenset(found)


@kept
def _onwards(graph: SystemGraph, start: Node) -> frozenset[Node]:
    """Everything that current can come to from a node, metal included."""
    return frozenset(graph.reach(start, passes_current))


@kept
def short_circuits(graph: SystemGraph) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Each source whose poles are joined by wire, with the runs that join them."""
    found = []
    for start in supply_nodes(graph, (POSITIVE, *HOT_LEGS)):
        if not _may_be_shorted(graph, start):
            continue
        net = graph.reach(start, lambda edge, at: passes_current(edge, at) and not _is_open(graph, edge))
        own = [Node(start.component, start.terminal, pole) for pole in (NEGATIVE, NEUTRAL, EARTH)]
        bad = [n for n in own if n in net] or [n for n in net if start.pole in HOT_LEGS and n.pole in (NEUTRAL, EARTH)]
        if bad:
            runs = {
                c.run for c in graph.conductors
                if c.a in net and c.a.pole != c.b.pole and not {c.a.pole, c.b.pole} <= {NEGATIVE, NEUTRAL, EARTH}
            }  # fmt: skip
            found.append((start.component, tuple(sorted(runs))))
    return tuple(found)


@kept
def _joined_both_ways(graph: SystemGraph) -> Sides:
    """What is joined to what if diodes let current pass both ways: more than in truth, but told from one walk."""
    joins = ("device", "common", "one-way")
    return Sides(graph, lambda e: (isinstance(e, Conductor) or e.kind in joins) and not _is_open(graph, e))


@kept
def _dead_nets(graph: SystemGraph) -> frozenset[int]:
    """Nets with a neutral or an earth in them."""
    sides = _joined_both_ways(graph)
    return frozenset(sides.net(node) for node in sides.nodes if node.pole in (NEUTRAL, EARTH))


def _may_be_shorted(graph: SystemGraph, start: Node) -> bool:
    sides = _joined_both_ways(graph)
    own = [Node(start.component, start.terminal, pole) for pole in (NEGATIVE, NEUTRAL, EARTH)]
    if any(node in sides.place and sides.net(node) == sides.net(start) for node in own):
        return True
    return start.pole in HOT_LEGS and sides.net(start) in _dead_nets(graph)


def _is_open(graph: SystemGraph, edge: Edge) -> bool:
    """A switch that is open in normal use, such as the one that shorts a turbine to stop it."""
    if isinstance(edge, Conductor):
        return False
    component = graph.system.components[edge.component]
    return bool(getattr(component, "brake", None)) or getattr(component, "normally", None) == "open"
