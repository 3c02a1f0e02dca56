"""Solves a network of resistors, stiff sources and current draws by nodal analysis.

The matrix is symmetric, positive definite and sparse; eliminating the node with the fewest neighbours first keeps it
so, and a tree (which most wiring is) is solved in one pass. Plain Python is exact enough and quicker here than
importing an array library.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Generic

from msgspec import Struct, field

from rigline.study.elimination import Factor, N, Order, Plan, by_degree


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
        self, grounds: set[N], slopes: Sequence[tuple[N, N, float]] = (), like: Factor[N] | None = None
    ) -> Factor[N]:
        """The eliminated matrix, with further conductances (negative ones too) between pairs of nodes.

        Args:
            grounds: Nodes at 0 V.
            slopes: Pairs of nodes with a conductance each.
            like: An elimination of the same conductances, whose order is good for this one too.
        """
        if like is None:
            return self._plan(grounds, slopes, by_degree).eliminated(slopes)
        pairs = tuple((a, b) for a, b, _ in slopes)
        plan = like.others.get(pairs)
        if plan is None:
            plan = like.others[pairs] = self._plan(grounds, slopes, lambda _: like.plan.order)
        return plan.eliminated(slopes)

    def _plan(self, grounds: set[N], slopes: Iterable[tuple[N, N, float]], order: Order[N]) -> Plan[N]:
        rows = {
            node: {other: -g for other, g in row.items() if other not in grounds}
            for node, row in self.conductance_s.items()
            if node not in grounds
        }
        for a, b, _ in slopes:
            if a in rows and b in rows:
                rows[a].setdefault(b, 0.0)
                rows[b].setdefault(a, 0.0)
        return Plan(rows, [self.diagonal_s[node] for node in rows], order)
