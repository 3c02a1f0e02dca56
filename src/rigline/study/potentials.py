"""Nominal DC potentials: what voltage stands between any two poles, and where the wiring contradicts itself.

Batteries in series and parallel are followed as potentials. A link that shorts a bank, a reversed block, or 12 V and
24 V on one bar all show as one node with two potentials.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator
from functools import cached_property

from msgspec import Struct
from msgspec.structs import replace

from rigline.graph.build import SystemGraph
from rigline.graph.links import Link
from rigline.kinds import Component
from rigline.kinds.converters import DcToDc
from rigline.kinds.sources import Battery, VehicleBattery
from rigline.model.system import Conductor, Node

SAME_VOLTAGE_FRAC = 0.15
"""Nominal voltages this close are one system: 12, 12.8 and 13.2 V batteries all are 12 V. Common practice."""


class Contradiction(Struct, frozen=True):
    """Two potentials that one node would have to have."""

    node: Node
    first_v: float
    second_v: float
    through: str
    """Run or component that brings the second."""
    sources: tuple[str, ...] = ()
    """Batteries and other sources that hold voltages in this island."""
    reversed_block: str = ""
    """The block that is the wrong way round, if that explains it."""


class Potentials(Struct, frozen=True, dict=True):
    """Potential of each DC node against the reference of its island, as far as sources fix it."""

    volts: dict[Node, float]
    island: dict[Node, int]
    contradictions: tuple[Contradiction, ...]

    def between(self, a: Node, b: Node) -> float | None:
        """Voltage of one node above another; None if nothing fixes it."""
        if a not in self.volts or b not in self.volts or self.island[a] != self.island[b]:
            return None
        return self.volts[a] - self.volts[b]

    def level(self, node: Node) -> float | None:
        """Voltage of a node against the other pole of its island: a positive one's above the lowest potential there, a
        negative one's below the highest. None if nothing fixes it.
        """
        if node not in self.volts:
            return None
        lowest, highest = self._range[self.island[node]]
        found = highest - self.volts[node] if node.pole == "-" else self.volts[node] - lowest
        return found or None

    def contradicts(self, node: Node) -> bool:
        """Whether the wiring of a node's island gives one node two voltages, so that none there means anything."""
        return self.island.get(node) in {self.island[found.node] for found in self.contradictions}

    @cached_property
    def _range(self) -> dict[int, tuple[float, float]]:
        found: dict[int, tuple[float, float]] = {}
        for node, volts in self.volts.items():
            low, high = found.get(self.island[node], (volts, volts))
            found[self.island[node]] = (min(low, volts), max(high, volts))
        return found


def source_voltage_v(component: Component, terminal: str) -> float | None:
    """Nominal voltage that a component holds between + and - at a terminal; None if it holds none."""
    if isinstance(component, Battery) and component.voltage_v is not None:
        return component.voltage_v * component.series
    if isinstance(component, VehicleBattery):
        return component.voltage_v
    if isinstance(component, DcToDc) and terminal == "out":
        return component.output_voltage_v
    return None


def solve_potentials(graph: SystemGraph) -> Potentials:
    """Spread potentials from every source along conductors and links."""
    volts: dict[Node, float] = {}
    island: dict[Node, int] = {}
    wrong: list[Contradiction] = []
    count = 0
    for start in _starts(graph):
        if start not in volts:
            volts[start], island[start] = 0.0, count
            count += 1
            _spread(graph, start, volts, island, wrong)
    return Potentials(volts, island, tuple(_explained(graph, island, found) for found in wrong))


def _explained(graph: SystemGraph, island: dict[Node, int], found: Contradiction) -> Contradiction:
    """The contradiction with the sources of its island, and with the block that is reversed, if one is.

    A block the wrong way round misses its place by twice its own voltage, and a wire must join plus to minus there;
    one that joins plus to minus between bars is a short, not a block.
    """
    here = [node for node in sorted(island) if island[node] == island[found.node]]
    held = {n.component: v for n in here if (v := source_voltage_v(graph.component_at(n), n.terminal)) is not None}
    crossed = {
        node.component
        for c in graph.conductors
        if c.a.pole != c.b.pole and c.a in island and island[c.a] == island[found.node]
        for node in (c.a, c.b)
    }
    bars = {c.a.component for c in graph.conductors if {c.a.pole, c.b.pole} == {"+", "-"} and c.a in island
            and all(graph.component_at(node).role == "bus" for node in (c.a, c.b))}  # fmt: skip
    if bars:
        return replace(found, sources=tuple(sorted(held)))
    miss_v = abs(found.first_v - found.second_v)
    suspects = [id for id in sorted(held) if id in crossed and _same(miss_v, 2 * held[id])]
    last = found.through if found.through in suspects else next(reversed(suspects), "")
    return replace(found, sources=tuple(sorted(held)), reversed_block=last)


def _starts(graph: SystemGraph) -> list[Node]:
    """DC nodes, the negatives of batteries first, so that the reference is a battery's negative where there is one."""
    nodes = [node for node in graph.graph if node.pole in ("+", "-")]
    return sorted(nodes, key=lambda n: (n.pole != "-", graph.component_at(n).role != "storage", n))


def _spread(
    graph: SystemGraph,
    start: Node,
    volts: dict[Node, float],
    island: dict[Node, int],
    wrong: list[Contradiction],
) -> None:
    queue, least_v = deque([start]), _least_held_v(graph) if graph.component_at(start).role == "storage" else 0.0
    while queue:
        node = queue.popleft()
        for other, step_v, through in _steps(graph, node):
            value = volts[node] + step_v
            if other not in volts:
                volts[other], island[other] = value, island[node]
                queue.append(other)
            elif island[other] != island[node] or _same(volts[other], value, least_v):
                continue
            elif not any(found.node in (node, other) for found in wrong):
                wrong.append(Contradiction(other, volts[other], value, through))


def _same(first_v: float, second_v: float, least_v: float = 0.0) -> bool:
    """Whether two voltages are one; the share is taken of the greater one, and of no less than a block's voltage."""
    return abs(first_v - second_v) <= SAME_VOLTAGE_FRAC * max(abs(first_v), abs(second_v), least_v)


def _least_held_v(graph: SystemGraph) -> float:
    """Voltage of the smallest block, which potentials near zero are compared by."""
    held = [source_voltage_v(graph.component_at(node), node.terminal) for node in graph.graph]
    return min((abs(volts) for volts in held if volts), default=0.0)


def _steps(graph: SystemGraph, node: Node) -> Iterator[tuple[Node, float, str]]:
    """Neighbours of a node with how far their potential lies above it."""
    for edge, other in graph.edges_at(node):
        if other.pole not in ("+", "-"):
            continue
        if isinstance(edge, Conductor):
            yield other, 0.0, edge.run
        elif edge.kind in ("device", "common", "one-way"):
            yield other, 0.0, edge.component
        else:
            yield from _across(graph, edge, node, other)


def _across(graph: SystemGraph, edge: Link, node: Node, other: Node) -> Iterator[tuple[Node, float, str]]:
    held = source_voltage_v(graph.component_at(node), node.terminal)
    if held is not None:
        yield other, (held if node.pole == "-" else -held), edge.component
