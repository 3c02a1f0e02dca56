"""The AC cases: each source feeding all loads that it reaches, in each position of the switches.

A transformer's secondary is solved as a source of its own, and what it gives is then taken from its primary.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

from msgspec.structs import replace

from rigline.graph.build import Edge, SystemGraph
from rigline.graph.kept import kept
from rigline.graph.links import Link
from rigline.graph.modes import Mode, modes_of
from rigline.kinds import Component
from rigline.kinds.converters import AcCharger, Inverter, Transformer
from rigline.kinds.loads import Load
from rigline.kinds.sources import AcSource
from rigline.model.system import HOT_LEGS, Node
from rigline.study import demand
from rigline.study.currents import STIFF_OHM, Case, Kind
from rigline.study.demand import Draw
from rigline.study.pole_network import PoleNetwork
from rigline.study.potentials import Potentials
from rigline.study.windings import POLES, leg_volts, transformers
from rigline.study.wiring import Wiring

RUNNING_KINDS = ("ac-running", "start")
"""Cases in which loads given by their power draw constant power."""
AcDraw = tuple[Draw, str, str]
"""A draw with the leg that it is taken from and the conductor that it is returned to."""


def ac_cases(graph: SystemGraph, wiring: Wiring, potentials: Potentials) -> Iterable[Case]:
    """Every AC source in every mode, with all loads and with those that can last three hours, at design currents."""
    for source, mode, draws in _states(graph, potentials):
        name = f"{source.id} with {mode.name}"
        yield _case(graph, wiring, mode, source, name, draws)
        lasting = [draw for draw in draws if draw[0].continuous]
        if lasting:
            yield _case(graph, wiring, mode, source, f"{name}, loads of three hours or more", lasting, "continuous")


def running_ac_cases(graph: SystemGraph, wiring: Wiring, potentials: Potentials) -> Iterable[Case]:
    """Every AC source in every mode with all loads, those given by their power drawing constant power."""
    for source, mode, draws in _states(graph, potentials):
        yield _case(graph, wiring, mode, source, f"{source.id} with {mode.name}, running", draws, "ac-running")


def starting_ac_cases(graph: SystemGraph, wiring: Wiring, potentials: Potentials) -> Iterable[Case]:
    """Each AC load that states a starting current while it starts on top of all others, on every source and mode."""
    for source, mode, draws in _states(graph, potentials):
        for draw, leg, other in draws:
            if draw.start_a is not None:
                name = f"{draw.component} starts on {source.id} with {mode.name}"
                start = replace(draw, amps_a=max(draw.start_a, draw.amps_a), power_w=None), leg, other
                rest = [one for one in draws if one[0] is not draw]
                yield _case(graph, wiring, mode, source, name, [*rest, start], "start", draw.component)


def _states(graph: SystemGraph, potentials: Potentials) -> Iterator[tuple[AcSource | Inverter, Mode, list[AcDraw]]]:
    """Every source in every mode in which it gives, with what all loads and chargers take."""
    found: dict[str, list[AcDraw]] = {}
    for mode in modes_of(graph):
        for source in _sources(graph):
            if isinstance(source, Inverter) and not mode.inverting(source.id):
                continue
            if not any(Node(source.id, _terminal(source), leg) in graph.graph for leg in HOT_LEGS):
                continue
            if source.id not in found:
                found[source.id] = list(ac_draws(graph, potentials, source))
            yield source, mode, found[source.id]


@kept
def _sources(graph: SystemGraph) -> tuple[AcSource | Inverter, ...]:
    return tuple(c for _, c in sorted(graph.system.components.items()) if isinstance(c, AcSource | Inverter))


def _terminal(source: Component) -> str:
    return "ac-out" if isinstance(source, Inverter) else ""


def _case(
    graph: SystemGraph,
    wiring: Wiring,
    mode: Mode,
    source: Component,
    name: str,
    draws: Sequence[AcDraw],
    kind: Kind = "ac",
    starting: str = "",
) -> Case:
    legs = _legs_of(graph, source.id)
    network = PoleNetwork(graph, wiring, POLES, _closed(graph, mode), within=legs)
    in_phase = bool(getattr(source, "in_phase", None))
    _hold(network, source.id, _terminal(source), demand.leg_voltage_v(source, graph.system), in_phase)
    for draw, leg, other in draws:
        if not (in_phase and leg in HOT_LEGS and other in HOT_LEGS):
            watts = draw.power_w if kind in RUNNING_KINDS else None
            _take(network, draw.component, draw.terminal, leg, other, draw.amps_a, in_phase, watts)
    _transform(network, legs, kind in RUNNING_KINDS)
    found = network.solve()
    return Case(
        name, kind, found.amps, found.volts, source.id, found.given_a, found.taken_a, found.unfed, starting
    )  # fmt: skip


@kept
def _closed(graph: SystemGraph, mode: Mode) -> Callable[[Edge], bool]:
    """Whether current can pass an edge in a mode; a transformer passes none, its windings are solved apart."""

    def closed(edge: Edge) -> bool:
        if isinstance(edge, Link) and isinstance(graph.component_at(edge.a), Transformer):
            return False
        return mode.closed(edge)

    return closed


@kept
def _legs_of(graph: SystemGraph, source: str) -> Mapping[Node, float]:
    """The nodes that a source can feed, with their legs' voltage."""
    return leg_volts(graph, [graph.system.components[source]])


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
    network: PoleNetwork,
    id: str,
    terminal: str,
    leg: str,
    other: str,
    amps: float,
    in_phase: bool = False,
    watts: float | None = None,
) -> None:
    sign = -1 if leg == "L2" and other == "N" and not in_phase else 1
    network.draw(Node(id, terminal, leg), Node(id, terminal, other), sign * amps, watts)


