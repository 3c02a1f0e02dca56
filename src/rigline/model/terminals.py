"""Fills in the terminals that a path leaves out, where only one fits.

A wrong guess here joins a wire to the wrong side of a device, in every number and in the drawing. So what the author
wrote counts first, then what is certain, then the order of the path; where two terminals would do, it is asked.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence

from msgspec import Struct, field

from rigline.kinds import Component
from rigline.model.stops import CASE, EXTRA_TERMINALS, Reference, choices, terminals_for
from rigline.model.system import Medium, Stop

_SINGLE = frozenset({"ac-panel"})
"""Kinds whose terminal names are one and the same bar."""
_PV_SIDE = frozenset({"pv-array", "wind-turbine", "hydro-turbine"})
_AC_SOURCES = frozenset({"shore-inlet", "generator"})
_INVERTERS = frozenset({"inverter", "inverter-charger"})
_CONVERTERS_DC = frozenset({"dc-charger", "dc-converter"})
_SAME_BOTH_WAYS = frozenset({"fuse", "breaker", "switch", "relay", "connector", "galvanic-isolator"})
"""Kinds whose two sides can be exchanged."""
_SUPPLYING = frozenset({"source", "storage"})
_THROUGH = {
    "charge-controller": ("pv", "battery"),
    "transformer": ("primary", "secondary"),
    "autotransformer": ("primary", "secondary"),
    "inverter": ("ac-in", "ac-out"),
    "inverter-charger": ("ac-in", "ac-out"),
}
"""Kind -> the terminals of a path that goes on through it, in the direction of power."""


class TerminalProblem(Exception):
    """A stop that could mean more than one terminal."""


class TerminalFinder(Struct):
    """Knows which terminals are taken, and what lies on the other side of a run."""

    components: Mapping[str, Component]
    paths: Sequence[Sequence[Reference]]
    media: Sequence[Medium]
    taken: dict[str, set[str]] = field(default_factory=lambda: defaultdict(set))

    def stops(self) -> list[list[Stop | TerminalProblem]]:
        """Every path with its terminals; what the author wrote counts first, then what is certain, then the rest."""
        found: list[list[Stop | TerminalProblem | None]] = [[None] * len(path) for path in self.paths]
        for decide in (self._written, self._certain, self._by_order):
            decided = [
                (index, place, decide(index, place))
                for index, stops in enumerate(found)
                for place, stop in enumerate(stops)
                if stop is None
            ]
            for index, place, made in decided:
                found[index][place] = made
                if isinstance(made, Stop):
                    self.taken[made.component] |= {made.entry, made.exit}
        self._part_crowds(found)
        return [[stop for stop in stops if stop is not None] for stops in found]

    def _component(self, index: int, place: int) -> Component:
        return self.components[self.paths[index][place].component]

    def _names(self, index: int, place: int) -> list[str]:
        """Terminals that the run could reach, without those that count only where they are written."""
        names = terminals_for(self._component(index, place), self.media[index])
        return [name for name in names if name not in EXTRA_TERMINALS] or names

    def _is_within(self, index: int, place: int) -> bool:
        return 0 < place < len(self.paths[index]) - 1

    def _written(self, index: int, place: int) -> Stop | TerminalProblem | None:
        ref = self.paths[index][place]
        if self._component(index, place).kind in _SINGLE:
            return Stop(ref.component, "", "", ref.pole)
        if ref.terminal == CASE:
            return Stop(ref.component, CASE, CASE, "PE")
        if ref.terminal and self._is_within(index, place):
            return self._written_within(index, place)
        if ref.terminal:
            return Stop(ref.component, ref.terminal, ref.terminal, ref.pole)
        if self.media[index] in ("earth", "control"):
            return Stop(ref.component, "", "", ref.pole)
        return None

    def _written_within(self, index: int, place: int) -> Stop | TerminalProblem:
        """A path that goes on through a component says one of its terminals; the other must be certain."""
        ref, component = self.paths[index][place], self._component(index, place)
        names = self._names(index, place)
        if self.media[index] in ("earth", "control") or len(names) < 2:
            return Stop(ref.component, ref.terminal, ref.terminal, ref.pole)
        flows = {terminal.name: terminal.flow for terminal in component.terminals}
        others = [name for name in names if name != ref.terminal and flows[name] != flows[ref.terminal]]
        if len(names) == 2:
            others = [name for name in names if name != ref.terminal]
        backwards = self._runs_backwards(index, place)
        if len(others) != 1 or backwards is None:
            return self._ask(index, place)
        is_entry = (flows[ref.terminal] == "in") != backwards
        pair = (ref.terminal, others[0]) if is_entry else (others[0], ref.terminal)
        return Stop(ref.component, *pair, ref.pole)

    def _runs_backwards(self, index: int, place: int) -> bool | None:
        """Whether a path is written against the flow of power; None if sources stand on both sides of a stop."""
        roles = [self.components[ref.component].role for ref in self.paths[index]]
        before, after = (_SUPPLYING & set(part) for part in (roles[:place], roles[place + 1 :]))
        return None if before and after else bool(after)

    def _certain(self, index: int, place: int) -> Stop | None:
        ref, component = self.paths[index][place], self._component(index, place)
        names = self._names(index, place)
        if len(names) == 1:
            return Stop(ref.component, names[0], names[0], ref.pole)
        if self._is_within(index, place):
            return self._passed(index, place)
        if component.kind == "charge-controller" and self._is_pv_side(index, place):
            return Stop(ref.component, "pv", "pv", ref.pole)
        if component.kind in _INVERTERS and self._far_kind(index, place) in _AC_SOURCES:
            return Stop(ref.component, "ac-in", "ac-in", ref.pole)
        return None

    def _passed(self, index: int, place: int) -> Stop | None:
        """A component that the path goes on through."""
        ref, component = self.paths[index][place], self._component(index, place)
        names = self._names(index, place)
        if component.kind == "shunt":
            pair = ("battery", "load") if self._battery_before(index, place) else ("load", "battery")
            return Stop(ref.component, *pair, ref.pole)
        if component.role == "inline" and len(names) == 2:
            return Stop(ref.component, names[0], names[1], ref.pole)
        pair = _THROUGH.get(component.kind, ("in", "out"))
        if not set(pair) <= set(names):
            return None
        roles = [self.components[one.component].role for one in self.paths[index]]
        backwards = component.kind == "charge-controller" and "storage" in roles[:place]
        entry, exit = reversed(pair) if backwards else pair
        return Stop(ref.component, entry, exit, ref.pole)

    def _by_order(self, index: int, place: int) -> Stop | TerminalProblem:
        ref, component = self.paths[index][place], self._component(index, place)
        if self._is_within(index, place):
            return self._ask(index, place)
        fitting = self._fitting(index, place)
        free = [name for name in fitting if name not in self.taken[ref.component]]
        if not free and self._is_two_ended(component, index, place):
            free = [name for name in self._names(index, place) if name not in self.taken[ref.component]]
        if len(free) == 1 or (len(fitting) == 1 and not free):
            name = (free or fitting)[0]
            return Stop(ref.component, name, name, ref.pole)
        return self._ask(index, place)

    def _fitting(self, index: int, place: int) -> list[str]:
        """Terminals that fit the end of a path at which a component stands: power leaves its start."""
        component, names = self._component(index, place), self._names(index, place)
        if component.kind == "shunt":
            return ["battery" if self._far_kinds(index, place) & {"battery"} else "load"]
        if component.kind == "charge-controller":
            return ["battery"] if place == 0 or "pv" in self.taken[component.id] else []
        if component.kind in _INVERTERS and place > 0:
            return []
        if self._is_two_ended(component, index, place):
            return [names[1] if place == 0 else names[0]]
        flow = "out" if place == 0 else "in"
        return [t.name for t in component.terminals if t.name in names and t.flow in (flow, "both")]

    def _is_two_ended(self, component: Component, index: int, place: int) -> bool:
        return component.role == "inline" and len(self._names(index, place)) == 2

    def _ask(self, index: int, place: int) -> TerminalProblem:
        id, component = self.paths[index][place].component, self._component(index, place)
        spots = choices(id, component, self._names(index, place))
        if self._is_within(index, place):
            return TerminalProblem(f"the path could go through {id} in more than one way; end the run at {spots}, "
                                   "and begin the next one there")  # fmt: skip
        return TerminalProblem(f"{id} has several terminals that fit; say {spots}")

    def _part_crowds(self, found: list[list[Stop | TerminalProblem | None]]) -> None:
        """What to do where runs that name no terminal all landed on one side of a device, and none on the other.

        One of them is then written against the flow of power, as in [BUS1, F1, DCC1] for a charger's output. Two runs
        that meet at a fuse or switch can only be its two sides; which is which doesn't matter.
        """
        for id, ends in self._open_ends().items():
            if len(ends) < 2 or len(self.taken[id] & {"in", "out", "a", "b"}) != 1:
                continue
            names = self._names(*ends[0])
            if self.components[id].kind in _SAME_BOTH_WAYS and len(ends) == 2:
                ends.sort(key=lambda end: [str(ref) for ref in self.paths[end[0]]])
                for (index, place), name in zip(ends, names, strict=True):
                    found[index][place] = Stop(id, name, name, self.paths[index][place].pole)
            else:
                for index, place in ends:
                    found[index][place] = self._ask(index, place)

    def _open_ends(self) -> dict[str, list[tuple[int, int]]]:
        """Where paths end without a terminal on a device that has two sides, by the device."""
        ends: dict[str, list[tuple[int, int]]] = defaultdict(list)
        for index, path in enumerate(self.paths):
            for place in (0, len(path) - 1):
                component = self._component(index, place)
                has_sides = component.role == "inline" or component.kind in _CONVERTERS_DC
                is_power = self.media[index] in ("dc", "ac") and not path[place].terminal
                if is_power and has_sides and len(self._names(index, place)) == 2 and component.kind != "shunt":
                    ends[path[place].component].append((index, place))
        return ends

    def _far_kind(self, index: int, place: int) -> str:
        path = self.paths[index]
        return self.components[(path[-1] if place == 0 else path[0]).component].kind

    def _is_pv_side(self, index: int, place: int) -> bool:
        """Whether an array or turbine lies at the other end, or at a joint there that nothing else feeds or uses."""
        direct = self._far_kind(index, place)
        beyond = self._far_kinds(index, place) - {direct, "charge-controller"}
        return direct in _PV_SIDE or bool(beyond and beyond <= _PV_SIDE)

    def _far_kinds(self, index: int, place: int) -> set[str]:
        """Kinds at the other end of a path, and what hangs on that end if it is a mere joint."""
        path = self.paths[index]
        far = path[-1] if place == 0 else path[0]
        kinds = {self.components[far.component].kind}
        if self.components[far.component].role in ("inline", "bus"):
            kinds |= self._neighbours(far.component, index)
        return kinds

    def _neighbours(self, id: str, without: int) -> set[str]:
        return {
            self.components[path[end].component].kind
            for index, path in enumerate(self.paths)
            for end in (0, -1)
            if index != without and id in (path[0].component, path[-1].component)
        } - {self.components[id].kind}

    def _battery_before(self, index: int, place: int) -> bool:
        path = self.paths[index]
        before = [self.components[ref.component].role for ref in path[:place]]
        after = [self.components[ref.component].role for ref in path[place + 1 :]]
        if "storage" in before or "storage" in after:
            return "storage" in before
        ends = self._neighbours(path[-1].component, index)
        return not ("battery" in ends and "battery" not in self._neighbours(path[0].component, index))
