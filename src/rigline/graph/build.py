"""The pole-level graph of a system on networkx, with one typed payload per node and per edge."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Iterator
from functools import cached_property
from typing import Any

import networkx as nx
from msgspec import Struct

from rigline.graph.links import Link, all_links
from rigline.kinds import Component
from rigline.model.system import Conductor, Node, System

_PAYLOAD = "payload"
Edge = Conductor | Link


class SystemGraph(Struct, frozen=True, eq=False, dict=True):
    """A system's nodes joined by conductors and links. Two graphs are the same only if they are one object."""

    system: System
    graph: nx.MultiGraph[Node]
    conductors: tuple[Conductor, ...]
    links: tuple[Link, ...]

    @cached_property
    def answers(self) -> dict[Hashable, Any]:
        """What was asked about the graph (see `kept`) -> the answer."""
        return {}

    def component_at(self, node: Node) -> Component:
        """The component that a node is a pole of."""
        return self.system.components[node.component]

    @cached_property
    def _adjacency(self) -> dict[Node, list[tuple[Edge, Node]]]:
        return {
            node: sorted(
                ((data[_PAYLOAD], other) for other, edges in joined.items() for data in edges.values()),
                key=lambda pair: pair[0].id,
            )
            for node, joined in self.graph.adjacency()
        }

    def edges_at(self, node: Node) -> list[tuple[Edge, Node]]:
        """Every conductor and link at a node with the node at its other end, sorted by id."""
        return self._adjacency.get(node, [])

    def conductors_at(self, node: Node) -> list[Conductor]:
        """The conductors that land on a node."""
        return self._conductors_at.get(node, [])

    @cached_property
    def _conductors_at(self) -> dict[Node, list[Conductor]]:
        return {
            node: [edge for edge, _ in edges if isinstance(edge, Conductor)] for node, edges in self._adjacency.items()
        }

    def nodes_of(self, component: str) -> list[Node]:
        """The nodes of a component that conductors reach, sorted."""
        return self._nodes_of.get(component, [])

    @cached_property
    def _nodes_of(self) -> dict[str, list[Node]]:
        found: dict[str, list[Node]] = defaultdict(list)
        for node in sorted(self.graph):
            found[node.component].append(node)
        return found

    def links_of(self, component: str) -> list[Link]:
        """The ways through a component."""
        return self._links_of.get(component, [])

    @cached_property
    def _links_of(self) -> dict[str, list[Link]]:
        found: dict[str, list[Link]] = defaultdict(list)
        for link in self.links:
            found[link.component].append(link)
        return found

    def reach(self, start: Node, passes: Callable[[Edge, Node], bool]) -> set[Node]:
        """Every node that is reached from one along edges that `passes` lets through (edge, node it is left from)."""
        seen, queue = {start}, [start]
        while queue:
            node = queue.pop()
            for edge, other in self.edges_at(node):
                if other not in seen and passes(edge, node):
                    seen.add(other)
                    queue.append(other)
        return seen

    def edges(self) -> Iterator[Edge]:
        """All conductors, then all links."""
        yield from self.conductors
        yield from self.links


def build_graph(system: System) -> SystemGraph:
    """The pole-level graph: every conductor, and every way through a component between the poles in use."""
    conductors = tuple(conductor for segment in system.segments for conductor in segment.conductors)
    nodes: dict[str, set[Node]] = defaultdict(set)
    for conductor in conductors:
        for node in (conductor.a, conductor.b):
            nodes[node.component].add(node)
    links = all_links(system.components, {id: frozenset(found) for id, found in nodes.items()})
    graph: nx.MultiGraph[Node] = nx.MultiGraph()
    for id in sorted(nodes):
        for node in sorted(nodes[id]):
            graph.add_node(node, **{_PAYLOAD: system.components[id]})
    _add_edges(graph, [*conductors, *links])
    return SystemGraph(system, graph, conductors, links)


def _add_edges(graph: nx.MultiGraph[Node], edges: Iterable[Edge]) -> None:
    for edge in edges:
        graph.add_edge(edge.a, edge.b, key=edge.id, **{_PAYLOAD: edge})
