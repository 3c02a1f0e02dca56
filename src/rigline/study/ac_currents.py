"""The AC cases: each source feeding all loads that it reaches, in each position of the switches.

A transformer's secondary is solved as a source of its own, and what it gives is then taken from its primary.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rigline.graph.build import Edge, SystemGraph
from rigline.graph.links import Link
from rigline.graph.modes import Mode, modes_of
from rigline.kinds import Component
from rigline.kinds.converters import AcCharger, Inverter, Transformer
from rigline.kinds.loads import Load
from rigline.kinds.sources import AcSource
from rigline.model.system import HOT_LEGS, Node
from rigline.study import demand
from rigline.study.currents import STIFF_OHM, Case
from rigline.study.demand import Draw
from rigline.study.pole_network import PoleNetwork
from rigline.study.potentials import Potentials
from rigline.study.wiring import Wiring

POLES = (*HOT_LEGS, "N")
AcDraw = tuple[Draw, str, str]
"""A draw with the leg that it is taken from and the conductor that it is returned to."""


def ac_cases(graph: SystemGraph, wiring: Wiring, potentials: Potentials) -> Iterable[Case]:
    """Every AC source in every mode, with all loads and with those that can last three hours."""
    for mode in modes_of(graph):
        for source in _sources(graph):
            terminal = _terminal(source)
            if isinstance(source, Inverter) and not mode.inverting(source.id):
                continue
            if not any(Node(source.id, terminal, leg) in graph.graph for leg in HOT_LEGS):
                continue
            draws = list(_draws(graph, potentials, source))
            name = f"{source.id} with {mode.name}"
            yield _case(graph, wiring, mode, source, name, draws)
            lasting = [draw for draw in draws if draw[0].continuous]
            if lasting:
                case = _case(graph, wiring, mode, source, f"{name}, loads of three hours or more", lasting)
                yield Case(case.name, "continuous", case.amps, case.volts, case.source)


def _sources(graph: SystemGraph) -> list[AcSource | Inverter]:
    return [c for _, c in sorted(graph.system.components.items()) if isinstance(c, AcSource | Inverter)]


def _terminal(source: Component) -> str:
    return "ac-out" if isinstance(source, Inverter) else ""


def _case(
    graph: SystemGraph, wiring: Wiring, mode: Mode, source: Component, name: str, draws: Sequence[AcDraw]
) -> Case:
    network = PoleNetwork(graph, wiring, POLES, _Closed(graph, mode))
    volts = demand.leg_voltage_v(source, graph.system)
    in_phase = bool(getattr(source, "in_phase", None))
    _hold(network, source.id, _terminal(source), volts, in_phase)
    for draw, leg, other in draws:
        if not (in_phase and leg in HOT_LEGS and other in HOT_LEGS):
            _take(network, draw.component, draw.terminal, leg, other, draw.amps_a, in_phase)
    _transform(network, volts)
    solution = network.solve()
    return Case(name, "ac", solution.amps, solution.volts, source.id)


class _Closed:
    """Whether current can pass an edge in a mode; a transformer passes none, its windings are solved apart."""

    def __init__(self, graph: SystemGraph, mode: Mode) -> None:
        self.graph, self.mode = graph, mode

    def __call__(self, edge: Edge) -> bool:
        if isinstance(edge, Link) and isinstance(self.graph.component_at(edge.a), Transformer):
            return False
        return self.mode.closed(edge)


def _hold(network: PoleNetwork, id: str, terminal: str, volts: float, in_phase: bool = False) -> None:
    """Let a component hold the voltage of its legs against neutral, or of one leg against the other."""
    legs = [leg for leg in HOT_LEGS if Node(id, terminal, leg) in network.graph.graph]
    neutral = Node(id, terminal, "N")
    if neutral in network.graph.graph:
        for leg in legs:
            sign = -1 if leg == "L2" and not in_phase else 1
            network.source(Node(id, terminal, leg), neutral, sign * volts, STIFF_OHM)
    elif len(legs) == 2:
        network.source(Node(id, terminal, "L1"), Node(id, terminal, "L2"), 2 * volts, STIFF_OHM)
    elif legs:
        network.source(Node(id, terminal, legs[0]), Node(id, terminal, legs[0]), volts, STIFF_OHM)


def _take(
    network: PoleNetwork, id: str, terminal: str, leg: str, other: str, amps: float, in_phase: bool = False
) -> None:
    sign = -1 if leg == "L2" and other == "N" and not in_phase else 1
    network.draw(Node(id, terminal, leg), Node(id, terminal, other), sign * amps)


def _transform(network: PoleNetwork, volts: float) -> None:
    """Bring every transformer that the source reaches to life, then load its primary with what its secondary gives."""
    waiting = {
        id: component for id, component in sorted(network.graph.system.components.items())
        if isinstance(component, Transformer) and Node(id, "secondary", "L1") in network.graph.graph
    }  # fmt: skip
    fed: list[Transformer] = []
    grown = True
    while waiting and grown:
        grown = False
        for id in list(waiting):
            if network.is_live(Node(id, "primary", "L1")):
                fed.append(waiting.pop(id))
                _hold(network, id, "secondary", _secondary_v(fed[-1], volts))
                grown = True
    for transformer in reversed(fed):
        _load_primary(network, transformer, volts)


def _secondary_v(transformer: Transformer, volts: float) -> float:
    """Voltage of one leg of the secondary; that of the supply where the transformer states none."""
    return float(transformer.output_v or volts)


def _load_primary(network: PoleNetwork, transformer: Transformer, volts: float) -> None:
    id, solution = transformer.id, network.solve()
    given_va = 0.0
    for leg in HOT_LEGS:
        node = Node(id, "secondary", leg)
        out = sum(solution.amps[c.id] * (1 if c.a == node else -1) for c in network.graph.conductors_at(node))
        given_va += abs(out) * _secondary_v(transformer, volts)
    legs = [leg for leg in HOT_LEGS if Node(id, "primary", leg) in network.graph.graph]
    both = len(legs) == 2
    amps = given_va / (float(transformer.voltage_v or volts) * (2 if both else 1))
    if amps and legs:
        _take(network, id, "primary", legs[0], "L2" if both else "N", amps)


def _draws(graph: SystemGraph, potentials: Potentials, source: Component) -> Iterable[AcDraw]:
    """What loads and, unless the source is an inverter, chargers take."""
    volts = demand.leg_voltage_v(source, graph.system)
    for id, component in sorted(graph.system.components.items()):
        if isinstance(component, Load):
            legs = _load_legs(graph, id)
            draw = demand.load_draw(component, volts * len(legs)) if legs else None
            if draw is not None:
                yield draw, legs[0], "L2" if len(legs) == 2 else "N"
        elif isinstance(component, AcCharger | Inverter) and not isinstance(source, Inverter):
            yield from _charger_draws(graph, potentials, component, volts)


def _load_legs(graph: SystemGraph, id: str) -> list[str]:
    return [leg for leg in HOT_LEGS if Node(id, "", leg) in graph.graph]


def _charger_draws(
    graph: SystemGraph, potentials: Potentials, component: AcCharger | Inverter, volts_v: float
) -> Iterable[AcDraw]:
    terminal = "ac" if isinstance(component, AcCharger) else "ac-in"
    dc_v = potentials.between(Node(component.id, "dc", "+"), Node(component.id, "dc", "-"))
    amps = demand.charger_ac_input_a(component, dc_v, volts_v)
    leg = next((leg for leg in HOT_LEGS if Node(component.id, terminal, leg) in graph.graph), None)
    if amps is not None and leg is not None:
        yield Draw(component.id, terminal, amps, "takes", True), leg, "N"


def unknown_ac_cases(graph: SystemGraph, wiring: Wiring) -> list[tuple[str, Case]]:
    """For each load whose power is not known, where one ampere of it would flow from each source in each mode."""
    found = []
    unknown = [
        id for id, c in sorted(graph.system.components.items())
        if isinstance(c, Load) and _load_legs(graph, id) and demand.load_draw(c, 1.0) is None
    ]  # fmt: skip
    if not unknown:
        return []
    for mode in modes_of(graph):
        for source in _sources(graph):
            for id in unknown:
                legs = _load_legs(graph, id)
                draw = Draw(id, "", 1.0, "takes", None)
                ac_draw = draw, legs[0], "L2" if len(legs) == 2 else "N"
                found.append((id, _case(graph, wiring, mode, source, id, [ac_draw])))
    return found
