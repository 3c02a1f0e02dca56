"""The current in every conductor, in each case that matters, from one solved network per case.

Cases: all loads on the batteries; the loads that can last three hours; every charging source at its limit; each engine
being cranked; each AC source feeding its loads in each position of the switches. The DC cases are solved for each
position of what divides the batteries (selectors, relays, switches between several batteries), since the worst current
of a battery's cable is that of the position in which it works alone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import cached_property
from itertools import product
from typing import Literal

from msgspec import Struct, field
from msgspec.structs import replace

from rigline.graph.build import Edge, SystemGraph
from rigline.graph.links import Link
from rigline.kinds import Component
from rigline.kinds.converters import AcCharger, ChargeController, DcConverter, DcToDc, Inverter
from rigline.kinds.loads import Load, Monitor, Motor, Sensor
from rigline.kinds.sources import Battery, PvArray, Turning, VehicleBattery
from rigline.model.system import Conductor, Node
from rigline.study import demand
from rigline.study.demand import Draw
from rigline.study.pole_network import PoleNetwork, Unfed
from rigline.study.potentials import Potentials
from rigline.study.wiring import Wiring

STIFF_OHM = 1e-4
"""Internal resistance of a source that holds its voltage: a shore supply, an inverter, a converter's output."""
USUAL_RESISTANCE_OHM_PER_V = 1e-4
"""Where a battery states neither resistance nor short-circuit current, its resistance only decides how parallel
batteries share: 0.1 mΩ for each volt of nominal voltage, the same for all. Our own choice."""
MOST_POSITIONS = 16
"""More combined positions than this are not enumerated; each device is then put in each of its positions alone."""

Kind = Literal["discharge", "continuous", "charge", "crank", "ac", "full", "end", "charged", "start", "ac-running"]
"""The first five have the design currents that wires and devices are chosen for; the others are operating states, with
constant power and the batteries' own voltages (`operating.py`)."""


class Case(Struct, frozen=True):
    """One solved state of the system."""

    name: str
    kind: Kind
    amps: dict[str, float]
    """Conductor id -> current from its a to its b."""
    volts: dict[Node, float]
    """Potential of every node that a source feeds."""
    source: str = ""
    """The AC source that feeds this case."""
    given_a: Mapping[Node, float] = field(default_factory=dict)
    """Positive node of each source that holds its voltage -> current it gives."""
    taken_a: Mapping[Node, float] = field(default_factory=dict)
    """Positive node of each load and charging source -> current it takes, negative where it gives."""
    unfed: tuple[Unfed, ...] = ()
    """Loads that the wires can't feed in this state; the figures are without them."""
    starting: str = ""
    """The load that starts."""


class Position(Struct, frozen=True):
    """One position of everything that divides the batteries."""

    name: str
    opened: frozenset[str]
    """Ids of the links that are open in it."""

    def closed(self, edge: Edge) -> bool:
        """Whether current can pass an edge."""
        return edge.id not in self.opened


EVERY_SWITCH_CLOSED = Position("", frozenset())


def dc_positions(graph: SystemGraph) -> tuple[Position, ...]:
    """Everything closed, then every other position that can change which battery carries what."""
    groups = [*_choosers(graph), *_breakers(graph)]
    combinations: Iterable[tuple[Position, ...]] = product(*groups)
    count = 1
    for group in groups:
        count *= len(group)
    if count > MOST_POSITIONS:
        closed = [group[0] for group in groups]
        alone = [(*closed[:at], option, *closed[at + 1 :]) for at, group in enumerate(groups) for option in group[1:]]
        combinations = [tuple(closed), *alone]
    return tuple(
        Position(", ".join(p.name for p in chosen if p.name), frozenset().union(*(p.opened for p in chosen)))
        for chosen in combinations
    )


