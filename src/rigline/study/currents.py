"""The current in every conductor, in each case that matters, from one solved network per case.

Cases: all loads on the batteries; the loads that can last three hours; every charging source at its limit; each engine
being cranked; each AC source feeding its loads in each position of the switches.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Literal

from rigline.graph.build import Edge, SystemGraph
from rigline.graph.links import Link
from rigline.graph.modes import Mode, modes_of
from rigline.kinds import Component
from rigline.kinds.converters import AcCharger, ChargeController, DcConverter, DcToDc, Inverter
from rigline.kinds.loads import Load, Motor
from rigline.kinds.sources import AcSource, Battery, PvArray, Turning, VehicleBattery
from rigline.model.system import Conductor, Node
from rigline.study import demand
from rigline.study.demand import Draw
from rigline.study.network import Network
from rigline.study.potentials import Potentials
from rigline.study.wiring import Wiring

STIFF_OHM = 1e-4
"""Internal resistance of a source that holds its voltage: a shore supply, an inverter, a converter's output."""
BATTERY_SHORT_PER_V_A = 1000.0
"""Where a battery states neither resistance nor short-circuit current, its resistance only decides how parallel
batteries share: 1 mΩ for each volt of nominal voltage, the same for all. Our own choice."""

BALANCE_A = 1e-9
"""Currents that sum to less than this cancel."""

Kind = Literal["discharge", "continuous", "charge", "crank", "ac"]


@dataclass(frozen=True)
class Case:
    """One solved state of the system."""

    name: str
    kind: Kind
    amps: dict[str, float]
    """Conductor id -> current from its a to its b."""
    volts: dict[Node, float]
    """Potential of every node that a source feeds."""
    source: str = ""
    """The AC source that feeds this case."""


@dataclass
class _Builder:
    """Builds and solves the network of one medium in one position of the switches."""

    graph: SystemGraph
    wiring: Wiring
    poles: tuple[str, ...]
    closed: Callable[[Edge], bool]
    parent: dict[Node, Node] = field(default_factory=dict)
    network: Network[Node] = field(default_factory=Network)
    alive: set[Node] = field(default_factory=set)
    draws: list[tuple[Node, Node, float]] = field(default_factory=list)

    def __post_init__(self) -> None:
        for edge in self.graph.links:
            if edge.kind != "across" and edge.a.pole in self.poles and self.closed(edge):
                self.parent[self.root(edge.a)] = self.root(edge.b)
        for conductor in self._conductors():
            self.network.resistor(
                self.root(conductor.a), self.root(conductor.b), self.wiring.resistance_ohm(conductor)
            )

    def _conductors(self) -> Iterable[Conductor]:
        return (c for c in self.graph.conductors if c.a.pole in self.poles and c.b.pole in self.poles)

    def root(self, node: Node) -> Node:
        while (up := self.parent.get(node, node)) != node:
            node = up
        return node

    def source(self, positive: Node, negative: Node, volts: float, ohm: float) -> None:
        self.network.voltage(self.root(positive), self.root(negative), volts, ohm)
        self.alive.add(self.root(positive))

    def draw(self, positive: Node, negative: Node, amps: float) -> None:
        """A current from + to - through a component; negative where the component gives."""
        if positive in self.graph.graph and negative in self.graph.graph:
            self.draws.append((self.root(positive), self.root(negative), amps))

    def close(self) -> set[Node]:
        """Apply the draws, except in islands that no source feeds and whose draws do not cancel; returns live nodes."""
        island = {node: index for index, group in enumerate(self.network.islands()) for node in group}
        live = {island[node] for node in self.alive}
        totals: dict[int, float] = {}
        for positive, _, amps in self.draws:
            totals[island[positive]] = totals.get(island[positive], 0.0) + amps
        for positive, negative, amps in self.draws:
            if island[positive] in live or abs(totals[island[positive]]) < BALANCE_A:
                self.network.current(positive, negative, amps)
        return {node for node, index in island.items() if index in live}

    def solved(self, name: str, kind: Kind, source: str = "") -> Case:
        live = self.close()
        potentials = self.network.solve(sorted(n for n in self.network.conductance_s if n.pole in ("-", "N")))
        volts = {node: potentials[self.root(node)] for node in self.graph.graph if self.root(node) in potentials}
        amps = {
            c.id: (volts[c.a] - volts[c.b]) / self.wiring.resistance_ohm(c) if self.root(c.a) != self.root(c.b) else 0.0
            for c in self._conductors()
        }
        return Case(name, kind, amps, {n: v for n, v in volts.items() if self.root(n) in live}, source)


def battery_resistance_ohm(battery: Battery | VehicleBattery) -> float | None:
    """Internal resistance of a whole bank, from its own figure or its short-circuit current; None if it states neither."""
    volts = battery.voltage_v
    block = battery.internal_resistance_ohm
    if block is None and battery.short_circuit_a and volts:
        block = volts / battery.short_circuit_a
    if block is None:
        return None
    return block * getattr(battery, "series", 1) / getattr(battery, "parallel", 1)


