"""Resistance of the loop that a short closes: out along the hot wire, back along what it is shorted to.

The source is taken as shorted: its nodes are one. What is left between the two places of the short is the resistance of
the wires alone, rings and parallel ways solved exactly; the source's own impedance comes on top of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from rigline.model.system import Conductor, Node
from rigline.study.network import Network

Pair = tuple[Node, Node]


def loops_ohm(
    wires: Mapping[Conductor, float], joined: Iterable[Pair], source: Sequence[Node], pairs: Sequence[Pair]
) -> dict[Pair, float]:
    """Resistance of the wires between two nodes, for each pair that they join to the source.

    Args:
        wires: Every conductor that may carry fault current, with its resistance (or impedance).
        joined: Nodes that have no resistance between them.
        source: The source's nodes; all of them count as one.
        pairs: The places of the shorts.
    """
    root = _Roots([*joined, *((source[0], node) for node in source[1:])])
    network = Network[Node]()
    home = root(source[0])
    network.node(home)
    for conductor, ohm in wires.items():
        network.resistor(root(conductor.a), root(conductor.b), ohm)
    places = {pair: (root(pair[0]), root(pair[1])) for pair in pairs}
    near = set(next(group for group in network.islands() if home in group))
    places = {pair: ends for pair, ends in places.items() if near.issuperset(ends)}
    for a, b in places.values():
        if a != b:
            network.conductance_s[a].setdefault(b, 0.0)
            network.conductance_s[b].setdefault(a, 0.0)
    inverse = network.factor(network.grounds([home])).inverse()

    def entry(a: Node, b: Node) -> float:
        return inverse.get(a, {}).get(b, 0.0)

    return {pair: max(entry(a, a) + entry(b, b) - 2 * entry(a, b), 0.0) for pair, (a, b) in places.items()}


class _Roots:
    """Each node's stand-in for everything that is joined to it without resistance."""

    def __init__(self, joined: Iterable[Pair]) -> None:
        self.parent: dict[Node, Node] = {}
        for a, b in joined:
            self.parent[self(a)] = self(b)

    def __call__(self, node: Node) -> Node:
        while (up := self.parent.get(node, node)) != node:
            node = up
        return node
