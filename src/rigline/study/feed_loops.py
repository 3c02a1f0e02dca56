"""Closed ways round the hot conductors: a panel that is fed from two sides."""

from __future__ import annotations

from collections.abc import Iterator

from rigline.graph.build import Edge, SystemGraph
from rigline.graph.links import Link
from rigline.kinds.devices import Connector, Overcurrent, Shunt
from rigline.model.system import Conductor, Node

LEAST_BARS = 3
"""Two feeds between the same two bars are parallel conductors; a loop goes through a third."""


def feed_loops(graph: SystemGraph, poles: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
    """Bars and panels on each closed way of fixed conductors and fuses; ways through switches are left out."""
    parent: dict[Node, Node] = {}
    seen: set[tuple[str, ...]] = set()
    for root in sorted(node for node in graph.graph if node.pole in poles):
        if root in parent:
            continue
        parent[root] = root
        stack: list[tuple[Node, Edge | None]] = [(root, None)]
        while stack:
            node, came = stack.pop()
            for edge, other in graph.edges_at(node):
                if edge is came or not _is_fixed(graph, edge, poles):
                    continue
                if other not in parent:
                    parent[other] = node
                    stack.append((other, edge))
                    continue
                bars = _bars(graph, _way(parent, node, other))
                if len(bars) >= LEAST_BARS and bars not in seen:
                    seen.add(bars)
                    yield bars


def _is_fixed(graph: SystemGraph, edge: Edge, poles: tuple[str, ...]) -> bool:
    if edge.a.pole not in poles or edge.b.pole != edge.a.pole:
        return False
    if isinstance(edge, Conductor):
        return True
    fixed = isinstance(graph.component_at(edge.a), Overcurrent | Shunt | Connector)
    return isinstance(edge, Link) and edge.kind == "device" and edge.choice is None and fixed


def _way(parent: dict[Node, Node], a: Node, b: Node) -> list[Node]:
    """The nodes between two nodes of a tree, up to where their ways to the root meet."""
    up, down = _to_root(parent, a), _to_root(parent, b)
    common = set(up) & set(down)
    meet = next(node for node in up if node in common)
    return [*up[: up.index(meet) + 1], *down[: down.index(meet)]]


def _to_root(parent: dict[Node, Node], node: Node) -> list[Node]:
    found = [node]
    while parent[node] != node:
        node = parent[node]
        found.append(node)
    return found


def _bars(graph: SystemGraph, way: list[Node]) -> tuple[str, ...]:
    return tuple(sorted({node.component for node in way if graph.component_at(node).role == "bus"}))
