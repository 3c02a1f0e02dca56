"""Solves a network of resistors, stiff sources and current draws by nodal analysis.

The matrix is symmetric, positive definite and sparse; eliminating the node with the fewest neighbours first keeps it
so, and a tree (which most wiring is) is solved in one pass. Plain Python is exact enough and quicker here than
importing an array library.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Generic, TypeVar

N = TypeVar("N", bound=Hashable)


@dataclass
class Network(Generic[N]):
    """Conductances between nodes, and currents into them. Potentials are against the grounded nodes."""

    conductance_s: dict[N, dict[N, float]] = field(default_factory=dict)
    diagonal_s: dict[N, float] = field(default_factory=dict)
    injected_a: dict[N, float] = field(default_factory=dict)

    def node(self, node: N) -> None:
        """Make sure a node is there."""
        self.conductance_s.setdefault(node, {})
        self.diagonal_s.setdefault(node, 0.0)
        self.injected_a.setdefault(node, 0.0)

    def resistor(self, a: N, b: N, ohm: float) -> None:
        """Join two nodes by a resistance; one node joined to itself carries nothing."""
        self.node(a)
        self.node(b)
        if a == b:
            return
        siemens = 1.0 / ohm
        for first, second in ((a, b), (b, a)):
            self.conductance_s[first][second] = self.conductance_s[first].get(second, 0.0) + siemens
            self.diagonal_s[first] += siemens

    def current(self, source: N, sink: N, amps: float) -> None:
        """Take a current out of one node and put it into another."""
        self.node(source)
        self.node(sink)
        self.injected_a[source] -= amps
        self.injected_a[sink] += amps

    def voltage(self, positive: N, negative: N, volts: float, ohm: float) -> None:
        """A source with an internal resistance, as its equivalent current source."""
        if positive == negative:
            return
        self.resistor(positive, negative, ohm)
        self.current(negative, positive, volts / ohm)

    def islands(self) -> list[list[N]]:
        """Nodes that hang together, each group in the order of insertion."""
        seen: set[N] = set()
        groups = []
        for start in self.conductance_s:
            if start not in seen:
                group, queue = [], [start]
                seen.add(start)
                while queue:
                    node = queue.pop()
                    group.append(node)
                    fresh = [other for other in self.conductance_s[node] if other not in seen]
                    seen.update(fresh)
                    queue.extend(fresh)
                groups.append(group)
        return groups

    def solve(self, preferred: Iterable[N] = ()) -> dict[N, float]:
        """Potential of every node in volts; in each island one node (a preferred one if there is) is at 0 V."""
        wanted = set(preferred)
        grounds = {next((node for node in group if node in wanted), group[0]) for group in self.islands()}
        return {**dict.fromkeys(grounds, 0.0), **self._eliminate(grounds)}

    def _eliminate(self, grounds: set[N]) -> dict[N, float]:
        rows = {
            node: {other: -g for other, g in row.items() if other not in grounds}
            for node, row in self.conductance_s.items()
            if node not in grounds
        }
        diagonal = {node: self.diagonal_s[node] for node in rows}
        right = {node: self.injected_a[node] for node in rows}
        order: list[tuple[N, dict[N, float]]] = []
        for node in _by_degree(rows):
            row = rows.pop(node)
            order.append((node, row))
            _remove(node, row, rows, diagonal, right)
        potentials: dict[N, float] = {}
        for node, row in reversed(order):
            rest = right[node] - sum(value * potentials[other] for other, value in row.items())
            potentials[node] = rest / diagonal[node] if diagonal[node] else 0.0
        return potentials


def _by_degree(rows: Mapping[N, Mapping[N, float]]) -> Iterable[N]:
    """Nodes in the order of fewest neighbours left, by buckets that are looked at again when a degree changes."""
    from heapq import heapify, heappop, heappush

    heap = [(len(row), index, node) for index, (node, row) in enumerate(rows.items())]
    place = {node: index for _, index, node in heap}
    heapify(heap)
    done: set[N] = set()
    while heap:
        degree, index, node = heappop(heap)
        if node in done:
            continue
        if degree != len(rows[node]):
            heappush(heap, (len(rows[node]), index, node))
            continue
        neighbours = list(rows[node])
        done.add(node)
        yield node
        for other in neighbours:
            if other in rows:
                heappush(heap, (len(rows[other]), place[other], other))


def _remove(
    node: N, row: dict[N, float], rows: dict[N, dict[N, float]], diagonal: dict[N, float], right: dict[N, float]
) -> None:
    pivot = diagonal[node]
    for other, value in row.items():
        factor = value / pivot
        rows[other].pop(node)
        right[other] -= factor * right[node]
        for third, entry in row.items():
            if third == other:
                diagonal[other] -= factor * entry
            else:
                rows[other][third] = rows[other].get(third, 0.0) - factor * entry
