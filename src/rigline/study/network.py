"""Solves a network of resistors, stiff sources and current draws by nodal analysis.

The matrix is symmetric, positive definite and sparse; eliminating the node with the fewest neighbours first keeps it
so, and a tree (which most wiring is) is solved in one pass. Plain Python is exact enough and quicker here than
importing an array library.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping
from typing import Generic, TypeVar

from msgspec import Struct, field

N = TypeVar("N", bound=Hashable)


class Network(Struct, Generic[N]):
    """Conductances between nodes, and currents into them. Potentials are against the grounded nodes."""

    conductance_s: dict[N, dict[N, float]] = field(default_factory=dict)
    diagonal_s: dict[N, float] = field(default_factory=dict)
    injected_a: dict[N, float] = field(default_factory=dict)
    emf_a: dict[N, float] = field(default_factory=dict)
    """What of it belongs to sources, where somebody noted it."""
    _groups: list[list[N]] | None = None

    def copy(self) -> Network[N]:
        """The same network, to be added to."""
        rows = {node: dict(row) for node, row in self.conductance_s.items()}
        return Network(rows, dict(self.diagonal_s), dict(self.injected_a))

    def node(self, node: N) -> None:
        """Make sure a node is there."""
        if node not in self.conductance_s:
            self.conductance_s[node] = {}
            self.diagonal_s[node] = self.injected_a[node] = 0.0
            self._groups = None

    def resistor(self, a: N, b: N, ohm: float) -> None:
        """Join two nodes by a resistance; one node joined to itself carries nothing."""
        self.node(a)
        self.node(b)
        if a == b:
            return
        siemens = 1.0 / ohm
        if b not in self.conductance_s[a]:
            self._groups = None
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
        if self._groups is None:
            self._groups = self._grouped()
        return self._groups

    def _grouped(self) -> list[list[N]]:
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
        grounds = self.grounds(preferred)
        return {**dict.fromkeys(grounds, 0.0), **self.factor(grounds).solve(self.injected_a)}

    def grounds(self, preferred: Iterable[N] = ()) -> set[N]:
        """One node of each island, a preferred one if there is."""
        wanted = set(preferred)
        return {next((node for node in group if node in wanted), group[0]) for group in self.islands()}

    def factor(
        self, grounds: set[N], slopes: Iterable[tuple[N, N, float]] = (), like: Factor[N] | None = None
    ) -> Factor[N]:
        """The eliminated matrix, with further conductances (negative ones too) between pairs of nodes.

        Args:
            grounds: Nodes at 0 V.
            slopes: Pairs of nodes with a conductance each.
            like: An elimination whose order is good for this one too.
        """
        rows = {
            node: {other: -g for other, g in row.items() if other not in grounds}
            for node, row in self.conductance_s.items()
            if node not in grounds
        }
        diagonal = {node: self.diagonal_s[node] for node in rows}
        for a, b, siemens in slopes:
            _add_slope(rows, diagonal, a, b, siemens)
        order: list[tuple[N, dict[N, float]]] = []
        for node in _by_degree(rows) if like is None else [node for node, _ in like.order]:
            row = rows.pop(node)
            order.append((node, row))
            _remove(node, row, rows, diagonal)
        return Factor(order, diagonal)


class Factor(Struct, Generic[N], frozen=True):
    """An eliminated symmetric matrix: each node with what it still had to do with the nodes after it."""

    order: list[tuple[N, dict[N, float]]]
    pivot: dict[N, float]

    @property
    def is_stable(self) -> bool:
        """Whether the matrix is positive definite: a network that would settle where it stands."""
        return all(self.pivot[node] > 0 for node, row in self.order if row or self.pivot[node])

    def solve(self, right: Mapping[N, float]) -> dict[N, float]:
        """The potentials for a set of currents into the nodes."""
        rest = {node: right[node] for node, _ in self.order}
        for node, row in self.order:
            if row and rest[node]:
                factor = rest[node] / self.pivot[node]
                for other, value in row.items():
                    rest[other] -= value * factor
        potentials: dict[N, float] = {}
        for node, row in reversed(self.order):
            left = rest[node]
            for other, value in row.items():
                left -= value * potentials[other]
            potentials[node] = left / self.pivot[node] if self.pivot[node] else 0.0
        return potentials

    def inverse(self) -> dict[N, dict[N, float]]:
        """Entries of the inverse at the places that the elimination touched: each node's own, and between neighbours.

        The entry between two nodes is the voltage that one ampere into the one raises at the other. The method is that
        of Takahashi, Fagan and Chin (1973): from the last node eliminated to the first, each row from those after it.
        """
        found: dict[N, dict[N, float]] = {}
        for node, row in reversed(self.order):
            pivot = self.pivot[node]
            shares = {other: value / pivot for other, value in row.items()} if pivot else {}
            own: dict[N, float] = {}
            for other in row:
                own[other] = -sum(share * found[third][other] for third, share in shares.items())
            found[node] = own
            own[node] = (1 / pivot if pivot else 0.0) - sum(share * own[other] for other, share in shares.items())
            for other in row:
                found[other][node] = own[other]
        return found


def _add_slope(rows: dict[N, dict[N, float]], diagonal: dict[N, float], a: N, b: N, siemens: float) -> None:
    """Add a conductance between two nodes; a node that is not among the rows is grounded."""
    for first, second in ((a, b), (b, a)):
        if first in rows:
            diagonal[first] += siemens
            if second in rows:
                rows[first][second] = rows[first].get(second, 0.0) - siemens


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


def _remove(node: N, row: dict[N, float], rows: dict[N, dict[N, float]], diagonal: dict[N, float]) -> None:
    pivot = diagonal[node]
    for other, value in row.items():
        mine = rows[other]
        del mine[node]
        factor = value / pivot if pivot else 0.0
        for third, entry in row.items():
            if third == other:
                diagonal[other] -= factor * entry
            else:
                mine[third] = mine.get(third, 0.0) - factor * entry
