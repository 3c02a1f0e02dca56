"""Fills in the terminals that a path leaves out, where only one fits."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from rigline.kinds import Component
from rigline.model.stops import CASE, Reference, terminals_for
from rigline.model.system import Medium, Stop

_SINGLE = frozenset({"ac-panel"})
"""Kinds whose terminal names are one and the same bar."""
_SYMMETRIC = frozenset({"in", "out", "a", "b"})
_PV_SIDE = frozenset({"pv-array", "wind-turbine", "hydro-turbine"})


class TerminalProblem(Exception):
    """A stop that could mean more than one terminal."""


@dataclass
class TerminalFinder:
    """Knows which terminals are taken, and what lies on the other side of a run."""

    components: Mapping[str, Component]
    paths: Sequence[Sequence[Reference]]
    media: Sequence[Medium]
    taken: dict[str, set[str]] = field(default_factory=lambda: defaultdict(set))

    def stops(self) -> list[list[Stop | TerminalProblem]]:
        """Every path with its terminals; what the author wrote counts first, then what is certain, then the rest."""
        found: list[list[Stop | TerminalProblem | None]] = [[None] * len(path) for path in self.paths]
        for decide in (self._written, self._certain, self._by_order):
            for index, path in enumerate(self.paths):
                for place in range(len(path)):
                    if found[index][place] is None:
                        found[index][place] = self._note(decide(index, place))
        return [[stop or TerminalProblem("?") for stop in stops] for stops in found]

    def _note(self, stop: Stop | TerminalProblem | None) -> Stop | TerminalProblem | None:
        if isinstance(stop, Stop):
            self.taken[stop.component] |= {stop.entry, stop.exit}
        return stop

    def _names(self, index: int, place: int) -> list[str]:
        ref = self.paths[index][place]
        return terminals_for(self.components[ref.component], self.media[index])

    def _written(self, index: int, place: int) -> Stop | None:
        ref, medium = self.paths[index][place], self.media[index]
        component = self.components[ref.component]
        if component.kind in _SINGLE:
            return Stop(ref.component, "", "", ref.pole)
        if ref.terminal == CASE:
            return Stop(ref.component, CASE, CASE, "PE")
        if ref.terminal:
            return Stop(ref.component, ref.terminal, self._other_side(index, place, ref.terminal), ref.pole)
        if medium in ("earth", "control"):
            return Stop(ref.component, "", "", ref.pole)
        return None

    def _certain(self, index: int, place: int) -> Stop | None:
        ref = self.paths[index][place]
        names = self._names(index, place)
        if component_is_outputs(self.components[ref.component]):
            names = [name for name in names if name != "dc1" and name != "dc2" and name != "dc3"]
        if len(names) == 1:
            return Stop(ref.component, names[0], names[0], ref.pole)
        if 0 < place < len(self.paths[index]) - 1:
            return self._passed(index, place)
        if self.components[ref.component].kind == "charge-controller" and self._far_kinds(index, place) & _PV_SIDE:
            return Stop(ref.component, "pv", "pv", ref.pole)
        return None

    def _passed(self, index: int, place: int) -> Stop | None:
        """A component that the path goes on through."""
        ref = self.paths[index][place]
        kind = self.components[ref.component].kind
        names = self._names(index, place)
        if kind == "shunt":
            first, second = ("battery", "load") if self._battery_before(index, place) else ("load", "battery")
            return Stop(ref.component, first, second, ref.pole)
        if set(names) <= _SYMMETRIC and len(names) == 2:
            return Stop(ref.component, names[0], names[1], ref.pole)
        if kind == "charge-controller":
            return Stop(ref.component, "pv", "battery", ref.pole)
        if kind in ("transformer", "autotransformer"):
            return Stop(ref.component, "primary", "secondary", ref.pole)
        if kind in ("inverter", "inverter-charger") and self.media[index] == "ac":
            return Stop(ref.component, "ac-in", "ac-out", ref.pole)
        return None

    def _other_side(self, index: int, place: int, terminal: str) -> str:
        """Where a path leaves a component whose terminal was written and that stands inside the path."""
        if not 0 < place < len(self.paths[index]) - 1:
            return terminal
        names = self._names(index, place)
        return next((name for name in names if name != terminal), terminal) if len(names) == 2 else terminal

    def _by_order(self, index: int, place: int) -> Stop | TerminalProblem:
        ref = self.paths[index][place]
        component = self.components[ref.component]
        names = self._names(index, place)
        flow = "out" if place == 0 else "in"
        fitting = [t.name for t in component.terminals if t.name in names and t.flow in (flow, "both")]
        free = [name for name in fitting if name not in self.taken[ref.component]]
        if component.kind == "shunt":
            near = "battery" if self._far_kinds(index, place) & {"battery"} else "load"
            return Stop(ref.component, near, near, ref.pole)
        if component.kind == "charge-controller":
            fitting = ["battery"] if "pv" in self.taken[ref.component] or place == 0 else []
            free = fitting
        if set(names) <= _SYMMETRIC and component.role == "inline":
            free = [name for name in names if name not in self.taken[ref.component]] if not free else free[:1]
        if len(free) == 1 or (len(fitting) == 1 and not free):
            name = (free or fitting)[0]
            return Stop(ref.component, name, name, ref.pole)
        choices = " or ".join(f"{ref.component}.{name}" for name in names)
        return TerminalProblem(f"{ref.component} has several terminals that fit; say {choices}")

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


def component_is_outputs(component: Component) -> bool:
    """Whether a component is a charger whose numbered outputs count only when they are written."""
    return component.kind == "ac-charger"
