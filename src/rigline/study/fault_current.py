"""Prospective short-circuit current: what a battery can push into a short, at each node.

I = V / (R of the battery + R of the cables, out and back, cold). Where several batteries reach a node, their currents
are added as if each had its wires to itself, which overstates and so is the safe side for interrupting ratings. Whether
a short makes a device open is another question, which `clearing.py` answers from the network itself.
"""

from __future__ import annotations

from collections.abc import Mapping
from heapq import heappop, heappush

from msgspec import Struct

from rigline.graph.build import SystemGraph
from rigline.kinds.sources import Battery, VehicleBattery
from rigline.model.system import Conductor, Node
from rigline.study.wiring import Wiring

SHORT_CIRCUIT_PER_AH_A = {"lifepo4": 50.0, "agm": 25.0, "gel": 25.0, "flooded": 12.0}
"""Short-circuit current of a battery block that states none, per ampere-hour at the 20 h rate. Common practice, on the
high side: published points for flooded traction cells are 10 to 12 A/Ah, for sealed lead about 25 A/Ah; for lithium
iron phosphate, installers count 50 A/Ah."""
COLD_COPPER_C = 20.0
"""Copper temperature for the greatest fault current."""


class FaultSource(Struct, frozen=True):
    """One battery as a source of fault current."""

    component: str
    amps_a: float
    """Short-circuit current at its terminals."""
    volts_v: float
    estimated: bool
    """Whether the current was estimated from the capacity."""

    @property
    def resistance_ohm(self) -> float:
        """Internal resistance that gives this current."""
        return self.volts_v / self.amps_a


class FaultWay(Struct, frozen=True):
    """One battery's way to one node, as if it had its wires to itself."""

    component: str
    volts_v: float
    """Nominal, of the whole string of blocks."""
    battery_ohm: float
    cables_ohm: float
    """Out and back, cold."""
    estimated: bool

    @property
    def amps_a(self) -> float:
        """Current into a short."""
        return self.volts_v / (self.battery_ohm + self.cables_ohm)


class FaultLevel(Struct, frozen=True):
    """What batteries can push into a short at one node."""

    amps_a: float
    estimated: bool
    parts: tuple[tuple[str, float], ...]
    """Each battery with its share."""
    ways: tuple[FaultWay, ...] = ()
    """How each share comes about."""


def fault_source(battery: Battery | VehicleBattery) -> FaultSource | None:
    """A battery's short-circuit current: its own figure, else from its resistance, else estimated; else None."""
    volts, series, parallel = battery.voltage_v, getattr(battery, "series", 1), getattr(battery, "parallel", 1)
    if not volts:
        return None
    block, estimated = battery.short_circuit_a, False
    if block is None and battery.internal_resistance_ohm:
        block = volts / battery.internal_resistance_ohm
    if block is None and battery.chemistry and battery.capacity_ah:
        block, estimated = battery.capacity_ah * SHORT_CIRCUIT_PER_AH_A[battery.chemistry], True
    if block is None and battery.chemistry and getattr(battery, "capacity_wh", None):
        block, estimated = battery.capacity_wh / volts * SHORT_CIRCUIT_PER_AH_A[battery.chemistry], True  # type: ignore[union-attr, operator]
    return None if not block else FaultSource(battery.id, block * parallel, volts * series, estimated)


def fault_levels(graph: SystemGraph, wiring: Wiring, hot: str = "+") -> dict[Node, FaultLevel]:
    """The fault level of every hot DC node that a battery reaches."""
    back = "+" if hot == "-" else "-"
    returns = _return_ohms(graph, wiring, back)
    ways: dict[Node, list[FaultWay]] = {}
    for id, component in sorted(graph.system.components.items()):
        if isinstance(component, Battery | VehicleBattery):
            source = _string_source(graph, component, hot, back)
            start = Node(id, "", hot)
            if source is not None and start in graph.graph:
                for node, ohm in _path_ohms(graph, wiring, start, returns).items():
                    way = FaultWay(id, source.volts_v, source.resistance_ohm, ohm, source.estimated)
                    ways.setdefault(node, []).append(way)
    return {node: _level(found) for node, found in ways.items()}


def _string_source(graph: SystemGraph, battery: Battery | VehicleBattery, hot: str, back: str) -> FaultSource | None:
    """A battery together with the blocks that are wired in series behind it, one by one."""
    source, seen = fault_source(battery), {battery.id}
    block: Battery | VehicleBattery | None = battery
    while source is not None and (block := _next_in_series(graph, block, hot, back, seen)) is not None:
        seen.add(block.id)
        behind = fault_source(block)
        if behind is not None:
            volts = source.volts_v + behind.volts_v
            amps = volts / (source.resistance_ohm + behind.resistance_ohm)
            source = FaultSource(battery.id, amps, volts, source.estimated or behind.estimated)
    return source


def _next_in_series(
    graph: SystemGraph, block: Battery | VehicleBattery | None, hot: str, back: str, seen: set[str]
) -> Battery | VehicleBattery | None:
    """The block whose hot pole is wired to another block's other pole."""
    if block is None:
        return None
    joined = graph.reach(Node(block.id, "", back), lambda edge, _: isinstance(edge, Conductor) or edge.kind == "device")
    for node in sorted(joined):
        component = graph.component_at(node) if node in graph.graph else None
        if isinstance(component, Battery | VehicleBattery) and node.pole == hot and component.id not in seen:
            return component
    return None


def _level(found: list[FaultWay]) -> FaultLevel:
    return FaultLevel(
        sum(way.amps_a for way in found),
        any(way.estimated for way in found),
        tuple((way.component, way.amps_a) for way in found),
        tuple(found),
    )


def _return_ohms(graph: SystemGraph, wiring: Wiring, pole: str) -> Mapping[str, float]:
    """Resistance of the return of each segment that has one."""
    return {
        c.segment: wiring.resistance_ohm(c, COLD_COPPER_C)
        for c in graph.conductors
        if c.pole == pole and c.length_m is not None and wiring.size(c) is not None
    }


def _path_ohms(graph: SystemGraph, wiring: Wiring, start: Node, returns: Mapping[str, float]) -> dict[Node, float]:
    """Least resistance, out and back, from a battery to every hot node; a wire of unknown size or length has none."""
    best: dict[Node, float] = {}
    queue: list[tuple[float, Node]] = [(0.0, start)]
    while queue:
        ohm, node = heappop(queue)
        if node in best:
            continue
        best[node] = ohm
        for edge, other in graph.edges_at(node):
            if other in best or other.pole != start.pole:
                continue
            if isinstance(edge, Conductor):
                known = edge.length_m is not None and wiring.size(edge) is not None
                own = wiring.resistance_ohm(edge, COLD_COPPER_C) if known else 0.0
                heappush(queue, (ohm + own + returns.get(edge.segment, 0.0), other))
            elif edge.kind in ("device", "one-way"):
                heappush(queue, (ohm, other))
    return best