def solve_cases(graph: SystemGraph, wiring: Wiring, potentials: Potentials) -> tuple[Case, ...]:
    """Every case that matters, solved."""
    dc = _DcCases(graph, wiring, potentials)
    return (*dc.cases(), *_ac_cases(graph, wiring, potentials))


@dataclass(frozen=True)
class _DcCases:
    graph: SystemGraph
    wiring: Wiring
    potentials: Potentials

    def cases(self) -> Iterable[Case]:
        components = self.graph.system.components.values()
        yield self._case("all loads on the batteries", "discharge", self._loads(lambda draw: True))
        yield self._case("loads of three hours or more", "continuous", self._loads(lambda draw: bool(draw.continuous)))
        if any(isinstance(c, PvArray | Turning | ChargeController | DcToDc | AcCharger | Inverter) for c in components):
            yield self._case("every charging source at its limit", "charge", self._sources())
        for motor in components:
            if isinstance(motor, Motor) and motor.cranking:
                draw = demand.load_draw(motor, self._volts(motor.id, ""))
                if draw is not None:
                    yield self._case(f"cranking with {motor.id}", "crank", [draw])

    def _case(self, name: str, kind: Kind, draws: Iterable[Draw]) -> Case:
        builder = _Builder(self.graph, self.wiring, ("+", "-"), lambda edge: True)
        for id, component in sorted(self.graph.system.components.items()):
            self._hold(builder, id, component)
        for draw in draws:
            amps = draw.amps_a if draw.flow == "takes" else -draw.amps_a
            builder.draw(Node(draw.component, draw.terminal, "+"), Node(draw.component, draw.terminal, "-"), amps)
        return builder.solved(name, kind)

    def _hold(self, builder: _Builder, id: str, component: Component) -> None:
        """Let a battery or a converter's output hold its voltage."""
        if isinstance(component, Battery | VehicleBattery):
            volts = (component.voltage_v or 0.0) * getattr(component, "series", 1)
            ohm = battery_resistance_ohm(component) or max(volts, 1.0) / BATTERY_SHORT_PER_V_A / 10
            positive, negative = Node(id, "", "+"), Node(id, "", "-")
        elif isinstance(component, DcConverter):
            volts, ohm = component.output_voltage_v or 0.0, STIFF_OHM
            positive, negative = Node(id, "out", "+"), Node(id, "out", "-")
        else:
            return
        if positive in self.graph.graph and negative in self.graph.graph:
            builder.source(positive, negative, volts, ohm)

    def _volts(self, id: str, terminal: str) -> float | None:
        return self.potentials.between(Node(id, terminal, "+"), Node(id, terminal, "-"))

    def _loads(self, keep: Callable[[Draw], bool]) -> Iterable[Draw]:
        for id, component in sorted(self.graph.system.components.items()):
            draw = self._load(id, component)
            if draw is not None and keep(draw):
                yield draw

    def _load(self, id: str, component: Component) -> Draw | None:
        if isinstance(component, Load):
            if Node(id, "", "+") not in self.graph.graph and Node(id, "in", "+") not in self.graph.graph:
                return None
            if isinstance(component, Motor) and component.cranking:
                return None
            terminal = "" if Node(id, "", "+") in self.graph.graph else "in"
            draw = demand.load_draw(component, self._volts(id, terminal))
            return None if draw is None else Draw(id, terminal, draw.amps_a, "takes", draw.continuous, draw.start_a)
        if isinstance(component, Inverter):
            return demand.inverter_dc_draw(component, self._volts(id, "dc"), self._chemistry())
        if isinstance(component, DcConverter):
            amps = demand.converter_input_a(component, self._volts(id, "in"), self._volts(id, "out"))
            return None if amps is None else Draw(id, "in", amps, "takes", True)
        return None

    def _chemistry(self) -> str | None:
        found = {b.chemistry for b in self.graph.system.components.values() if isinstance(b, Battery)}
        return next(iter(found)) if len(found) == 1 else "lifepo4" if found == set() else None

    def _sources(self) -> Iterable[Draw]:
        """What every charging source gives at its limit, and what feeds it takes."""
        for id, component in sorted(self.graph.system.components.items()):
            if isinstance(component, PvArray):
                yield from self._array(id, component)
            elif isinstance(component, ChargeController | AcCharger | DcToDc | Turning | Inverter):
                yield from self._charger(id, component)

    def _array(self, id: str, array: PvArray) -> Iterable[Draw]:
        amps = demand.array_max_current_a(array)
        if amps is not None:
            yield Draw(id, "", amps, "gives", True)

    def _array_share_a(self, id: str) -> float:
        """What a controller takes from the arrays on its input, shared with other controllers there."""
        start = Node(id, "pv", "+")
        net = self.graph.reach(start, lambda edge, node: link_is_passive(edge) and edge.a.pole == edge.b.pole == "+")
        arrays = [c for node in sorted(net) if isinstance(c := self.graph.component_at(node), PvArray)]
        inputs = [node for node in net if isinstance(self.graph.component_at(node), ChargeController)]
        return sum(demand.array_max_current_a(array) or 0.0 for array in arrays) / max(len(inputs), 1)

    def _charger(self, id: str, component: Component) -> Iterable[Draw]:
        if isinstance(component, ChargeController) and Node(id, "pv", "+") in self.graph.graph:
            yield Draw(id, "pv", self._array_share_a(id), "takes", True)
        for terminal in self._outputs(component):
            amps = demand.charging_output_a(component, self._volts(id, terminal))
            if amps is not None and not isinstance(component, DcConverter):
                yield Draw(id, terminal, amps, "gives", True)
        if isinstance(component, DcToDc) and not isinstance(component, DcConverter):
            amps = demand.converter_input_a(component, self._volts(id, "in"), self._volts(id, "out"))
            if amps is not None:
                yield Draw(id, "in", amps, "takes", True)

    def _outputs(self, component: Component) -> list[str]:
        names = {"charge-controller": ["battery"], "ac-charger": ["dc", "dc1", "dc2", "dc3"]}.get(component.kind)
        names = names or (["out"] if isinstance(component, DcToDc) else ["dc"] if isinstance(component, Inverter) else [""])
        return [name for name in names if Node(component.id, name, "+") in self.graph.graph]


