"""What is joined to earth: the DC negative and its bonds, and protective earth with all that stands in it.

A bond joins a pole of the DC system to earth once, so that a chafed wire opens a fuse. Protective earth must lead from
every metal case to there without a gap. Both are questions about which conductors lead where, and how thick the
thinnest of them is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cached_property
from heapq import heappop, heappush
from itertools import count
from math import inf

from msgspec import Struct

from rigline.graph.build import Edge, SystemGraph
from rigline.graph.links import Link
from rigline.kinds import Component
from rigline.kinds.converters import AcCharger, DcToDc
from rigline.kinds.earthing import Chassis, EarthElectrode
from rigline.kinds.loads import Motor
from rigline.kinds.sources import Battery, VehicleBattery
from rigline.model.system import EARTH, HOT_LEGS, NEGATIVE, POSITIVE, Conductor, Node, Run, System
from rigline.standards.wire import WireSize, size_at_least
from rigline.study.wiring import Wiring

BODY_METAL = (None, "chassis", "hull", "engine", "frame")
"""Types of metal that can be the reference of a vehicle, boat or cabin; a gas pipe or a loose part can't."""
CABINS = ("us-cabin", "iec-cabin")
VEHICLES = ("us-rv", "eu-caravan")
BOATS = ("us-boat", "intl-boat", "uk-inland-boat")


class Bond(Struct, frozen=True):
    """One tie between a DC pole and earth."""

    edge: Edge
    """The conductor, or the link inside a component whose maker ties a pole to its case."""
    dc: Node
    earth: Node

    @property
    def runs(self) -> tuple[str, ...]:
        """The run that makes the bond, if a wire does."""
        return (self.edge.run,) if isinstance(self.edge, Conductor) else ()


class EarthPath(Struct, frozen=True):
    """The thickest way from a case or a pole to where it must lead."""

    target: Node
    conductors: tuple[Conductor, ...]
    thinnest: Conductor | None
    """The conductor that limits it; None if no wire is part of it."""
    area_mm2: float | None
    """Copper area of the thinnest; None if a size on the way is not known."""


