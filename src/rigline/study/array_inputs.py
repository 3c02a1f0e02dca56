"""What solar arrays bring to a charge controller: their strings, current and power, and what can cut them off."""

from __future__ import annotations

from functools import cached_property
from types import UnionType

from msgspec import Struct

from rigline.graph.kept import kept
from rigline.kinds.converters import ChargeController
from rigline.kinds.devices import Breaker, Relay, Selector, Switch
from rigline.kinds.sources import PvArray
from rigline.model.system import Node
from rigline.study.sides import Marks
from rigline.study.solar import SolarString, pole_sides, string_on
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

    def between(self, terminal: str, kinds: type | UnionType) -> tuple[str, ...]:
        """Devices whose far side the controller's terminal can't reach once they are open."""
        if not self._ends(terminal):
            return ()
        sides, components = pole_sides(self.study.graph), self.study.system.components
        near = {id for node in self._terminals(terminal) for id in sides.ways_in(sides.net(node))}
        return tuple(id for id in sorted(near) if isinstance(components[id], kinds) and not self._ends(terminal, id))

    def _terminals(self, terminal: str) -> list[Node]:
        """The poles of one of the controller's terminals that conductors reach."""
        nodes = (Node(self.controller.id, terminal, pole) for pole in "+-")
        return [node for node in nodes if node in self.study.graph.graph]

    def _ends(self, terminal: str, without: str = "") -> set[str]:
        """Arrays, or batteries, that a terminal still has a way to on both poles without a component."""
        sides, marks = pole_sides(self.study.graph), _ends_on(self.study, terminal)
        reached = [sides.at(node, without) for node in self._terminals(terminal)]
        poles = [{node.component for node in sides.among(part, marks)} for part in reached]
        return poles[0] & poles[1] if len(poles) == 2 else set()


@kept
def _ends_on(study: Study, terminal: str) -> Marks:
    """Arrays, which belong on a controller's input, or batteries, which belong on its output."""

    def is_end(node: Node) -> bool:
        component = study.graph.component_at(node)
        return isinstance(component, PvArray) if terminal == "pv" else component.role == "storage"

    return pole_sides(study.graph).marks(is_end)


@kept
def array_inputs(study: Study) -> tuple[ArrayInput, ...]:
    """Every charge controller that arrays are wired to, in the order of their ids."""
    controllers = [c for _, c in sorted(study.system.components.items()) if isinstance(c, ChargeController)]
    strings = {one.id: tuple(string_on(study.graph, one.id)) for one in controllers}
    return tuple(ArrayInput(study, one, strings[one.id]) for one in controllers if strings[one.id])