def _ac_cases(graph: SystemGraph, wiring: Wiring, potentials: Potentials) -> Iterable[Case]:
    sources = [c for _, c in sorted(graph.system.components.items()) if isinstance(c, AcSource | Inverter)]
    if not sources:
        return
    for mode in modes_of(graph):
        for source in sources:
            case = _ac_case(graph, wiring, potentials, mode, source)
            if case is not None:
                yield case


def _ac_case(
    graph: SystemGraph, wiring: Wiring, potentials: Potentials, mode: Mode, source: Component
) -> Case | None:
    terminal = "ac-out" if isinstance(source, Inverter) else ""
    if isinstance(source, Inverter) and not mode.inverting(source.id):
        return None
    neutral = Node(source.id, terminal, "N")
    legs = [leg for leg in ("L1", "L2") if Node(source.id, terminal, leg) in graph.graph]
    if not legs:
        return None
    builder = _Builder(graph, wiring, ("L1", "L2", "N"), mode.closed)
    volts = demand.leg_voltage_v(source, graph.system)
    for leg, sign in zip(legs, (1, -1), strict=False):
        other = neutral if neutral in graph.graph else Node(source.id, terminal, legs[-1])
        builder.source(Node(source.id, terminal, leg), other, sign * volts, STIFF_OHM)
    for draw, leg, other in _ac_draws(graph, potentials, volts, charging=not isinstance(source, Inverter)):
        sign = -1 if leg == "L2" and other == "N" else 1
        builder.draw(Node(draw.component, draw.terminal, leg), Node(draw.component, draw.terminal, other), sign * draw.amps_a)
    return builder.solved(f"{source.id} with {mode.name}", "ac", source.id)


def _ac_draws(
    graph: SystemGraph, potentials: Potentials, volts_v: float, charging: bool
) -> Iterable[tuple[Draw, str, str]]:
    for id, component in sorted(graph.system.components.items()):
        if isinstance(component, Load):
            legs = [leg for leg in ("L1", "L2") if Node(id, "", leg) in graph.graph]
            if not legs:
                continue
            both = len(legs) == 2
            draw = demand.load_draw(component, volts_v * 2 if both else volts_v)
            if draw is not None:
                yield draw, legs[0], "L2" if both else "N"
        elif charging and isinstance(component, AcCharger | Inverter):
            yield from _charger_draws(graph, potentials, component, volts_v)


def _charger_draws(
    graph: SystemGraph, potentials: Potentials, component: AcCharger | Inverter, volts_v: float
) -> Iterable[tuple[Draw, str, str]]:
    terminal = "ac" if isinstance(component, AcCharger) else "ac-in"
    dc_v = potentials.between(Node(component.id, "dc", "+"), Node(component.id, "dc", "-"))
    amps = demand.charger_ac_input_a(component, dc_v, volts_v)
    if amps is not None and Node(component.id, terminal, "L1") in graph.graph:
        yield Draw(component.id, terminal, amps, "takes", True), "L1", "N"


def link_is_passive(edge: Edge) -> bool:
    """Whether an edge only passes current on: a conductor, or a way through a component that is no source or load."""
    return isinstance(edge, Conductor) or (isinstance(edge, Link) and edge.kind != "across")
