"""From where a wire is live, and what must be opened so that it is not: ways along the hot pole of the DC system."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property

from msgspec import Struct

from rigline.graph.build import Edge
from rigline.kinds import Component
from rigline.kinds.devices import Connector, InLine, Overcurrent, Selector, Switch
from rigline.kinds.sources import AcSource, Battery, PvArray, Turning, VehicleBattery
from rigline.model.system import Conductor, Node
from rigline.ordering.pieces import Piece
from rigline.study.protection import hot_poles
from rigline.study.study import Study

OPENERS = (Overcurrent, Switch, Selector, Connector)
"""What a person opens by hand; a relay closes by itself."""


class Reached(Struct, frozen=True):
    """What stands along a hot pole from one place, up to the next device that a person can open."""

    openers: tuple[Component, ...]
    bare: tuple[Component, ...]
    """What is reached with nothing between that can be opened."""


class Ways(Struct, frozen=True, dict=True):
    """Ways of one system's DC part."""

    study: Study

    @property
    def hot(self) -> str:
        """The pole that fuses stand in: the positive, unless that is the grounded one."""
        return hot_poles(self.study.graph)[0]

    @property
    def back(self) -> str:
        """The other pole."""
        return "-" if self.hot == "+" else "+"

    @cached_property
    def batteries(self) -> tuple[Battery, ...]:
        """Every battery of the system itself, in the order of the spec."""
        return tuple(part for part in self.study.system.components.values() if isinstance(part, Battery))

    @cached_property
    def depth(self) -> Mapping[str, int]:
        """How many runs lie between a component and the nearest battery or other source of DC."""
        system = self.study.system
        found = {part.id: 0 for part in system.components.values() if isinstance(part, Battery | VehicleBattery)}
        found = found or {part.id: 0 for part in system.components.values() if part.role == "source"}
        queue = list(found)
        for id in queue:
            for run in system.runs_at.get(id, ()):
                order = [stop.component for stop in run.stops]
                if id not in order or run.carries in ("bond", "earth", "neutral-bond", "sense", "data"):
                    continue
                at = order.index(id)
                for step, other in enumerate(order):
                    if other not in found:
                        found[other] = found[id] + abs(step - at)
                        queue.append(other)
        return found

    def reached(self, start: Node, stops: tuple[type[Component], ...] = OPENERS) -> Reached:
        """Openers and other components next to a place along the hot pole.

        Args:
            start: The place.
            stops: Kinds of device at which the way ends; others in line are passed.
        """
        seen, queue = {start}, [start]
        openers: dict[str, Component] = {}
        bare: dict[str, Component] = {}
        for node in queue:
            for edge, other in self.study.graph.edges_at(node):
                if other in seen or other.pole != self.hot:
                    continue
                seen.add(other)
                part = self.study.graph.component_at(other)
                if part.id != start.component and isinstance(part, stops):
                    openers[part.id] = part
                    continue
                if part.id != start.component and isinstance(edge, Conductor) and not isinstance(part, InLine):
                    bare[part.id] = part
                if isinstance(edge, Conductor) or edge.kind in ("device", "bus"):
                    queue.append(other)
        by_id = self.study.system.components
        return Reached(
            tuple(by_id[id] for id in by_id if id in openers),
            tuple(by_id[id] for id in by_id if id in bare),
        )

    def at(self, id: str, terminal: str = "", stops: tuple[type[Component], ...] = OPENERS) -> Reached:
        """The same from the hot pole of a component's terminal."""
        return self.reached(Node(id, terminal, self.hot), stops)

    def sources_of(self, id: str) -> tuple[str, ...]:
        """Batteries that a bar is joined to through devices and switches; without any, converters that feed it."""
        system = self.study.system

        def passes(edge: Edge, node: Node) -> bool:
            return edge.a.pole == edge.b.pole == self.hot and (isinstance(edge, Conductor) or edge.kind == "device")

        nodes = self.study.graph.reach(Node(id, "", self.hot), passes)
        found = {node.component for node in nodes if self.is_source(node.component)}
        if not found:
            found = {node.component for node in nodes if self._is_output(node)}
        return tuple(id for id in system.components if id in found)

    def _is_output(self, node: Node) -> bool:
        part = self.study.system.components[node.component]
        return part.role == "converter" and any(t.name == node.terminal and t.flow == "out" for t in part.terminals)

    @cached_property
    def solar(self) -> frozenset[str]:
        """Arrays and what stands between them and their controllers, controllers left out."""
        system = self.study.system
        found = {id for id, part in system.components.items() if isinstance(part, PvArray)}
        queue = sorted(found)
        for id in queue:
            for run in system.runs_at.get(id, ()):
                if run.medium != "dc" or run.carries in ("bond", "earth"):
                    continue
                for stop in run.stops:
                    part = system.components[stop.component]
                    if part.role == "inline" and part.id not in found:
                        found.add(part.id)
                        queue.append(part.id)
        return frozenset(found)

    def is_solar(self, piece: Piece) -> bool:
        """Whether a piece of wire is live as soon as light falls on an array."""
        return piece.medium == "dc" and bool({piece.start.component, piece.end.component} & self.solar)

    def source_of(self, piece: Piece) -> str | None:
        """What can't be switched off at an end of a piece, a battery; None if there is nothing of it."""
        return next((end.component for end in piece.ends if self.is_source(end.component)), None)

    def is_source(self, id: str) -> bool:
        """Whether a component can't be switched off: a battery, or the base vehicle's."""
        return isinstance(self.study.system.components[id], Battery | VehicleBattery)

    @cached_property
    def machines(self) -> tuple[Component, ...]:
        """Sources beside batteries and arrays: the base vehicle, engines, wind, water, shore, generators."""
        parts = self.study.system.components.values()
        return tuple(part for part in parts if isinstance(part, VehicleBattery | Turning | AcSource))

    def deepest_first(self, piece: Piece) -> int:
        """Sorts pieces so that those farthest from the batteries come first."""
        return -max(self.depth.get(end.component, 0) for end in piece.ends)
