"""What limits the current in a conductor that is no hot one: a negative cable or a jumper between batteries.

Its current goes round through hot conductors, so the devices there protect it. The greatest current that can go round
through it, when anything may be shorted, is a maximum flow from its one end to the other through all the rest.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from rigline.graph.build import SystemGraph
from rigline.graph.links import Link
from rigline.model.system import EARTH, Conductor, Node
from rigline.study.flow import maximum_flow

_Arc = tuple[Node, Node, float]


def loop_limit_a(graph: SystemGraph, conductor: Conductor, ratings: Mapping[str, float | None]) -> float:
    """Greatest current that can go round through a DC conductor; infinite if no device limits it.

    A device of unknown rating limits nothing here.
    """
    arcs: list[_Arc] = []
    for other in graph.conductors:
        if other is not conductor and _is_dc(graph, other.a) and _is_dc(graph, other.b):
            arcs += [(other.a, other.b, math.inf), (other.b, other.a, math.inf)]
    for link in graph.links:
        if link.a.pole in ("+", "-"):
            arcs += _arcs(link, ratings)
    arcs += _chassis(graph) + _shorted_bars(graph)
    return maximum_flow(arcs, {conductor.b: math.inf}, conductor.a)


def _is_dc(graph: SystemGraph, node: Node) -> bool:
    return node.pole in ("+", "-") or (node.pole == EARTH and graph.component_at(node).role == "earth")


def _arcs(link: Link, ratings: Mapping[str, float | None]) -> list[_Arc]:
    rating = ratings.get(link.component) if link.protects else None
    limit = math.inf if rating is None else rating
    back = [] if link.kind == "one-way" else [(link.b, link.a, limit)]
    return [(link.a, link.b, limit), *back]


def _shorted_bars(graph: SystemGraph) -> list[_Arc]:
    """A short from bar to bar, at every bus that has both poles."""
    found: list[_Arc] = []
    for node in graph.graph:
        other = node._replace(pole="-")
        if node.pole == "+" and graph.component_at(node).role == "bus" and other in graph.graph:
            found += [(node, other, math.inf), (other, node, math.inf)]
    return found


def _chassis(graph: SystemGraph) -> list[_Arc]:
    """Everything on one piece of metal or one earth bar is joined."""
    first: dict[str, Node] = {}
    found: list[_Arc] = []
    for node in graph.graph:
        if graph.component_at(node).role == "earth" and (start := first.setdefault(node.component, node)) != node:
            found += [(start, node, math.inf), (node, start, math.inf)]
    return found
