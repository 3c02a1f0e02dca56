"""What hangs together along some of the edges, and what hangs on each side of a cut, from one walk for all questions.

Taking a bridge out parts a net in two. In the order of a depth-first walk each part is one stretch, or two, so that
the question which batteries or loads are there needs a search in a sorted list and no further walk.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from functools import cached_property

from rigline.graph.build import Edge, SystemGraph
from rigline.model.system import Conductor, Node
from rigline.study.bridges import walk

Stretches = Sequence[tuple[int, int]]
"""Parts of the order of the walk: first position, and the one after the last."""
Marks = Sequence[int]
"""Positions of some of the nodes, sorted."""


class Sides:
    """The nodes of a graph over those edges that pass, whichever way current flows."""

    def __init__(self, graph: SystemGraph, passes: Callable[[Edge], bool]) -> None:
        self.graph = graph
        self._nodes = sorted(graph.graph)
        self.place = {node: index for index, node in enumerate(self._nodes)}
        self._ways: list[list[tuple[int, int]]] = [[] for _ in self._nodes]
        self._edges = [edge for edge in graph.edges() if passes(edge)]
        for number, edge in enumerate(self._edges):
            a, b = self.place[edge.a], self.place[edge.b]
            if a != b:
                self._ways[a].append((number, b))
                self._ways[b].append((number, a))
        self.walk = walk(self._ways)
        self.group = {place: number for number, group in enumerate(self.walk.groups) for place in group}
        self._number = {id(edge): number for number, edge in enumerate(self._edges)}

    @cached_property
    def nodes(self) -> list[Node]:
        """All nodes in the order of the walk."""
        return [self._nodes[place] for place in self.walk.order]

    def marks(self, wanted: Callable[[Node], bool]) -> Marks:
        """Positions of the nodes that are wanted."""
        return [position for position, node in enumerate(self.nodes) if wanted(node)]

    @cached_property
    def _links_of(self) -> dict[str, list[int]]:
        found: dict[str, list[int]] = defaultdict(list)
        for number, edge in enumerate(self._edges):
            if not isinstance(edge, Conductor):
                found[edge.component].append(number)
        return found

    @cached_property
    def _ways_in(self) -> dict[int, set[str]]:
        found: dict[int, set[str]] = defaultdict(set)
        for component, numbers in self._links_of.items():
            for number in numbers:
                found[self.net(self._edges[number].a)].add(component)
        return found

    def ways_in(self, net: int) -> set[str]:
        """Components that a net has a way through."""
        return self._ways_in.get(net, set())

    def net(self, node: Node) -> int:
        """Number of the net that a node is part of."""
        return self.group[self.place[node]]

    def nodes_in(self, net: int) -> list[Node]:
        """The nodes of a net."""
        return [self._nodes[place] for place in self.walk.groups[net]]

    def whole(self, node: Node) -> Stretches:
        """Everything that hangs together with a node."""
        group = self.walk.groups[self.net(node)]
        begin = self.walk.first[group[0]]
        return ((begin, begin + len(group)),)

    def bridge(self, edge: Edge) -> tuple[Stretches, Stretches] | None:
        """What hangs on the lower and on the upper end of an edge; None if it does not part them."""
        lower = self.walk.bridges.get(self._number.get(id(edge), -1))
        if lower is None:
            return None
        first, last = self.walk.first[lower], self.walk.last[lower]
        ((begin, end),) = self.whole(self._nodes[lower])
        return ((first, last),), ((begin, first), (last, end))

    def at(self, node: Node, without: Conductor | str) -> Stretches:
        """What hangs together with a node when a conductor, or every way through a component, is taken out."""
        numbers = [self._number.get(id(without), -1)] if isinstance(without, Conductor) else self._links_of[without]
        net = self.net(node)
        cut = [n for n in numbers if n >= 0 and self.group[self.place[self._edges[n].a]] == net]
        bridges = [self.walk.bridges[n] for n in cut if n in self.walk.bridges]
        if len(cut) - len(bridges) > 1:
            return self._reached(node, frozenset(cut))
        return self._beside(node, [(self.walk.first[lower], self.walk.last[lower]) for lower in bridges])

    def _beside(self, node: Node, cut_off: Iterable[tuple[int, int]]) -> Stretches:
        """The part of a net with a node in it, when the parts below some bridges are cut off from what is above."""
        here = self.walk.first[self.place[node]]
        ((begin, end),) = self.whole(node)
        others = []
        for first, last in sorted(cut_off):
            if first <= here < last:
                begin, end = first, last
            else:
                others.append((first, last))
        found = []
        for first, last in others:
            if begin <= first and last <= end:
                found.append((begin, first))
                begin = last
        return [*found, (begin, end)]

    def _reached(self, node: Node, without: frozenset[int]) -> Stretches:
        """The same by a walk of its own, where a ring is cut more than once."""
        seen, queue = {self.place[node]}, [self.place[node]]
        while queue:
            fresh = [other for number, other in self._ways[queue.pop()] if number not in without and other not in seen]
            seen.update(fresh)
            queue += fresh
        return [(position, position + 1) for position in sorted(self.walk.first[place] for place in seen)]

    def among(self, stretches: Stretches, marks: Marks | None = None) -> list[Node]:
        """The nodes of some stretches: the marked ones, or all."""
        if marks is None:
            return [node for first, last in stretches for node in self.nodes[first:last]]
        return [
            self.nodes[marks[index]]
            for first, last in stretches
            for index in range(bisect_left(marks, first), bisect_left(marks, last))
        ]

    @staticmethod
    def holds(stretches: Stretches, marks: Marks) -> bool:
        """Whether a marked node lies in some stretches."""
        return any(bisect_left(marks, first) < bisect_left(marks, last) for first, last in stretches)