def _choosers(graph: SystemGraph) -> Iterable[list[Position]]:
    """Selectors in each position, and diode isolators with each battery alone to be charged."""
    ways: dict[str, list[Link]] = {}
    for link in graph.links:
        if link.a.pole in ("+", "-") and graph.component_at(link.a).kind in ("selector", "diode-isolator"):
            ways.setdefault(link.component, []).append(link)
    for id, links in sorted(ways.items()):
        hub = "in" if graph.component_at(links[0].a).kind == "diode-isolator" else "common"
        outer = {link.id: next(n.terminal for n in (link.a, link.b) if n.terminal != hub) for link in links}
        options = sorted(set(outer.values()))
        if len(options) > 1:
            alone = [
                Position(f"{id} on {option}", frozenset(link for link, name in outer.items() if name != option))
                for option in options
            ]
            yield [Position("", frozenset()), *alone]


def _breakers(graph: SystemGraph) -> Iterable[list[Position]]:
    """All relays open, and where there are several batteries each switch open."""
    batteries = [c for c in graph.system.components.values() if isinstance(c, Battery | VehicleBattery)]
    dc = [link for link in graph.links if link.kind == "device" and link.a.pole in ("+", "-")]
    relays = frozenset(link.id for link in dc if graph.component_at(link.a).kind == "relay")
    if relays:
        yield [Position("", frozenset()), Position("relays open", relays)]
    switches: dict[str, set[str]] = {}
    for link in dc:
        if graph.component_at(link.a).kind == "switch" and len(batteries) > 1:
            switches.setdefault(link.component, set()).add(link.id)
    for id, links in sorted(switches.items()):
        yield [Position("", frozenset()), Position(f"{id} open", frozenset(links))]


def battery_resistance_ohm(battery: Battery | VehicleBattery) -> float | None:
    """Internal resistance of a whole bank, from its own figure or its short-circuit current; None if it has neither."""
    volts = battery.voltage_v
    block = battery.internal_resistance_ohm
    if block is None and battery.short_circuit_a and volts:
        block = volts / battery.short_circuit_a
    if block is None:
        return None
    return block * getattr(battery, "series", 1) / getattr(battery, "parallel", 1)


def nominal_volts_v(battery: Battery | VehicleBattery) -> float:
    """Nominal voltage of a whole bank."""
    return (battery.voltage_v or 0.0) * float(getattr(battery, "series", 1))


def solve_cases(graph: SystemGraph, wiring: Wiring, potentials: Potentials) -> tuple[Case, ...]:
    """Every case that matters, solved; the first one is that of all loads with every switch closed."""
    from rigline.study.ac_currents import ac_cases

    dc = DcCases(graph, wiring, potentials)
    return (*dc.cases(), *ac_cases(graph, wiring, potentials))


