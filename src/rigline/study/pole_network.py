"""The network of one medium in one position of the switches: conductors, joints, sources and draws, ready to solve.

Diodes are solved by trial: each one conducts until its current turns out to be backwards, then it is taken out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from functools import cached_property

from rigline.graph.build import Edge, SystemGraph
from rigline.graph.links import Link
from rigline.model.system import EARTH, Conductor, Node
from rigline.study.network import Network
from rigline.study.wiring import Wiring

DIODE_OHM = 1e-4
"""Resistance of a conducting diode in the network, so that its current can be told; its drop is not modelled."""
BALANCE_A = 1e-9
"""Currents that sum to less than this cancel."""
BACKWARDS_A = 1e-6
"""A diode that carries more than this backwards is open."""


@dataclass
class Solution:
    """The solved network."""

    amps: dict[str, float]
    """Conductor id -> current from its a to its b."""
    volts: dict[Node, float]
    """Potential of every node that a source feeds."""


@dataclass
class PoleNetwork:
    """Collects sources and draws, then solves."""

    graph: SystemGraph
    wiring: Wiring
    poles: tuple[str, ...]
    closed: Callable[[Edge], bool]
    sources: list[tuple[Node, Node, float, float]] = field(default_factory=list)
    draws: list[tuple[Node | None, Node | None, float]] = field(default_factory=list)

    def source(self, positive: Node, negative: Node, volts: float, ohm: float) -> None:
        """A component that holds its voltage."""
        if positive in self.graph.graph and negative in self.graph.graph:
            self.sources.append((positive, negative, volts, ohm))

    def draw(self, positive: Node, negative: Node, amps: float) -> None:
        """A current from + to - through a component; negative where the component gives.

        A pole that no conductor reaches counts as joined to the source, so that the other pole still shows its current.
        """
        ends = [node if node in self.graph.graph else None for node in (positive, negative)]
        if any(end is not None for end in ends):
            self.draws.append((ends[0], ends[1], amps))

    @cached_property
    def conductors(self) -> list[Conductor]:
        """Conductors of the medium; in DC also the bonds that lie in a return through the chassis."""
        own = [c for c in self.graph.conductors if c.a.pole in self.poles and c.b.pole in self.poles]
        return own if not self._returns_by_chassis else own + self._bonds()

    @cached_property
    def _returns_by_chassis(self) -> bool:
        return "-" in self.poles and any(
            self.graph.component_at(node).role == "earth" for node in self.graph.graph if node.pole in self.poles
        )

    def _bonds(self) -> list[Conductor]:
        def passes(node: Node) -> bool:
            return node.pole in self.poles or self.graph.component_at(node).role == "earth"

        return [c for c in self.graph.conductors if c.pole == EARTH and passes(c.a) and passes(c.b)]

    @cached_property
    def _root(self) -> dict[Node, Node]:
        """Each node with the node that stands for everything joined to it without resistance."""
        parent: dict[Node, Node] = {}

        def find(node: Node) -> Node:
            while (up := parent.get(node, node)) != node:
                parent[node] = node = parent.get(up, up)
            return node

        for link in self.graph.links:
            if link.kind not in ("across", "one-way") and link.a.pole in self.poles and self.closed(link):
                parent[find(link.a)] = find(link.b)
        if self._returns_by_chassis:
            self._join_chassis(parent, find)
        return {node: find(node) for node in self.graph.graph}

    def _join_chassis(self, parent: dict[Node, Node], find: Callable[[Node], Node]) -> None:
        first: dict[str, Node] = {}
        for node in self.graph.graph:
            if self.graph.component_at(node).role == "earth":
                parent[find(node)] = find(first.setdefault(node.component, node))

    @cached_property
    def _diodes(self) -> list[Link]:
        return [
            link for link in self.graph.links
            if link.kind == "one-way" and link.a.pole in self.poles and self.closed(link)
        ]  # fmt: skip

    def solve(self) -> Solution:
        """Currents and potentials, with every diode that would carry current backwards taken out."""
        blocked: set[str] = set()
        while True:
            solution, potentials = self._solve_with(blocked)
            back = {
                d.id for d in self._diodes
                if d.id not in blocked
                and (potentials[self._root[d.a]] - potentials[self._root[d.b]]) / DIODE_OHM < -BACKWARDS_A
            }  # fmt: skip
            if not back:
                return solution
            blocked |= back

    def _solve_with(self, blocked: set[str]) -> tuple[Solution, dict[Node, float]]:
        root, network = self._root, self._network(blocked)
        live = self._apply_draws(network)
        potentials = network.solve(sorted(n for n in network.conductance_s if n.pole in ("-", "N")))
        amps = {
            c.id: (potentials[root[c.a]] - potentials[root[c.b]]) / self.wiring.resistance_ohm(c)
            if root[c.a] != root[c.b] else 0.0
            for c in self.conductors
        }  # fmt: skip
        volts = {node: potentials[at] for node, at in root.items() if at in live}
        return Solution(amps, volts), potentials

    def _network(self, blocked: set[str]) -> Network[Node]:
        root, network = self._root, Network[Node]()
        for conductor in self.conductors:
            network.resistor(root[conductor.a], root[conductor.b], self.wiring.resistance_ohm(conductor))
        for diode in self._diodes:
            network.node(root[diode.a])
            network.node(root[diode.b])
            if diode.id not in blocked:
                network.resistor(root[diode.a], root[diode.b], DIODE_OHM)
        for positive, negative, volts, ohm in self.sources:
            network.node(root[positive])
            network.voltage(root[positive], root[negative], volts, ohm)
        for node in self._drawn():
            network.node(root[node])
        return network

    def _drawn(self) -> Iterable[Node]:
        return (node for positive, negative, _ in self.draws for node in (positive, negative) if node is not None)

    def islands(self) -> tuple[dict[Node, int], dict[int, tuple[Node, Node]]]:
        """The island of each joined node, and a source's poles in each island that has one."""
        network = self._network(set())
        return self._islands(network)

    def _islands(self, network: Network[Node]) -> tuple[dict[Node, int], dict[int, tuple[Node, Node]]]:
        island = {node: index for index, group in enumerate(network.islands()) for node in group}
        home: dict[int, tuple[Node, Node]] = {}
        for positive, negative, _, _ in self.sources:
            home.setdefault(island[self._root[positive]], (self._root[positive], self._root[negative]))
        return island, home

    def is_live(self, node: Node) -> bool:
        """Whether a source feeds a node."""
        island, home = self.islands()
        return island.get(self._root.get(node, node), -1) in home

    def _apply_draws(self, network: Network[Node]) -> set[Node]:
        """Apply the draws, except in islands that no source feeds and whose draws do not cancel; returns live nodes."""
        island, home = self._islands(network)
        joined = [
            (None if p is None else self._root[p], None if n is None else self._root[n], amps)
            for p, n, amps in self.draws
        ]
        totals: dict[int, float] = {}
        for positive, _, amps in joined:
            if positive is not None:
                totals[island[positive]] = totals.get(island[positive], 0.0) + amps
        for positive, negative, amps in joined:
            ends = self._ends(positive, negative, island, home)
            if ends is not None and (island[ends[0]] in home or abs(totals[island[ends[0]]]) < BALANCE_A):
                network.current(*ends, amps)
        return {node for node, index in island.items() if index in home}

    @staticmethod
    def _ends(
        positive: Node | None, negative: Node | None, island: dict[Node, int], home: dict[int, tuple[Node, Node]]
    ) -> tuple[Node, Node] | None:
        """Where a draw takes its current and puts it back; the source of its island where a pole leads nowhere."""
        own = island[positive] if positive is not None else island[negative] if negative is not None else -1
        if own not in home:
            return (positive, negative) if positive is not None and negative is not None else None
        if positive is None:
            return (home[own][0], negative) if negative is not None else None
        if negative is None or island[negative] != own:
            return positive, home[own][1]
        return positive, negative
