"""Nominal voltage of one leg at each AC node: of the source that feeds it, or of the winding in between."""

from __future__ import annotations

from collections.abc import Iterable

from rigline.graph.build import Edge, SystemGraph
from rigline.graph.kept import kept
from rigline.kinds import Component
from rigline.kinds.converters import Transformer
from rigline.model.system import HOT_LEGS, NEUTRAL, Conductor, Node
from rigline.study.demand import leg_voltage_v

POLES = (*HOT_LEGS, NEUTRAL)


@kept
def transformers(graph: SystemGraph) -> tuple[Transformer, ...]:
    """The transformers, sorted by id."""
    return tuple(c for _, c in sorted(graph.system.components.items()) if isinstance(c, Transformer))


def leg_volts(graph: SystemGraph, sources: Iterable[Component]) -> dict[Node, float]:
    """Every node that some sources can feed, switches in any position, with its leg's voltage; the first source counts.

    A transformer's secondary has its stated output, or the voltage of its primary if it states none.
    """
    found: dict[Node, float] = {}
    for source in sources:
        _spread(graph, source.id, ("", "ac-out", "ac-out2"), leg_voltage_v(source, graph.system), found)
    waiting = list(transformers(graph))
    grown = True
    while grown:
        grown = False
        for transformer in list(waiting):
            fed = [found[n] for leg in POLES if (n := Node(transformer.id, "primary", leg)) in found]
            if fed:
                waiting.remove(transformer)
                _spread(graph, transformer.id, ("secondary",), float(transformer.output_v or fed[0]), found)
                grown = True
    return found


def _spread(graph: SystemGraph, id: str, terminals: Iterable[str], volts: float, found: dict[Node, float]) -> None:
    for terminal in terminals:
        for pole in POLES:
            start = Node(id, terminal, pole)
            if start in graph.graph and start not in found:
                for node in graph.reach(start, lambda edge, node: _is_one_winding(graph, edge)):
                    found.setdefault(node, volts)


def _is_one_winding(graph: SystemGraph, edge: Edge) -> bool:
    """Whether an edge joins two nodes of one voltage: along one pole, through no winding."""
    if edge.a.pole != edge.b.pole or edge.a.pole not in POLES:
        return False
    if isinstance(edge, Conductor):
        return True
    return edge.kind in ("device", "one-way") and not isinstance(graph.component_at(edge.a), Transformer)