class Grounding(Struct, frozen=True, dict=True):
    """Earth and bonds of one system."""

    graph: SystemGraph
    wiring: Wiring

    @property
    def system(self) -> System:
        """The system that is looked at."""
        return self.graph.system

    @property
    def dc_pole(self) -> str:
        """The DC pole that is bonded: the negative, unless the system is positive-grounded."""
        return POSITIVE if self.system.head.dc_grounding == "positive" else NEGATIVE

    # What there is

    @cached_property
    def bodies(self) -> tuple[str, ...]:
        """Chassis, hull, engine block or frame, by id."""
        return self._ids(lambda c: isinstance(c, Chassis) and c.type in BODY_METAL)

    @cached_property
    def electrodes(self) -> tuple[str, ...]:
        """Electrodes in the ground, by id."""
        return self._ids(lambda c: isinstance(c, EarthElectrode))

    @cached_property
    def earth_buses(self) -> tuple[str, ...]:
        """Earth buses, by id."""
        return self._ids(lambda c: c.kind == "earth-bus")

    def _ids(self, wanted: Callable[[Component], bool]) -> tuple[str, ...]:
        return tuple(id for id, component in sorted(self.system.components.items()) if wanted(component))

    @property
    def metal_body(self) -> bool:
        """Whether there is a metal body that a chafed wire could make live."""
        return self.system.head.body == "metal" or bool(self.bodies)

    @cached_property
    def references(self) -> frozenset[Node]:
        """What a bond must lead to: the body's metal; in cabins an electrode too; without a body, any bar of earth."""
        ids = list(self.bodies)
        if self.system.profile_name in CABINS:
            ids += self.electrodes
        elif not self.metal_body:
            ids += [*self.electrodes, *self.earth_buses]
        return frozenset(Node(id, "", EARTH) for id in ids)

    @cached_property
    def has_ac(self) -> bool:
        """Whether AC is aboard."""
        kinds = ("inverter", "inverter-charger", "shore-inlet", "generator")
        return any(segment.medium == "ac" for segment in self.system.segments) or any(
            component.kind in kinds for component in self.system.components.values()
        )

    # How it is joined

    @cached_property
    def _ways(self) -> dict[Node, list[tuple[Edge, Node]]]:
        """Every way between earth nodes and poles of the DC system, from both ends."""
        found: dict[Node, list[tuple[Edge, Node]]] = {}
        for edge in (*self.graph.edges(), *self._case_ties()):
            a, b = self._place(edge.a), self._place(edge.b)
            found.setdefault(a, []).append((edge, b))
            found.setdefault(b, []).append((edge, a))
        return found

    def _place(self, node: Node) -> Node:
        """A node; whatever lands on a chassis or bar of earth lands on one piece of metal."""
        return Node(node.component, "", EARTH) if self._is_metal(node) else node

    def _is_metal(self, node: Node) -> bool:
        return self.system.components[node.component].role == "earth"

    def _case_ties(self) -> Iterator[Link]:
        for id, component in sorted(self.system.components.items()):
            if component.grounded_case:
                for node in self.graph.nodes_of(id):
                    if node.pole == self.dc_pole:
                        yield Link(f"{id}:case", id, node, Node(id, "", EARTH), "device")

    @staticmethod
    def is_earth(edge: Edge, a: Node, b: Node) -> bool:
        """Whether an edge leads from earth to earth."""
        return a.pole == EARTH and b.pole == EARTH

    def is_bond(self, edge: Edge, a: Node, b: Node) -> bool:
        """Whether an edge leads between earth and a pole of the DC system."""
        return (a.pole == EARTH) != (b.pole == EARTH) and {a.pole, b.pole} <= {EARTH, POSITIVE, NEGATIVE}

    def is_return(self, edge: Edge, a: Node, b: Node) -> bool:
        """Whether an edge joins two points of the DC pole that is bonded."""
        across = isinstance(edge, Link) and edge.kind == "across"
        return a.pole == b.pole == self.dc_pole and not across

    def is_dc(self, edge: Edge, a: Node, b: Node) -> bool:
        """Whether an edge joins DC poles in any way, through batteries and loads too."""
        return {a.pole, b.pole} <= {POSITIVE, NEGATIVE}

    def reach(self, start: Iterable[Node], *passes: Callable[[Edge, Node, Node], bool]) -> frozenset[Node]:
        """All places that are reached from some nodes over the given sorts of edge."""
        seen = {self._place(node) for node in start}
        queue = list(seen)
        while queue:
            node = queue.pop()
            for edge, other in self._ways.get(node, ()):
                if other not in seen and any(test(edge, node, other) for test in passes):
                    seen.add(other)
                    queue.append(other)
        return frozenset(seen)

    def earthed_from(self, start: Iterable[Node]) -> frozenset[Node]:
        """All places that protective earth, bonds and the DC return lead to."""
        return self.reach(start, self.is_earth, self.is_bond, self.is_return)

    def _groups(self, nodes: Iterable[Node], *passes: Callable[[Edge, Node, Node], bool]) -> list[frozenset[Node]]:
        groups: list[frozenset[Node]] = []
        for node in sorted(nodes):
            if not any(node in group for group in groups):
                groups.append(self.reach([node], *passes))
        return groups

    # The DC system

    @cached_property
    def dc_islands(self) -> list[frozenset[Node]]:
        """DC nodes that are galvanically joined, where something feeds them that is not the base vehicle's."""
        nodes = [node for node in self._ways if node.pole in (POSITIVE, NEGATIVE)]
        return [group for group in self._groups(nodes, self.is_dc) if any(self._feeds(node) for node in group)]

    def _feeds(self, node: Node) -> bool:
        component = self.system.components[node.component]
        output = isinstance(component, DcToDc) and node.terminal == "out"
        return isinstance(component, Battery) or output or (isinstance(component, AcCharger) and node.terminal != "ac")

    def chief(self, island: frozenset[Node]) -> str:
        """The component that stands for an island: its first battery, else what feeds it."""
        ids = sorted({node.component for node in island if self._feeds(node)})
        return min(ids, key=lambda id: (not isinstance(self.system.components[id], Battery), id))

    def bond_point(self, island: frozenset[Node]) -> str:
        """The component whose terminal is best bonded: a bus, a shunt's load stud, else a battery."""
        ids = sorted({node.component for node in island if node.pole == self.dc_pole}) or [self.chief(island)]
        order = ("busbar", "dc-panel", "fuse-block", "junction", "shunt", "battery")
        kinds = {id: self.system.components[id].kind for id in ids}
        return min(ids, key=lambda id: (order.index(kinds[id]) if kinds[id] in order else len(order), id))

    def is_bonded(self, island: frozenset[Node]) -> bool:
        """Whether the pole of an island that is to be grounded is joined to what bonds must lead to."""
        return bool(self.earthed_from(node for node in island if node.pole == self.dc_pole) & self.references)

    @cached_property
    def bonds(self) -> tuple[Bond, ...]:
        """Every tie of a DC pole to earth, the cases of equipment left out: they are earthed there, not bonded."""
        found = []
        for node in sorted(self._ways):
            for edge, other in self._ways[node]:
                if node.pole != EARTH and self.is_bond(edge, node, other) and self._is_bar(edge, other):
                    found.append(Bond(edge, node, other))
        return tuple(found)

    def _is_bar(self, edge: Edge, earth: Node) -> bool:
        kind = self.system.components[earth.component].kind
        return isinstance(edge, Link) or self._is_metal(earth) or kind in ("ac-panel", "junction")

    def bonds_by_return(self) -> list[tuple[Bond, ...]]:
        """The bonds that join one and the same DC return to one and the same earth, each group sorted.

        All chassis and electrodes are one earth: metal of one body, or soil, joins them. A tie of the base vehicle's
        own battery is the vehicle's, and two wires between the same two components are one tie.
        """
        groups: dict[tuple[Node, Node | None], dict[tuple[str, str], Bond]] = {}
        for bond in self.bonds:
            if not self._of_base_vehicle(bond):
                key = min(self.reach([bond.dc], self.is_return)), self._earth_of(bond.earth)
                groups.setdefault(key, {}).setdefault((bond.dc.component, bond.earth.component), bond)
        return [tuple(group.values()) for group in groups.values()]

    def _earth_of(self, node: Node) -> Node | None:
        """What tells one earth from another; None for the body and the ground."""
        net = self.reach([node], self.is_earth)
        ids = {place.component for place in net}
        return None if ids & {*self.bodies, *self.electrodes} else min(net)

    def _of_base_vehicle(self, bond: Bond) -> bool:
        component = self.system.components[bond.dc.component]
        starting = isinstance(component, Battery) and bool(component.starting)
        return self.system.profile_name in VEHICLES and (starting or isinstance(component, VehicleBattery))

    # Protective earth

    @cached_property
    def ac_earths(self) -> list[frozenset[Node]]:
        """Protective earth of the AC system: nets with the earth core of an AC run."""
        ends = {
            self._place(node)
            for segment in self.system.segments
            if segment.medium == "ac"
            for conductor in segment.conductors
            if conductor.pole == EARTH
            for node in (conductor.a, conductor.b)
        }
        return self._groups(ends, self.is_earth)

    def case(self, id: str) -> Node:
        """The case of a component."""
        return Node(id, "", EARTH)

    def is_earthed(self, id: str) -> bool:
        """Whether a case leads to the body, an electrode, an earth bus or the DC return."""
        reached = self.earthed_from([self.case(id)]) - {self.case(id)}
        grounds = {*self.bodies, *self.electrodes, *self.earth_buses}
        return any(node.component in grounds or node.pole == self.dc_pole for node in reached)

    def metallic_from(self, start: Node) -> frozenset[Node]:
        """Where protective earth leads from a node without soil between: it does not pass an electrode."""

        def metallic(edge: Edge, a: Node, b: Node) -> bool:
            return self.is_earth(edge, a, b) and a.component not in self.electrodes

        return self.reach([start], metallic)

    def case_path(self, id: str) -> EarthPath | None:
        """The thickest way from a case to the body or the DC return, else to an electrode or an earth bus."""
        start = self.case(id)
        for grounds in (self.bodies, (*self.electrodes, *self.earth_buses)):

            def leads(node: Node, ids: Sequence[str] = grounds) -> bool:
                return node.component in ids or (node.pole == self.dc_pole and node.component != id)

            found = self.thickest([start], leads)
            if found is not None:
                return found
        return None

    def bond_path(self, bond: Bond) -> EarthPath | None:
        """The thickest way from a bonded pole to what bonds must lead to."""
        return self.thickest([bond.dc], lambda node: node in self.references)

    # Thickness

    def size(self, conductor: Conductor) -> WireSize | None:
        """The size of a conductor, given or chosen."""
        return self.wiring.size(conductor)

    def area_mm2(self, conductor: Conductor) -> float | None:
        """Copper area of a conductor, parallel ones together; None if its size is not known."""
        size = self.size(conductor)
        return None if size is None else size.area_mm2 * self.wiring.run_of(conductor).spec.conductors

    def largest_ac_line(self) -> WireSize | None:
        """The thickest hot conductor of the AC system; None if no size is known."""
        hot = [c for segment in self.system.segments for c in segment.conductors if c.pole in HOT_LEGS]
        sizes = [size for c in hot if (size := self.wiring.size(c)) is not None]
        return max(sizes, key=lambda size: size.area_mm2, default=None)

    def largest_positive(self, island: frozenset[Node]) -> WireSize | None:
        """The thickest hot conductor of the runs at an island's batteries, starter cables left out."""
        hot = {POSITIVE, NEGATIVE} - {self.dc_pole}
        segments = [segment for run in self._battery_runs(island) for segment in run.segments]
        found = [self._whole(conductor) for s in segments for conductor in s.conductors if conductor.pole in hot]
        return max((size for size in found if size is not None), key=lambda size: size.area_mm2, default=None)

    def _battery_runs(self, island: frozenset[Node]) -> Iterator[Run]:
        ids = {node.component for node in island}
        for run in self.system.runs:
            stops = [self.system.components[stop.component] for stop in run.stops]
            cranking = any(isinstance(stop, Motor) and stop.cranking for stop in stops)
            if run.medium == "dc" and not cranking and any(isinstance(s, Battery) and s.id in ids for s in stops):
                yield run

    def _whole(self, conductor: Conductor) -> WireSize | None:
        """A conductor's size, or the size that has the copper of all its parallel ones."""
        size, area_mm2 = self.size(conductor), self.area_mm2(conductor)
        if size is None or area_mm2 is None or self.wiring.run_of(conductor).spec.conductors == 1:
            return size
        return size_at_least(area_mm2, size.system) or size

    def thickest(self, start: Iterable[Node], leads: Callable[[Node], bool]) -> EarthPath | None:
        """The way over earth and bonds whose thinnest conductor is thickest; an unknown size counts as the thinnest."""
        order = count()
        queue: list[tuple[float, int, Node, tuple[Conductor, ...]]] = []
        for node in start:
            heappush(queue, (-inf, next(order), self._place(node), ()))
        done: set[Node] = set()
        while queue:
            area, _, node, path = heappop(queue)
            if node in done:
                continue
            if path and leads(node):
                return self._path(node, path)
            done.add(node)
            for edge, other in self._ways.get(node, ()):
                if other in done or not (self.is_earth(edge, node, other) or self.is_bond(edge, node, other)):
                    continue
                if isinstance(edge, Conductor):
                    step = max(area, -(self.area_mm2(edge) or 0.0))
                    heappush(queue, (step, next(order), other, (*path, edge)))
                else:
                    heappush(queue, (area, next(order), other, path))
        return None

    def _path(self, target: Node, path: tuple[Conductor, ...]) -> EarthPath:
        thinnest = min(path, key=lambda conductor: self.area_mm2(conductor) or 0.0, default=None)
        return EarthPath(target, path, thinnest, self.area_mm2(thinnest) if thinnest else None)
