"""Which side of a shunt the battery is on, and what returns to the battery without passing it."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from rigline.graph.build import Edge
from rigline.kinds import Component
from rigline.kinds.devices import Shunt
from rigline.kinds.loads import Monitor
from rigline.kinds.sources import Battery, VehicleBattery
from rigline.model.system import Conductor, Node
from rigline.study.study import Study

RETURNING = ("load", "converter", "source")
"""Roles whose current returns to the battery."""


class ShuntSides(Struct, frozen=True):
    """What hangs on each side of a shunt in the negative."""

    shunt: Shunt
    battery: tuple[Component, ...]
    """On its battery side, over wires and closed devices, sorted by id."""
    load: tuple[Component, ...]
    """On its load side."""

    def batteries(self, side: str) -> tuple[str, ...]:
        """Batteries on one side, those that only start engines left out."""
        found = self.battery if side == "battery" else self.load
        return tuple(c.id for c in found if isinstance(c, Battery) and not c.starting)

    @property
    def measured(self) -> tuple[str, ...]:
        """Batteries on the battery side."""
        return self.batteries("battery")

    @property
    def is_reversed(self) -> bool:
        """Whether the batteries stand on its load side only."""
        return bool(self.batteries("load")) and not self.measured

    @property
    def bypassing(self) -> tuple[Component, ...]:
        """What returns to the batteries without passing it."""
        return tuple(c for c in self.battery if c.role in RETURNING and not isinstance(c, Monitor | VehicleBattery))


def shunts(study: Study) -> Iterator[ShuntSides]:
    """Every wired shunt, sorted by id."""
    for id, shunt in sorted(study.system.components.items()):
        if isinstance(shunt, Shunt) and study.graph.nodes_of(id):
            yield ShuntSides(shunt, _side(study, id, "battery"), _side(study, id, "load"))


def _side(study: Study, id: str, terminal: str) -> tuple[Component, ...]:
    start = next((n for n in study.graph.nodes_of(id) if n.terminal == terminal), None)
    if start is None:
        return ()
    net = study.graph.reach(start, lambda edge, node: _joins(edge, node, id))
    found = {n.component: study.graph.component_at(n) for n in net if n.component != id}
    return tuple(found[one] for one in sorted(found))


def _joins(edge: Edge, node: Node, shunt: str) -> bool:
    if isinstance(edge, Conductor):
        return edge.a.pole == node.pole == edge.b.pole
    return edge.component != shunt and edge.kind == "device" and edge.a.pole == node.pole
