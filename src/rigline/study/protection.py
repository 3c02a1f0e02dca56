"""What can flow into each end of each hot conductor when it is shorted there.

Take the conductor out; let every overcurrent device pass at most its rating, every self-limited source its limit,
batteries and shore supplies anything. What can still flow into an end must be no more than the largest device that
the conductor may have behind. One test finds the missing fuse, the run live from both ends, the fuse at the wrong
end, the thin wire behind a large fuse, and small fuses that add up on a bus.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field

from rigline.graph.build import Edge, SystemGraph
from rigline.graph.links import Link
from rigline.graph.modes import Mode, modes_of
from rigline.kinds.converters import ChargeController, DcToDc
from rigline.model.system import HOT_LEGS, Conductor, Node
from rigline.study.flow import maximum_flow
from rigline.study.potentials import Potentials
from rigline.study.supplies import Supply, ac_supplies, dc_supplies

_Net = Callable[[Node], object]
"""Names the net of a node, with one conductor taken out."""


@dataclass(frozen=True)
class EndFlow:
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


@dataclass(frozen=True)
class Exposure:
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
    """Poles that must be protected: the ungrounded DC pole (both of an isolated system) and the AC legs."""
    grounding = graph.system.head.dc_grounding
    dc = {"negative": ("+",), "positive": ("-",), "isolated": ("+",)}[grounding]
    return (*dc, *HOT_LEGS)


def exposures(graph: SystemGraph, potentials: Potentials, ratings: Mapping[str, float | None]) -> dict[str, Exposure]:
    """Every hot conductor with what can flow into its ends, by conductor id."""
    hot = hot_poles(graph)
    dc_views = [
        _View(graph, mode, dc_supplies(graph, potentials, hot[0]), ratings, hot[:1]) for mode in _dc_modes(graph)
    ]
    ac_views = [_View(graph, mode, ac_supplies(graph, mode), ratings, HOT_LEGS) for mode in modes_of(graph)]
    found = {}
    for conductor in graph.conductors:
        if conductor.a.pole in hot and conductor.b.pole in hot:
            views = ac_views if conductor.a.pole in HOT_LEGS else dc_views
            found[conductor.id] = _worst(conductor, views)
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


@dataclass
class _View:
    """The hot conductors in one mode, joined into nets wherever no overcurrent device stands between."""

    graph: SystemGraph
    mode: Mode
    supplies: list[Supply]
    ratings: Mapping[str, float | None]
    poles: tuple[str, ...]
    net_of: dict[Node, int] = field(default_factory=dict)
    devices: list[Link] = field(default_factory=list)
    one_way: list[Link] = field(default_factory=list)
    at: dict[Node, list[Supply]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for supply in self.supplies:
            self.at.setdefault(supply.node, []).append(supply)
        for link in self.graph.links:
            if link.a.pole in self.poles and self.mode.closed(link):
                if link.protects:
                    self.devices.append(link)
                elif link.kind == "one-way":
                    self.one_way.append(link)
        count = 0
        for node in sorted(self.graph.graph):
            if node.pole in self.poles and node not in self.net_of:
                for member in self.graph.reach(node, self._joins):
                    self.net_of[member] = count
                count += 1

    def _joins(self, edge: Edge, node: Node) -> bool:
        """Whether two nodes are one net: a conductor, or a way through a component that nothing protects."""
        if isinstance(edge, Conductor):
            return edge.a.pole in self.poles and edge.b.pole in self.poles
        return edge.kind == "device" and not edge.protects and edge.a.pole in self.poles and self.mode.closed(edge)

    def ends(self, conductor: Conductor) -> tuple[EndFlow, EndFlow]:
        """What can flow into each end with the conductor taken out."""
        without = self.graph.reach(conductor.a, lambda e, n: e is not conductor and self._joins(e, n))
        whole = conductor.b in without
        rest = (
            without if whole else self.graph.reach(conductor.b, lambda e, n: e is not conductor and self._joins(e, n))
        )
        return self._end(conductor.a, without, rest), self._end(conductor.b, rest, without)

    def _end(self, node: Node, region: set[Node], other: set[Node]) -> EndFlow:
        def net(place: Node) -> object:
            return "here" if place in region else "there" if place in other else self.net_of[place]

        known, loose = self._flow(net, 0.0), self._flow(net, math.inf)
        border = [link for link in self.devices if (link.a in region) != (link.b in region)]
        behind = self._behind(net)
        inside = [s for place in region for s in self.at.get(place, [])]
        return EndFlow(
            node,
            known,
            loose,
            self.mode,
            frozenset(region),
            tuple(sorted({link.component for link in border})),
            tuple(sorted({link.component for link in border if self._is_fed(link, region, net)})),
            tuple(sorted({supply.component for supply in inside})),
            tuple(sorted({s.component for s in self.supplies if math.isinf(s.limit_a) and net(s.node) in behind})),
            self._missing(net, behind),
        )

    def _is_fed(self, link: Link, region: set[Node], net: _Net) -> bool:
        """Whether a source lies beyond a device at the border, without going back through the region."""
        outside = link.a if link.b in region else link.b
        beyond = self._behind(net, start=net(outside), without="here")
        return any(net(supply.node) in beyond for supply in self.supplies)

    def _missing(self, net: _Net, behind: set[object]) -> tuple[str, ...]:
        ratings = {f"rating of {d.component}" for d in self.devices if self.ratings.get(d.component) is None}
        near = {f"rating of {d.component}" for d in self.devices if net(d.a) in behind and net(d.b) in behind} & ratings
        outputs = {f"output of {s.component}" for s in self.supplies if not s.known and net(s.node) in behind}
        return tuple(sorted(near | outputs))

    def _flow(self, net: _Net, unknown_a: float) -> float:
        supply: dict[object, float] = {}
        for source in self.supplies:
            limit = source.limit_a if source.known else unknown_a
            place = net(source.node)
            supply[place] = supply.get(place, 0.0) + limit
        if math.isinf(supply.get("here", 0.0)):
            return math.inf
        arcs = []
        for link in self.devices:
            rating = self.ratings.get(link.component)
            capacity = unknown_a if rating is None else rating
            arcs += [(net(link.a), net(link.b), capacity), (net(link.b), net(link.a), capacity)]
        arcs += [(net(link.a), net(link.b), math.inf) for link in self.one_way]
        return maximum_flow(arcs, supply, "here")

    def _behind(self, net: _Net, start: object = "here", without: object = None) -> set[object]:
        """Nets from which current can reach a net, this end's if no other is named."""
        into: dict[object, set[object]] = {}
        for link in self.devices:
            into.setdefault(net(link.a), set()).add(net(link.b))
            into.setdefault(net(link.b), set()).add(net(link.a))
        for link in self.one_way:
            into.setdefault(net(link.b), set()).add(net(link.a))
        found: set[object] = {start}
        queue: list[object] = [start]
        while queue:
            for other in into.get(queue.pop(), set()):
                if other not in found and other != without:
                    found.add(other)
                    queue.append(other)
        return found


def blocks_backflow(component: object) -> bool:
    """Whether a unit lets nothing flow back out of its input."""
    if isinstance(component, ChargeController):
        return component.blocks_reverse is not False
    return isinstance(component, DcToDc) and not component.both_ways
