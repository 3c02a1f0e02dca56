"""What can flow into each end of each hot conductor when it is shorted there.

Take the conductor out; let every overcurrent device pass at most its rating, every self-limited source its limit,
batteries and shore supplies anything. What can still flow into an end must be no more than the largest device that
the conductor may have behind. One test finds the missing fuse, the run live from both ends, the fuse at the wrong
end, the thin wire behind a large fuse, and small fuses that add up on a bus.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence

from msgspec import Struct

from rigline.graph.build import Edge, SystemGraph
from rigline.graph.links import Link
from rigline.graph.modes import Mode, modes_of
from rigline.model.system import HOT_LEGS, Conductor, Node
from rigline.study.bridges import walk
from rigline.study.inflow import NOTHING, Inflow, InflowFinder, Way
from rigline.study.potentials import Potentials
from rigline.study.supplies import Supply, ac_supplies, dc_supplies


class EndFlow(Struct, frozen=True):
    """What can flow into one end of a conductor from everything behind that end."""

    node: Node
    flow_a: float
    """Greatest flow over all modes, devices of unknown rating passing nothing."""
    flow_unknown_a: float
    """The same with devices of unknown rating passing anything."""
    mode: Mode
    """The mode in which the flow is greatest."""
    region: frozenset[Node]
    """Nodes that hang on this end without an overcurrent device between."""
    devices: tuple[str, ...]
    """Overcurrent devices at the border of the region."""
    feeding: tuple[str, ...]
    """Those of them with a source behind."""
    sources: tuple[str, ...]
    """Sources inside the region."""
    fed_by: tuple[str, ...]
    """Unlimited sources anywhere behind this end, through devices or not."""
    unknown: tuple[str, ...]
    """What is not known of the devices and sources behind this end."""

    @property
    def is_fed(self) -> bool:
        """Whether anything can flow into this end at all."""
        return self.flow_unknown_a > 0


class Exposure(Struct, frozen=True):
    """Both ends of one hot conductor."""

    conductor: Conductor
    a: EndFlow
    b: EndFlow

    @property
    def ends(self) -> tuple[EndFlow, EndFlow]:
        """End a (towards the path's start), then end b."""
        return self.a, self.b

    def other(self, end: EndFlow) -> EndFlow:
        """The opposite end."""
        return self.b if end is self.a else self.a


def hot_poles(graph: SystemGraph) -> tuple[str, ...]:
    """Poles that must be protected: the ungrounded DC pole, or both of an isolated system, and the AC legs.

    Source: NEC 240.15(A), a device in each ungrounded conductor; ABYC E-11 for ungrounded DC systems, from memory.
    """
    grounding = graph.system.head.dc_grounding
    dc = {"negative": ("+",), "positive": ("-",), "isolated": ("+", "-")}[grounding]
    return (*dc, *HOT_LEGS)


def exposures(graph: SystemGraph, potentials: Potentials, ratings: Mapping[str, float | None]) -> dict[str, Exposure]:
    """Every hot conductor with what can flow into its ends, by conductor id."""
    hot = hot_poles(graph)
    views: dict[str, list[_View]] = {
        pole: [_View(graph, mode, dc_supplies(graph, potentials, pole), ratings, (pole,)) for mode in _dc_modes(graph)]
        for pole in hot
        if pole not in HOT_LEGS
    }
    ac = [_View(graph, mode, ac_supplies(graph, mode), ratings, HOT_LEGS) for mode in modes_of(graph)]
    found = {}
    for conductor in graph.conductors:
        a, b = conductor.a.pole, conductor.b.pole
        if a in HOT_LEGS and b in HOT_LEGS:
            found[conductor.id] = _worst(conductor, ac)
        elif a == b and a in views:
            found[conductor.id] = _worst(conductor, views[a])
    return found


def _dc_modes(graph: SystemGraph) -> list[Mode]:
    """Every switch closed, whatever it is interlocked with: a DC interlock is no protection that can be relied on."""
    return [Mode("every switch closed", (), everything=True)]


def _worst(conductor: Conductor, views: Iterable[_View]) -> Exposure:
    """For each end the mode in which most can flow into it."""
    pairs = [view.ends(conductor) for view in views]
    first = max((pair[0] for pair in pairs), key=lambda end: (end.flow_a, end.flow_unknown_a))
    second = max((pair[1] for pair in pairs), key=lambda end: (end.flow_a, end.flow_unknown_a))
    return Exposure(conductor, first, second)


class _View:
    """The hot conductors in one mode, joined into nets wherever no overcurrent device stands between."""

    def __init__(
        self,
        graph: SystemGraph,
        mode: Mode,
        supplies: Sequence[Supply],
        ratings: Mapping[str, float | None],
        poles: tuple[str, ...],
    ) -> None:
        self.mode = mode
        self.nodes = sorted(node for node in graph.graph if node.pole in poles)
        self.place = {node: index for index, node in enumerate(self.nodes)}
        self.sources: list[list[str]] = [[] for _ in self.nodes]
        own = [NOTHING] * len(self.nodes)
        for supply in supplies:
            place = self.place[supply.node]
            self.sources[place].append(supply.component)
            own[place] = _added(own[place], supply)
        edges = [edge for edge in graph.edges() if edge.a.pole in poles and edge.b.pole in poles]
        edges = [edge for edge in edges if isinstance(edge, Conductor) or self._counts(edge)]
        self.open = {number for number, edge in enumerate(edges) if not mode.closed(edge)}
        self.number = {edge.id: number for number, edge in enumerate(edges)}
        ways = (self._way(edge, ratings) for edge in edges)
        self.flows = InflowFinder(
            [way._replace(known_a=0.0, loose_a=0.0) if n in self.open else way for n, way in enumerate(ways)], own
        )
        self._join_nets(edges)

    def _counts(self, edge: Link) -> bool:
        """Whether a way through a component matters: one that is open passes nothing, but a device in it is met."""
        return edge.kind != "across" and (edge.protects or self.mode.closed(edge))

    def _way(self, edge: Edge, ratings: Mapping[str, float | None]) -> Way:
        a, b = self.place[edge.a], self.place[edge.b]
        if isinstance(edge, Conductor) or not edge.protects:
            one_way = not isinstance(edge, Conductor) and edge.kind == "one-way"
            return Way(a, b, math.inf, math.inf, one_way, "")
        rating = ratings.get(edge.component)
        if rating is None:
            return Way(a, b, 0.0, math.inf, edge.kind == "one-way", f"rating of {edge.component}")
        return Way(a, b, rating, rating, edge.kind == "one-way", "")

    def _join_nets(self, edges: Sequence[Edge]) -> None:
        """Join places into nets; note the devices at each place."""
        plain: list[list[tuple[int, int]]] = [[] for _ in self.nodes]
        self.devices: list[list[tuple[int, int, str]]] = [[] for _ in self.nodes]
        for number, edge in enumerate(edges):
            a, b = self.place[edge.a], self.place[edge.b]
            if not isinstance(edge, Conductor) and edge.protects:
                self.devices[a].append((number, b, edge.component))
                self.devices[b].append((number, a, edge.component))
            elif (isinstance(edge, Conductor) or edge.kind != "one-way") and a != b:
                plain[a].append((number, b))
                plain[b].append((number, a))
        self.walk = walk(plain)
        self.whole: dict[int, frozenset[int]] = {}
        for group in self.walk.groups:
            net = frozenset(group)
            self.whole.update(dict.fromkeys(group, net))

    def ends(self, conductor: Conductor) -> tuple[EndFlow, EndFlow]:
        """What can flow into each end with the conductor taken out."""
        number, a, b = self.number[conductor.id], self.place[conductor.a], self.place[conductor.b]
        net = self.whole[a]
        lower = frozenset(self.walk.below(number)) if number in self.walk.bridges else None
        if lower is None:
            return self._end(number, a, net), self._end(number, b, net)
        first, second = (lower, net - lower) if a in lower else (net - lower, lower)
        return self._end(number, a, first), self._end(number, b, second)

    def _end(self, number: int, place: int, region: frozenset[int]) -> EndFlow:
        border: set[str] = set()
        feeding: set[str] = set()
        for inside in region:
            for link, outside, component in self.devices[inside]:
                if outside not in region:
                    border.add(component)
                    if link not in self.open and self.flows.is_fed_beyond(link, outside, region, number):
                        feeding.add(component)
        inflow = self.flows.end(number, place)
        return EndFlow(
            self.nodes[place],
            inflow.known_a,
            inflow.loose_a,
            self.mode,
            frozenset(self.nodes[one] for one in region),
            tuple(sorted(border)),
            tuple(sorted(feeding)),
            tuple(sorted({id for one in region for id in self.sources[one]})),
            tuple(sorted(inflow.unlimited)),
            tuple(sorted(inflow.unknown)),
        )


def _added(own: Inflow, supply: Supply) -> Inflow:
    """What a place brings with one more source there; an unknown limit is nothing, or anything."""
    return Inflow(
        own.known_a + (supply.limit_a if supply.known else 0.0),
        own.loose_a + supply.limit_a,
        True,
        own.unlimited | {supply.component} if math.isinf(supply.limit_a) else own.unlimited,
        own.unknown if supply.known else own.unknown | {f"output of {supply.component}"},
    )
