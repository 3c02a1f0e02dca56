"""What of one medium is joined without resistance in one position of the switches, whatever is drawn there.

Wires change their sizes from one round of the study to the next, and loads differ from case to case; the places that
wires run between do not.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import NamedTuple

from rigline.graph.build import Edge, SystemGraph
from rigline.graph.kept import kept
from rigline.graph.links import Link
from rigline.model.system import EARTH, Conductor, Node

Place = int
"""Number of the nodes that are joined without resistance, which the network knows as one."""


class Joints(NamedTuple):
    """The places of one medium in one position of the switches."""

    place: Mapping[Node, Place]
    negative: frozenset[Place]
    """Places of which the node that stands for them is a negative or a neutral."""
    diodes: tuple[Link, ...]
    """What lets current pass one way only."""


@kept
def joints(graph: SystemGraph, poles: tuple[str, ...], closed: Callable[[Edge], bool]) -> Joints:
    """Every node of some poles with its place, and the earths too where they lie in a return."""
    links = [link for link in graph.links if link.kind != "across" and link.a.pole in poles and closed(link)]
    roots = _roots(graph, poles, [link for link in links if link.kind != "one-way"])
    number: dict[Node, Place] = {}
    place = {node: number.setdefault(root, len(number)) for node, root in roots.items()}
    negative = frozenset(place[node] for node, root in roots.items() if root.pole in ("-", "N"))
    return Joints(place, negative, tuple(link for link in links if link.kind == "one-way"))


def _roots(graph: SystemGraph, poles: tuple[str, ...], links: list[Link]) -> dict[Node, Node]:
    """Each node with the node that stands for everything joined to it without resistance."""
    parent: dict[Node, Node] = {}

    def find(node: Node) -> Node:
        while (up := parent.get(node, node)) != node:
            parent[node] = node = parent.get(up, up)
        return node

    for link in links:
        parent[find(link.a)] = find(link.b)
    earths = _earths(graph) if returns_by_chassis(graph, poles) else ()
    first: dict[str, Node] = {}
    for node in earths:
        parent[find(node)] = find(first.setdefault(node.component, node))
    own = {node: find(node) for node in graph.graph if node.pole in poles}
    return {**own, **{node: find(node) for node in earths}}


@kept
def _earths(graph: SystemGraph) -> tuple[Node, ...]:
    return tuple(node for node in graph.graph if graph.component_at(node).role == "earth")


@kept
def returns_by_chassis(graph: SystemGraph, poles: tuple[str, ...]) -> bool:
    """Whether a negative is joined to metal that may then carry current."""
    return "-" in poles and any(node.pole in poles for node in _earths(graph))


@kept
def conductors_of(graph: SystemGraph, poles: tuple[str, ...]) -> tuple[Conductor, ...]:
    """Every conductor between some poles."""
    return tuple(c for c in graph.conductors if c.a.pole in poles and c.b.pole in poles)


@kept
def bonds_of(graph: SystemGraph, poles: tuple[str, ...]) -> tuple[Conductor, ...]:
    """The bonds that lie in a return through the chassis, if there is one."""
    if not returns_by_chassis(graph, poles):
        return ()

    def passes(node: Node) -> bool:
        return node.pole in poles or graph.component_at(node).role == "earth"

    return tuple(c for c in graph.conductors if c.pole == EARTH and passes(c.a) and passes(c.b))
