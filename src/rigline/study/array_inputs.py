"""What solar arrays bring to a charge controller: their strings, current and power, and what can cut them off."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property

from msgspec import Struct

from rigline.graph.build import Edge
from rigline.kinds import Component
from rigline.kinds.converters import ChargeController
from rigline.kinds.devices import Breaker, Relay, Selector, Switch
from rigline.kinds.sources import PvArray
from rigline.model.system import Node
from rigline.study.currents import link_is_passive
from rigline.study.solar import SolarString, string_on
from rigline.study.study import Study


class ArrayInput(Struct, frozen=True, dict=True):
    """A controller with the strings on its input."""

    study: Study
    controller: ChargeController
    strings: tuple[SolarString, ...]

    def arrays(self, string: SolarString) -> list[PvArray]:
        """The arrays of one string, sorted by id."""
        components = self.study.system.components
        return [array for id in string.arrays if isinstance(array := components[id], PvArray)]

    @cached_property
    def every_array(self) -> tuple[PvArray, ...]:
        """All arrays on the input."""
        return tuple(array for string in self.strings for array in self.arrays(string))

    @cached_property
    def isc_a(self) -> float | None:
        """Short-circuit current of all strings together; None if a module does not state it.

        A series string gives no more than its weakest array.
        """
        found = []
        for string in self.strings:
            currents = [None if a.isc_a is None else a.isc_a * a.parallel for a in self.arrays(string)]
            found.append(None if None in currents else min(amps for amps in currents if amps is not None))
        return None if None in found or not found else sum(amps for amps in found if amps is not None)

    @cached_property
    def power_w(self) -> float | None:
        """Rated power of all modules; None if one does not state it."""
        powers = [None if a.pmax_w is None else a.pmax_w * a.series * a.parallel for a in self.every_array]
        return None if None in powers or not powers else sum(watts for watts in powers if watts is not None)

    @cached_property
    def battery_v(self) -> float | None:
        """Nominal voltage of the battery on its output."""
        node = Node(self.controller.id, "battery", "+")
        return self.study.limits.node_volts_v(node) or self.controller.battery_voltage_v

    @cached_property
    def cut_off_by(self) -> tuple[str, ...]:
        """Switches and breakers between the arrays and the controller, sorted."""
        return self.between("pv", Breaker | Switch | Relay)

    @cached_property
    def battery_opened_by(self) -> tuple[str, ...]:
        """Switches between the controller and every battery, sorted."""
        return self.between("battery", Switch | Selector | Relay)

    def between(self, terminal: str, kinds: object) -> tuple[str, ...]:
        """Devices whose far side the controller's terminal can't reach once they are open."""
        graph = self.study.graph
        ends = self._ends(terminal, None)
        near = {node.component for pole in "+-" for node in self._reach(Node(self.controller.id, terminal, pole), None)}
        found = []
        for id in sorted(near):
            component = graph.system.components[id]
            if isinstance(component, kinds) and ends and not self._ends(terminal, id):  # type: ignore[arg-type]
                found.append(id)
        return tuple(found)

    def _ends(self, terminal: str, without: str | None) -> set[str]:
        """Arrays, or batteries, that a terminal still has a way to on both poles without a component."""
        poles = [{n.component for n in self._reach(Node(self.controller.id, terminal, pole), without)} for pole in "+-"]
        found = poles[0] & poles[1]
        return {id for id in found if self._is_end(self.study.system.components[id], terminal)}

    @staticmethod
    def _is_end(component: Component, terminal: str) -> bool:
        return isinstance(component, PvArray) if terminal == "pv" else component.role == "storage"

    def _reach(self, start: Node, without: str | None) -> set[Node]:
        def passes(edge: Edge, node: Node) -> bool:
            removed = without is not None and getattr(edge, "component", None) == without
            return not removed and link_is_passive(edge) and edge.a.pole == edge.b.pole

        return self.study.graph.reach(start, passes) if start in self.study.graph.graph else set()


def array_inputs(study: Study) -> Iterator[ArrayInput]:
    """Every charge controller that arrays are wired to, in the order of their ids."""
    for id, component in sorted(study.system.components.items()):
        if isinstance(component, ChargeController):
            strings = tuple(string_on(study.graph, id))
            if strings:
                yield ArrayInput(study, component, strings)
