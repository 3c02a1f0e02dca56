"""Gaussian elimination of sparse symmetric matrices, planned once for all matrices with entries in the same places.

What is taken out after what, and which entries that changes, depends on where entries are and not on their values.
Newton's method solves one matrix after another of the same pattern, so the pattern is worked out in a plan: lists of
numbers that a matrix is then eliminated by, without looking anything up.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from functools import cached_property
from typing import Generic, TypeVar

from msgspec import Struct, field

N = TypeVar("N", bound=Hashable)
Entry = tuple[int, int, list[tuple[int, int]]]
"""Number of an entry, the place at its other end, and pairs of entries: what of the row changes which entry."""
Order = Callable[[Mapping[N, Mapping[N, int]]], Iterable[N]]
"""Chooses what to take out next from what each node still has to do with."""


class Plan(Generic[N]):
    """The order in which the nodes of a matrix are taken out, and what each step changes."""

    def __init__(self, rows: Mapping[N, Mapping[N, float]], diagonal: Sequence[float], order: Order[N]) -> None:
        self.nodes = list(rows)
        self.place = {node: index for index, node in enumerate(self.nodes)}
        self.diagonal = diagonal
        self.values: list[float] = []
        self._numbers: dict[N, dict[N, int]] = {}
        for node, row in rows.items():
            self._numbers[node] = dict(zip(row, range(len(self.values), len(self.values) + len(row)), strict=True))
            self.values += row.values()
        left = {node: dict(row) for node, row in self._numbers.items()}
        self.steps: list[tuple[int, list[Entry]]] = []
        for node in order(left):
            self.steps.append((self.place[node], self._taken_out(node, left)))

    def _taken_out(self, node: N, left: dict[N, dict[N, int]]) -> list[Entry]:
        row = left.pop(node)
        entries = []
        for other, number in row.items():
            mine = left[other]
            del mine[node]
            changes = []
            for third, entry in row.items():
                if third != other:
                    if third not in mine:
                        mine[third] = len(self.values)
                        self.values.append(0.0)
                    changes.append((entry, mine[third]))
            entries.append((number, self.place[other], changes))
        return entries

    @cached_property
    def order(self) -> list[N]:
        """The nodes as they are taken out."""
        return [self.nodes[place] for place, _ in self.steps]

    def eliminated(self, slopes: Iterable[tuple[N, N, float]] = ()) -> Factor[N]:
        """The eliminated matrix, with further conductances between pairs of nodes that have an entry.

        A node that is not in the matrix is at 0 V.
        """
        values, diagonal = list(self.values), list(self.diagonal)
        for a, b, siemens in slopes:
            for first, second in ((a, b), (b, a)):
                if first in self.place:
                    diagonal[self.place[first]] += siemens
                    if second in self.place:
                        values[self._numbers[first][second]] -= siemens
        for place, row in self.steps:
            pivot = diagonal[place]
            for number, other, changes in row if pivot else ():
                value = values[number]
                factor = value / pivot
                diagonal[other] -= factor * value
                for entry, changed in changes:
                    values[changed] -= factor * values[entry]
        return Factor(self, values, diagonal)


class Factor(Struct, Generic[N], frozen=True):
    """An eliminated symmetric matrix: what each node still had to do with the nodes after it."""

    plan: Plan[N]
    values: list[float]
    """By number of the entry."""
    pivots: list[float]
    """By place."""
    others: dict[Hashable, Plan[N]] = field(default_factory=dict)
    """Plans for the same matrix with further entries, by the pairs of nodes that have them."""

    @property
    def is_stable(self) -> bool:
        """Whether the matrix is positive definite: a network that would settle where it stands."""
        return all(self.pivots[place] > 0 for place, row in self.plan.steps if row or self.pivots[place])

    def solve(self, right: Mapping[N, float]) -> dict[N, float]:
        """The potentials for a set of currents into the nodes."""
        values, pivots, steps = self.values, self.pivots, self.plan.steps
        rest = [right[node] for node in self.plan.nodes]
        for place, row in steps:
            # A node that nothing holds has no pivot; what rounding left there goes nowhere.
            if row and rest[place] and pivots[place]:
                factor = rest[place] / pivots[place]
                for number, other, _ in row:
                    rest[other] -= values[number] * factor
        for place, row in reversed(steps):
            left = rest[place]
            for number, other, _ in row:
                left -= values[number] * rest[other]
            rest[place] = left / pivots[place] if pivots[place] else 0.0
        return dict(zip(self.plan.nodes, rest, strict=True))

    def inverse(self) -> dict[N, dict[N, float]]:
        """Entries of the inverse at the places that the elimination touched: each node's own, and between neighbours.

        The entry between two nodes is the voltage that one ampere into the one raises at the other. The method is that
        of Takahashi, Fagan and Chin (1973): from the last node eliminated to the first, each row from those after it.
        """
        found: dict[N, dict[N, float]] = {}
        nodes = self.plan.nodes
        for place, row in reversed(self.plan.steps):
            node, pivot = nodes[place], self.pivots[place]
            shares = {nodes[other]: self.values[number] / pivot for number, other, _ in row} if pivot else {}
            own: dict[N, float] = {}
            for _, at, _ in row:
                other = nodes[at]
                own[other] = -sum(share * found[third][other] for third, share in shares.items())
            found[node] = own
            own[node] = (1 / pivot if pivot else 0.0) - sum(share * own[other] for other, share in shares.items())
            for _, at, _ in row:
                found[nodes[at]][node] = own[nodes[at]]
        return found


def by_degree(rows: Mapping[N, Mapping[N, object]]) -> Iterable[N]:
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
