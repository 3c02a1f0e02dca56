"""What stands behind each overcurrent device: the loads it serves, and the current it must carry."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from msgspec import Struct

from rigline.graph.build import Edge, SystemGraph
from rigline.graph.kept import kept
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
from rigline.study.sides import Marks, Sides
from rigline.study.sizing import LASTING_FACTOR, needed_a


class Circuit(Struct, frozen=True):
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


@kept
def sides_of(graph: SystemGraph) -> Sides:
    """The network along like poles, both AC legs as one, converters' common poles included."""
    return Sides(graph, _passes)


def _passes(edge: Edge) -> bool:
    same = edge.a.pole == edge.b.pole or {edge.a.pole, edge.b.pole} <= set(HOT_LEGS)
    return same and link_is_passive(edge)


@kept
def _supplies(graph: SystemGraph) -> Marks:
    feeding = set(supply_nodes(graph, {node.pole for node in graph.graph}))
    return sides_of(graph).marks(lambda node: node in feeding)


@kept
def _consumer_nodes(graph: SystemGraph) -> Marks:
    return sides_of(graph).marks(lambda node: graph.component_at(node).role in ("load", "converter"))


@kept
def _nets_with_array(graph: SystemGraph) -> frozenset[int]:
    sides = sides_of(graph)
    return frozenset(sides.net(n) for n in sides.nodes if isinstance(graph.component_at(n), PvArray))


def _served_by(graph: SystemGraph, edge: Edge) -> list[Component] | None:
    """Loads and converters on the side of an edge that has no source, if taking it out parts two sides.

    None if it does not part them.
    """
    sides, supplies = sides_of(graph), _supplies(graph)
    parts = sides.bridge(edge)
    if parts is None:
        return None
    free = [part for part in parts if not sides.holds(part, supplies)]
    return _consumers(graph, sides.among(free[0], _consumer_nodes(graph))) if len(free) == 1 else []


def _consumers(graph: SystemGraph, nodes: Iterable[Node]) -> list[Component]:
    found = {node.component: graph.component_at(node) for node in nodes}
    return [c for _, c in sorted(found.items()) if c.role in ("load", "converter")]


def beyond(graph: SystemGraph, start: Node, without: Conductor | str) -> frozenset[Node]:
    """Nodes of one pole that hang on a node when a conductor, or a component, is taken out."""
    sides = sides_of(graph)
    return frozenset(sides.among(sides.at(start, without)))


def served(graph: SystemGraph, a: Node, b: Node, without: Conductor | str) -> list[Component]:
    """Loads and converters on the side of a cut that has no source; none if both sides have one."""
    edge = without if isinstance(without, Conductor) else _only_link(graph, without, a.pole)
    found = None if edge is None else _served_by(graph, edge)
    if found is not None:
        return found
    sources = set(supply_nodes(graph, (a.pole,)))
    parts = [beyond(graph, end, without) for end in (a, b)]
    free = [part for part in parts if not part & sources]
    return _consumers(graph, free[0]) if len(free) == 1 else []


def _only_link(graph: SystemGraph, component: str, pole: str) -> Edge | None:
    """The way through a component along one pole, if it has no other way of a hot pole."""
    links = {
        edge.id: edge for node in graph.nodes_of(component) for edge, _ in graph.edges_at(node)
        if not isinstance(edge, Conductor) and edge.component == component and _passes(edge)
        and (node.pole == pole or {node.pole, pole} <= set(HOT_LEGS))
    }  # fmt: skip
    return next(iter(links.values())) if len(links) == 1 else None


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
    needed = max(needed, load + (LASTING_FACTOR - 1) * min(lasting, load))
    unstated = [c for c in behind if isinstance(c, Load) and not isinstance(c, Motor) and c.continuous is None]
    longer = (LASTING_FACTOR - 1) * min(sum(_amps(c, volts) for c in unstated), load)
    solar = any(sides_of(graph).net(end) in _nets_with_array(graph) for end in hot)
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
