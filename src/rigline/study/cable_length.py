"""How far a component stands from its nearest battery, along the wires."""

from __future__ import annotations

from heapq import heappop, heappush
from itertools import count

from rigline.graph.build import SystemGraph
from rigline.model.system import Conductor, Node
from rigline.study.currents import link_is_passive


def to_battery_m(graph: SystemGraph, start: Node) -> tuple[float | None, tuple[str, ...]]:
    """Length one way to the nearest battery with the runs on the way; None if a length on every way is unknown.

    The runs are empty if no battery is joined at all.
    """
    order = count()
    queue: list[tuple[int, float, int, Node, tuple[str, ...]]] = [(0, 0.0, next(order), start, ())]
    done: set[Node] = set()
    while queue:
        unknown, length, _, node, runs = heappop(queue)
        if node in done:
            continue
        done.add(node)
        if graph.component_at(node).role == "storage":
            return (None if unknown else length), runs
        for edge, other in graph.edges_at(node):
            if other in done or not link_is_passive(edge) or edge.a.pole != edge.b.pole:
                continue
            if not isinstance(edge, Conductor):
                heappush(queue, (unknown, length, next(order), other, runs))
                continue
            passed = runs if edge.run in runs else (*runs, edge.run)
            lost = unknown + (edge.length_m is None)
            heappush(queue, (lost, length + (edge.length_m or 0.0), next(order), other, passed))
    return None, ()