class DcCases(Struct, frozen=True, dict=True):
    """Solves the DC side of one system in one state after another."""

    graph: SystemGraph
    wiring: Wiring
    potentials: Potentials

    @cached_property
    def _bare(self) -> dict[Position, PoleNetwork]:
        return {}

    def cases(self) -> Iterable[Case]:
        """The cases, kind by kind."""
        components = self.graph.system.components.values()
        positions = dc_positions(self.graph)
        yield from self._each(positions, "all loads on the batteries", "discharge", self.loads())
        lasting = [draw for draw in self.loads() if draw.continuous]
        yield from self._each(positions, "loads of three hours or more", "continuous", lasting)
        if any(isinstance(c, PvArray | Turning | ChargeController | DcToDc | AcCharger | Inverter) for c in components):
            yield from self._each(positions, "every charging source at its limit", "charge", self.sources())
        for motor in components:
            if isinstance(motor, Motor) and motor.cranking:
                draw = demand.load_draw(motor, self._volts(motor.id, ""))
                if draw is not None:
                    yield from self._each(positions, f"cranking with {motor.id}", "crank", [_at_start(draw)])

    def _each(self, positions: Iterable[Position], name: str, kind: Kind, draws: Iterable[Draw]) -> Iterable[Case]:
        draws = list(draws)
        for position in positions:
            yield self.case(", ".join(part for part in (name, position.name) if part), kind, draws, position)

    def case(self, name: str, kind: Kind, draws: Iterable[Draw], position: Position) -> Case:
        """One solved case with design currents, the batteries at their nominal voltage."""
        network = self.network(position)
        for draw in draws:
            amps = draw.amps_a if draw.flow == "takes" else -draw.amps_a
            network.draw(Node(draw.component, draw.terminal, "+"), Node(draw.component, draw.terminal, "-"), amps)
        return self.solved(network, name, kind)

    @staticmethod
    def solved(network: PoleNetwork, name: str, kind: Kind, starting: str = "") -> Case:
        """A network's solution as a case."""
        found = network.solve()
        return Case(name, kind, found.amps, found.volts, "", found.given_a, found.taken_a, found.unfed, starting)

    def network(
        self, position: Position, volts_of: Callable[[Battery | VehicleBattery], float] | None = None
    ) -> PoleNetwork:
        """The wires in one position with the batteries, at their nominal voltage if nothing else is said."""
        bare = self._bare.get(position)
        if bare is None:
            bare = self._bare[position] = PoleNetwork(self.graph, self.wiring, ("+", "-"), position.closed)
        network = bare.fresh()
        for id, component in sorted(self.graph.system.components.items()):
            self._hold(network, id, component, volts_of or nominal_volts_v)
        return network

    def _hold(
        self,
        network: PoleNetwork,
        id: str,
        component: Component,
        volts_of: Callable[[Battery | VehicleBattery], float],
    ) -> None:
        """Let a battery or a converter's output hold its voltage."""
        if isinstance(component, Battery | VehicleBattery):
            nominal = nominal_volts_v(component)
            ohm = battery_resistance_ohm(component) or max(nominal, 1.0) * USUAL_RESISTANCE_OHM_PER_V
            network.source(Node(id, "", "+"), Node(id, "", "-"), volts_of(component), ohm)
        elif isinstance(component, DcConverter):
            volts = component.output_voltage_v or 0.0
            network.source(Node(id, "out", "+"), Node(id, "out", "-"), volts, STIFF_OHM)

    def _volts(self, id: str, terminal: str) -> float | None:
        """Voltage between the poles of a terminal; against its island where one of them has no wire or is elsewhere."""
        positive, negative = Node(id, terminal, "+"), Node(id, terminal, "-")
        between = self.potentials.between(positive, negative)
        return between or self.potentials.level(positive) or self.potentials.level(negative)

    def loads(self) -> Iterable[Draw]:
        """What all loads, inverters and converters take, at their rated power; no starter."""
        for id, component in sorted(self.graph.system.components.items()):
            draw = self._load(id, component)
            if draw is not None:
                yield draw

    def _load(self, id: str, component: Component) -> Draw | None:
        if isinstance(component, Load):
            terminal = self._load_terminal(id)
            if terminal is None or (isinstance(component, Motor) and component.cranking):
                return None
            draw = demand.load_draw(component, self._volts(id, terminal))
            return None if draw is None else replace(draw, terminal=terminal)
        if isinstance(component, Inverter):
            return demand.inverter_dc_draw(component, self._volts(id, "dc"), self._chemistry())
        if isinstance(component, DcConverter):
            amps = demand.converter_input_a(component, self._volts(id, "in"), self._volts(id, "out"))
            watts = demand.converter_input_w(component, self._volts(id, "out"))
            return None if amps is None else Draw(id, "in", amps, "takes", True, power_w=watts)
        return None

    def _load_terminal(self, id: str) -> str | None:
        """The terminal at which DC reaches a load; None if none does."""
        wired = (t for t in ("", "in") for pole in ("+", "-") if Node(id, t, pole) in self.graph.graph)
        return next(wired, None)

    def unknown_draws(self) -> Iterable[Draw]:
        """One ampere for everything whose current the spec does not tell."""
        for id, component in sorted(self.graph.system.components.items()):
            for terminal in self._unknown_terminals(id, component):
                if any(Node(id, terminal, pole) in self.graph.graph for pole in ("+", "-")):
                    yield Draw(id, terminal, 1.0, "takes", None)

    def with_takers(self, draw: Draw) -> list[Draw]:
        """A draw, and for an array's the controllers on its wires: no battery stands there for its current to go to."""
        array = self.graph.system.components[draw.component]
        if not isinstance(array, PvArray):
            return [draw]
        controllers = (id for id, c in sorted(self.graph.system.components.items()) if isinstance(c, ChargeController))
        takers = [id for id in controllers if array in self._arrays_at(id)]
        given = Draw(draw.component, draw.terminal, draw.amps_a, "gives", None)
        taken = [Draw(id, "pv", draw.amps_a / len(takers), "takes", None) for id in takers]
        return [given, *taken] if takers else [draw]

    def _unknown_terminals(self, id: str, component: Component) -> Iterable[str]:
        if isinstance(component, Load) and not isinstance(component, Monitor | Sensor):
            terminal = self._load_terminal(id) or ""
            if demand.load_draw(component, self._volts(id, terminal)) is None:
                yield terminal
        elif isinstance(component, Inverter):
            if demand.inverter_dc_draw(component, self._volts(id, "dc"), None) is None:
                yield "dc"
        elif isinstance(component, PvArray):
            if demand.array_max_current_a(component) is None:
                yield ""
        elif isinstance(component, ChargeController | AcCharger | DcToDc | Turning):
            outputs = self._outputs(component)
            if any(demand.charging_output_a(component, self._volts(id, name)) is None for name in outputs):
                yield from outputs
            if isinstance(component, DcToDc):
                volts = self._volts(id, "in"), self._volts(id, "out")
                if demand.converter_input_a(component, *volts) is None:
                    yield "in"

    def _chemistry(self) -> str | None:
        found = {b.chemistry for b in self.graph.system.components.values() if isinstance(b, Battery)}
        return next(iter(found)) if len(found) == 1 else "lifepo4" if found == set() else None

    def sources(self) -> Iterable[Draw]:
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

    def _arrays_at(self, id: str) -> list[PvArray]:
        """The arrays on a controller's input."""
        start = Node(id, "pv", "+")
        if start not in self.graph.graph:
            return []
        net = self.graph.reach(start, lambda edge, node: link_is_passive(edge) and edge.a.pole == edge.b.pole == "+")
        return [c for node in sorted(net) if isinstance(c := self.graph.component_at(node), PvArray)]

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
        if names is None:
            names = ["out"] if isinstance(component, DcToDc) else ["dc"] if isinstance(component, Inverter) else [""]
        return [name for name in names if Node(component.id, name, "+") in self.graph.graph]


