"""What stands behind each overcurrent device: the loads it serves, and the current it must carry."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from rigline.graph.build import Edge, SystemGraph
from rigline.kinds import Component
from rigline.kinds.converters import AcCharger, Inverter
from rigline.kinds.devices import Overcurrent
from rigline.kinds.loads import Load, Motor
from rigline.kinds.sources import PvArray
from rigline.model.system import HOT_LEGS, POSITIVE, Conductor, Node
from rigline.study import demand
from rigline.study.closed_loops import supply_nodes
from rigline.study.currents import Case, link_is_passive
from rigline.study.limits import LimitFinder
from rigline.study.sizing import needed_a


@dataclass(frozen=True)
class Circuit:
    """One overcurrent device with what it must carry."""

    device: str
    load_a: float
    """Worst current, every load on."""
    needed_a: float
    """The same with 125 % of what lasts three hours or more, and of what charges."""
    needed_if_lasting_a: float
    """The same if every load that does not say how long it runs lasts three hours."""
    unstated: tuple[str, ...]
    """Loads that do not say whether they run for three hours or more."""
    serves: tuple[str, ...]
    """Loads and converters on the side without a source."""
    solar: bool
    """Whether a solar array hangs on it without a controller between."""


def beyond(graph: SystemGraph, start: Node, without: Conductor | str) -> frozenset[Node]:
    """Nodes of one pole that hang on a node when a conductor, or a component, is taken out."""

    def passes(edge: Edge, node: Node) -> bool:
        if edge is without or (not isinstance(edge, Conductor) and edge.component == without):
            return False
        same = edge.a.pole == edge.b.pole or {edge.a.pole, edge.b.pole} <= set(HOT_LEGS)
        return same and link_is_passive(edge)

    return frozenset(graph.reach(start, passes))


def served(graph: SystemGraph, a: Node, b: Node, without: Conductor | str) -> list[Component]:
    """Loads and converters on the side of a cut that has no source; none if both sides have one."""
    sources = set(supply_nodes(graph, (a.pole,)))
    sides = [beyond(graph, end, without) for end in (a, b)]
    free = [side for side in sides if not side & sources]
    if len(free) != 1:
        return []
    found = {node.component: graph.component_at(node) for node in free[0]}
    return [c for _, c in sorted(found.items()) if c.role in ("load", "converter")]


def circuits(graph: SystemGraph, limits: LimitFinder, cases: Sequence[Case]) -> Mapping[str, Circuit]:
    """The circuit of every overcurrent device that stands in a hot conductor, by the device's id."""
    found = {}
    for id, component in sorted(graph.system.components.items()):
        hot = [n for n in graph.nodes_of(id) if n.terminal and n.pole in (POSITIVE, *HOT_LEGS)]
        if isinstance(component, Overcurrent) and hot:
            found[id] = _circuit(graph, limits, cases, id, hot)
    return found


def _circuit(graph: SystemGraph, limits: LimitFinder, cases: Sequence[Case], id: str, hot: Sequence[Node]) -> Circuit:
    conductors = [c for node in hot for c in graph.conductors_at(node)]
    load = max((needed_a(cases, c.id)[0] for c in conductors), default=0.0)
    needed = max((needed_a(cases, c.id)[1] for c in conductors), default=0.0)
    ends = [n for n in hot if n.pole == hot[0].pole]
    behind = served(graph, ends[0], ends[-1], id) if len(ends) > 1 else []
    volts = limits.volts_v(conductors[0]) if conductors else 0.0
    lasting = sum(_amps(c, volts) for c in behind if _lasts(c)) if hot[0].pole in HOT_LEGS else 0.0
    needed = max(needed, load + 0.25 * min(lasting, load))
    unstated = [c for c in behind if isinstance(c, Load) and not isinstance(c, Motor) and c.continuous is None]
    longer = 0.25 * min(sum(_amps(c, volts) for c in unstated), load)
    near = {graph.component_at(n) for end in hot for n in beyond(graph, end, id)}
    solar = any(isinstance(c, PvArray) for c in near)
    return Circuit(
        id, load, needed, needed + longer, tuple(c.id for c in unstated), tuple(c.id for c in behind), solar
    )  # fmt: skip


def _lasts(component: Component) -> bool:
    if isinstance(component, Load):
        return bool(component.continuous)
    return isinstance(component, AcCharger | Inverter)


def _amps(component: Component, volts_v: float) -> float:
    if isinstance(component, Load):
        draw = demand.load_draw(component, volts_v)
        return draw.amps_a if draw else 0.0
    if isinstance(component, AcCharger | Inverter):
        return demand.charger_ac_input_a(component, None, volts_v) or 0.0
    return 0.0
