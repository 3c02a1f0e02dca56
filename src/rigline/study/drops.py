"""Voltage lost between source and load, out and back, while running and while starting.

Percentages are of the nominal voltage. The running figure comes from the solved network with every load on; a load that
starts adds its extra current along its own path.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from heapq import heappop, heappush

from rigline.graph.build import SystemGraph
from rigline.kinds.converters import Inverter
from rigline.kinds.loads import Load
from rigline.kinds.sources import AcSource
from rigline.model.system import HOT_LEGS, NEGATIVE, NEUTRAL, POSITIVE, Conductor, Node, Run
from rigline.study import demand
from rigline.study.currents import Case
from rigline.study.limits import LimitFinder
from rigline.study.potentials import Potentials, source_voltage_v
from rigline.study.segment_drop import segment_drop_v
from rigline.study.wiring import Wiring


@dataclass(frozen=True)
class LoadDrop:
    """What one load loses between its source and its terminals."""

    load: str
    medium: str
    source: str
    nominal_v: float
    running_v: float
    """Lost with every load on."""
    starting_v: float | None
    """Lost while this load starts; None if it states no starting current."""
    length_m: float
    """One way, from source to load along the hot conductors."""
    runs: tuple[str, ...]
    """From the load back to the source."""
    missing: tuple[str, ...]
    """Facts that must be known first: wires and lengths on its path."""

    @property
    def running_frac(self) -> float:
        """Share of the nominal voltage lost while running."""
        return self.running_v / self.nominal_v


@dataclass(frozen=True)
class DropFinder:
    """Finds the drops of one system."""

    graph: SystemGraph
    wiring: Wiring
    limits: LimitFinder
    potentials: Potentials
    cases: tuple[Case, ...]

    def loads(self) -> Mapping[str, LoadDrop]:
        """The drop of every load that a source feeds, by id."""
        found = {}
        for id, component in sorted(self.graph.system.components.items()):
            if isinstance(component, Load):
                drops = [drop for case in self.cases if (drop := self._load(component, case)) is not None]
                if drops:
                    found[id] = max(drops, key=lambda drop: drop.running_v)
        return found

    def _load(self, load: Load, case: Case) -> LoadDrop | None:
        if case.kind not in ("discharge", "ac") or getattr(load, "cranking", None):
            return None
        hot = [n for n in self.graph.nodes_of(load.id) if n.pole in (POSITIVE, *HOT_LEGS) and n in case.volts]
        back = [n for n in self.graph.nodes_of(load.id) if n.pole in (NEGATIVE, NEUTRAL, "L2") and n in case.volts]
        back = [n for n in back if n not in hot[:1]]
        if not hot or not back:
            return None
        out = self._path(hot[0], case)
        home = self._path(back[-1], case, None if out is None else out[0].component)
        if out is None or home is None:
            return None
        return self._drop(load, case, hot[0], back[-1], out, home)

    def _drop(
        self,
        load: Load,
        case: Case,
        hot: Node,
        back: Node,
        out: tuple[Node, tuple[Conductor, ...]],
        home: tuple[Node, tuple[Conductor, ...]],
    ) -> LoadDrop:
        start, wires = out
        at_source = abs(case.volts[start] - case.volts[home[0]])
        lost = at_source - abs(case.volts[hot] - case.volts[back])
        nominal = self._nominal_v(case, hot, start, home[0])
        every = (*wires, *home[1])
        return LoadDrop(
            load.id,
            "ac" if case.kind == "ac" else "dc",
            start.component,
            nominal,
            max(lost, 0.0),
            self._starting_v(load, nominal, lost, every),
            sum(c.length_m or 0.0 for c in wires),
            tuple(dict.fromkeys(c.run for c in wires)),
            self._missing(every),
        )

    def _nominal_v(self, case: Case, hot: Node, start: Node, home: Node) -> float:
        if case.kind == "ac":
            return abs(case.volts[start] - case.volts[home]) or 1.0
        return self.limits.node_volts_v(hot) or abs(case.volts[start] - case.volts[home]) or 1.0

    def _starting_v(self, load: Load, nominal_v: float, lost_v: float, wires: tuple[Conductor, ...]) -> float | None:
        draw = demand.load_draw(load, nominal_v)
        if draw is None or draw.start_a is None:
            return None
        extra = max(draw.start_a - draw.amps_a / load.count, 0.0)
        return max(lost_v, 0.0) + extra * sum(self.wiring.resistance_ohm(c) for c in wires)

    def _missing(self, wires: tuple[Conductor, ...]) -> tuple[str, ...]:
        sizes = {f"wire of {c.run}" for c in wires if self.wiring.size(c) is None}
        lengths = {f"length of {c.run}" for c in wires if c.length_m is None}
        return tuple(sorted(sizes | lengths))

    def _path(self, start: Node, case: Case, to: str | None = None) -> tuple[Node, tuple[Conductor, ...]] | None:
        """The way of least resistance from a node to a source that holds its voltage, and the conductors on it."""
        best: set[Node] = set()
        count = 0
        queue: list[tuple[float, int, Node, tuple[Conductor, ...]]] = [(0.0, 0, start, ())]
        while queue:
            ohm, _, node, wires = heappop(queue)
            if node in best:
                continue
            best.add(node)
            if self._holds(node, case) and (to is None or node.component == to):
                return node, wires
            for edge, other in self.graph.edges_at(node):
                count += 1
                if isinstance(edge, Conductor) and edge.a.pole == edge.b.pole:
                    heappush(queue, (ohm + self.wiring.resistance_ohm(edge), count, other, (*wires, edge)))
                elif not isinstance(edge, Conductor) and edge.kind != "across":
                    heappush(queue, (ohm, count, other, wires))
        return None

    def _holds(self, node: Node, case: Case) -> bool:
        component = self.graph.component_at(node)
        if case.kind == "ac":
            if component.id != case.source:
                return False
            return isinstance(component, AcSource) or (isinstance(component, Inverter) and node.terminal == "ac-out")
        return component.role in ("storage", "source", "converter") and (
            source_voltage_v(component, node.terminal) is not None
        )

    def run_v(self, run: Run) -> float | None:
        """Lost along a run, out and back, in its worst case; None if a wire or length on it is not known."""
        wires = [c for segment in run.segments for c in segment.conductors]
        if self._missing(tuple(wires)):
            return None
        summed = sum(segment_drop_v(segment, self.cases, self.wiring) for segment in run.segments)
        return max([summed, *(self._between_ends_v(run, case) for case in self.cases if case.kind != "crank")])

    def _between_ends_v(self, run: Run, case: Case) -> float:
        """Difference of the voltages at the two ends, which counts a return that is a run of its own."""
        ends = []
        for conductor in (run.segments[0].conductors[0].a, run.segments[-1].conductors[0].b):
            back = conductor._replace(pole=NEGATIVE)
            if conductor not in case.volts or back not in case.volts:
                return 0.0
            ends.append(case.volts[conductor] - case.volts[back])
        return abs(ends[0] - ends[1])