def _at_start(draw: Draw) -> Draw:
    """A draw at its starting current."""
    amps = max(draw.amps_a, draw.start_a or 0.0)
    return Draw(draw.component, draw.terminal, amps, draw.flow, draw.continuous, draw.start_a, draw.assumed)


def unknown_carriers(graph: SystemGraph, wiring: Wiring, potentials: Potentials) -> dict[str, tuple[str, ...]]:
    """Conductors whose current can't be told, each with the components whose own current the spec does not say."""
    from rigline.study.ac_currents import unknown_ac_cases

    dc = DcCases(graph, wiring, potentials)
    closed = EVERY_SWITCH_CLOSED
    cases = [
        (draw.component, dc.case(draw.component, "discharge", dc.with_takers(draw), closed))
        for draw in dc.unknown_draws()
    ]
    cases += unknown_ac_cases(graph, wiring)
    found: dict[str, set[str]] = {}
    for component, case in cases:
        for conductor, amps in case.amps.items():
            if abs(amps) > UNKNOWN_SHARE_A:
                found.setdefault(conductor, set()).add(component)
    return {conductor: tuple(sorted(components)) for conductor, components in found.items()}


UNKNOWN_SHARE_A = 1e-3
"""A conductor that carries more than this of an unknown ampere depends on it; less is how parallel batteries share."""


def link_is_passive(edge: Edge) -> bool:
    """Whether an edge only passes current on: a conductor, or a way through a component that is no source or load."""
    return isinstance(edge, Conductor) or (isinstance(edge, Link) and edge.kind != "across")