def _transform(network: PoleNetwork, legs: Mapping[Node, float], running: bool) -> None:
    """Bring every transformer that the source reaches to life, then load its primary with what its secondary gives."""
    waiting = {
        one.id: one for one in transformers(network.graph) if Node(one.id, "secondary", "L1") in network.graph.graph
    }
    fed: list[Transformer] = []
    grown = True
    while waiting and grown:
        grown = False
        for id in list(waiting):
            if network.is_live(Node(id, "primary", "L1")):
                fed.append(waiting.pop(id))
                _hold(network, id, "secondary", legs[Node(id, "secondary", "L1")])
                grown = True
    for transformer in reversed(fed):
        _load_primary(network, transformer, legs, running)


def _load_primary(network: PoleNetwork, transformer: Transformer, legs: Mapping[Node, float], running: bool) -> None:
    """Let the primary take what the secondary gives, at its nominal voltage or, while running, as constant power."""
    id, solution = transformer.id, network.solve()
    given_va = 0.0
    for leg in HOT_LEGS:
        node, neutral = Node(id, "secondary", leg), Node(id, "secondary", "N")
        out = sum(solution.amps[c.id] * (1 if c.a == node else -1) for c in network.graph.conductors_at(node))
        across = abs(solution.volts.get(node, 0.0) - solution.volts.get(neutral, 0.0))
        given_va += abs(out) * (across if running and across else legs.get(node, 0.0))
    own = [leg for leg in HOT_LEGS if Node(id, "primary", leg) in network.graph.graph]
    if given_va and own:
        both = len(own) == 2
        volts = float(transformer.voltage_v or legs[Node(id, "primary", own[0])]) * (2 if both else 1)
        watts = given_va if running else None
        _take(network, id, "primary", own[0], "L2" if both else "N", given_va / volts, watts=watts)


def ac_draws(graph: SystemGraph, potentials: Potentials, source: Component) -> Iterable[AcDraw]:
    """What the loads that a source reaches and, unless it is an inverter, chargers take."""
    volts = _legs_of(graph, source.id)
    for id in sorted({node.component for node in volts}):
        component = graph.system.components[id]
        if isinstance(component, Load):
            legs = _load_legs(graph, id)
            across = sum(volts.get(Node(id, "", leg), 0.0) for leg in legs)
            draw = demand.load_draw(component, across) if across else None
            if draw is not None:
                yield draw, legs[0], "L2" if len(legs) == 2 else "N"
        elif isinstance(component, AcCharger | Inverter) and not isinstance(source, Inverter):
            yield from _charger_draws(graph, potentials, component, volts)


def _load_legs(graph: SystemGraph, id: str) -> list[str]:
    return [leg for leg in HOT_LEGS if Node(id, "", leg) in graph.graph]


def _charger_draws(
    graph: SystemGraph, potentials: Potentials, component: AcCharger | Inverter, volts: Mapping[Node, float]
) -> Iterable[AcDraw]:
    terminal = "ac" if isinstance(component, AcCharger) else "ac-in"
    dc_v = potentials.between(Node(component.id, "dc", "+"), Node(component.id, "dc", "-"))
    legs = [leg for leg in HOT_LEGS if Node(component.id, terminal, leg) in volts]
    if not legs:
        return
    # A unit with both legs of a split-phase supply takes its power across the two.
    across = len(legs) == 2
    volts_v = volts[Node(component.id, terminal, legs[0])] * len(legs)
    amps = demand.charger_ac_input_a(component, dc_v, volts_v)
    if amps is not None:
        stated = isinstance(component, AcCharger) and component.ac_current_a is not None
        watts = None if stated else amps * volts_v
        yield Draw(component.id, terminal, amps, "takes", True, power_w=watts), legs[0], legs[1] if across else "N"


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
            reached = _legs_of(graph, source.id)
            for id in (one for one in unknown if Node(one, "", _load_legs(graph, one)[0]) in reached):
                legs = _load_legs(graph, id)
                draw = Draw(id, "", 1.0, "takes", None)
                ac_draw = draw, legs[0], "L2" if len(legs) == 2 else "N"
                found.append((id, _case(graph, wiring, mode, source, id, [ac_draw])))
    return found
