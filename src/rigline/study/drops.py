"""Voltage lost between source and load, out and back, while running and while starting.

Percentages are of the nominal voltage. The running figure is the worst of the solved networks with every load on: at
design currents, and at constant power with the batteries full and at end of discharge. Behind a transformer the share
lost ahead of it counts too.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cached_property
from heapq import heappop, heappush
from typing import NamedTuple

from msgspec import Struct
from msgspec.structs import replace

from rigline.graph.build import SystemGraph
from rigline.graph.links import Link
from rigline.kinds.converters import Inverter, Transformer
from rigline.kinds.loads import Load
from rigline.kinds.sources import AcSource
from rigline.model.system import HOT_LEGS, NEGATIVE, NEUTRAL, POSITIVE, Conductor, Node, Run
from rigline.study import demand
from rigline.study.currents import Case
from rigline.study.limits import LimitFinder
from rigline.study.pole_network import Unfed
from rigline.study.potentials import SAME_VOLTAGE_FRAC, Potentials, source_voltage_v
from rigline.study.segment_drop import segment_drop_v
from rigline.study.wiring import Wiring

NO_CURRENT_A = 1e-6
"""A wire that carries less carries nothing: what is left is rounding."""

RUNNING_KINDS = ("discharge", "full", "end", "ac", "ac-running")
"""Cases in which all loads run."""
DESIGN_KINDS = ("discharge", "continuous", "charge", "ac")
"""Cases at design currents, which the drop of one run is judged by, as published tables are computed."""


class LoadDrop(Struct, frozen=True):
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
    case: str = ""
    """The state of the system in which most is lost."""
    conductors: tuple[Conductor, ...] = ()
    """Everything on its way, out and back."""
    voltage_v: float | None = None
    """Voltage left at the load in that state; None if it can't be fed."""
    starting_voltage_v: float | None = None
    """Lowest voltage at the load while it starts, batteries at end of discharge; None if it states no start."""
    unfed: Unfed | None = None
    """Why the wires can't feed it, if they can't; half the voltage then counts as lost, where power is greatest."""

    @property
    def running_frac(self) -> float:
        """Share of the nominal voltage lost while running."""
        return self.running_v / self.nominal_v


class Way(NamedTuple):
    """One step of the way from a node back to the source that feeds it."""

    source: Node
    """Terminal of the source."""
    wire: Conductor | None
    """The conductor of this step; None for a way through a component."""
    before: Node | None
    """The node it leads to; None at the source."""


class DropFinder(Struct, frozen=True, dict=True):
    """Finds the drops of one system."""

    graph: SystemGraph
    wiring: Wiring
    limits: LimitFinder
    potentials: Potentials
    cases: tuple[Case, ...]
    starting: tuple[Case, ...] = ()
    """Cases in which one load starts."""

    @cached_property
    def _found(self) -> dict[tuple[str, str], Mapping[Node, Way]]:
        return {}

    def loads(self) -> Mapping[str, LoadDrop]:
        """The drop of every load that a source feeds, by id, in its worst case."""
        worst: dict[str, LoadDrop] = {}
        for case in self.cases:
            for load in self._fed(case):
                drop = self._load(load, case)
                if drop is not None and (load.id not in worst or _is_worse(drop, worst[load.id])):
                    worst[load.id] = drop
        starts = {case.starting for case in self.starting}
        return {id: self._with_start(worst[id]) if id in starts else worst[id] for id in sorted(worst)}

    def _fed(self, case: Case) -> list[Load]:
        """Loads that a source feeds in a case, starters left out."""
        if case.kind not in RUNNING_KINDS:
            return []
        found = [self.graph.system.components[id] for id in sorted({node.component for node in case.volts})]
        return [c for c in found if isinstance(c, Load) and not getattr(c, "cranking", None)]

    def _load(self, load: Load, case: Case) -> LoadDrop | None:
        poles = self._poles(load, case)
        ways = None if poles is None else self._ways(poles, case)
        return None if poles is None or ways is None else self._drop(load, case, poles, ways)

    def _poles(self, load: Load, case: Case) -> tuple[Node, Node] | None:
        """The node at which a load's current comes in, and that at which it leaves."""
        nodes = [n for n in self.graph.nodes_of(load.id) if n in case.volts]
        hot = [n for n in nodes if n.pole in (POSITIVE, *HOT_LEGS)]
        back = [n for n in nodes if n.pole in (NEGATIVE, NEUTRAL, "L2") and n not in hot[:1]]
        return (hot[0], back[-1]) if hot and back else None

    def _ways(self, poles: tuple[Node, Node], case: Case) -> tuple[Way, Way] | None:
        """The ways of least resistance from both poles to one source; to any, if no one source has both."""
        nearest = self._nearest(case)
        out, home = nearest.get(poles[0]), nearest.get(poles[1])
        if out is None or home is None:
            return None
        if home.source.component != out.source.component:
            home = self._ways_from(case, out.source.component).get(poles[1], home)
        return out, home

    def _drop(self, load: Load, case: Case, poles: tuple[Node, Node], ways: tuple[Way, Way]) -> LoadDrop:
        out, home = ways
        wires = self._wires(poles[0], out, case)
        every = [*wires, *self._wires(poles[1], home, case)]
        at_source = abs(case.volts[out.source] - case.volts[home.source])
        left = abs(case.volts[poles[0]] - case.volts[poles[1]])
        unfed = next((one for one in case.unfed if one.load == load.id), None)
        nominal = self._nominal_v(case, poles[0], out.source, home.source)
        lost = at_source - left if unfed is None else max(at_source - left, at_source / 2)
        ahead = self._lost_ahead_frac(out.source, case) * nominal
        return LoadDrop(
            load.id,
            "ac" if case.kind.startswith("ac") else "dc",
            out.source.component,
            nominal,
            max(lost, 0.0) + ahead,
            self._starting_v(load, nominal, lost + ahead, every),
            sum(c.length_m or 0.0 for c in wires),
            tuple(dict.fromkeys(c.run for c in wires)),
            self._missing(tuple(every)),
            case=case.name,
            conductors=tuple(every),
            voltage_v=None if unfed is not None else left,
            unfed=unfed,
        )

    def _lost_ahead_frac(self, source: Node, case: Case) -> float:
        """Share of the voltage that is lost ahead of a winding that feeds a load."""
        if not isinstance(self.graph.component_at(source), Transformer):
            return 0.0
        nodes = [n for n in self.graph.nodes_of(source.component) if n.terminal == "primary" and n in case.volts]
        hot, back = [n for n in nodes if n.pole in HOT_LEGS], [n for n in nodes if n.pole in (NEUTRAL, "L2")]
        ways = self._ways((hot[0], back[-1]), case) if hot and back and hot[0] != back[-1] else None
        if ways is None:
            return 0.0
        at_source = abs(case.volts[ways[0].source] - case.volts[ways[1].source])
        left = abs(case.volts[hot[0]] - case.volts[back[-1]])
        own = (at_source - left) / at_source if at_source else 0.0
        return max(own, 0.0) + self._lost_ahead_frac(ways[0].source, case)

    def _with_start(self, drop: LoadDrop) -> LoadDrop:
        """The same with the worst case in which the load starts, if one was solved."""
        lost, lowest = [], []
        for case in self.starting:
            load = self.graph.system.components[drop.load]
            if case.starting == drop.load and isinstance(load, Load) and (poles := self._poles(load, case)):
                ways = self._ways(poles, case)
                if ways is None or any(one.load == drop.load for one in case.unfed):
                    continue
                left = abs(case.volts[poles[0]] - case.volts[poles[1]])
                lost.append(abs(case.volts[ways[0].source] - case.volts[ways[1].source]) - left)
                lowest.append(left)
        if not lost or drop.starting_v is None:
            return drop
        return replace(drop, starting_v=max(drop.starting_v, *lost), starting_voltage_v=min(lowest))

    def _nominal_v(self, case: Case, hot: Node, start: Node, home: Node) -> float:
        if case.kind.startswith("ac"):
            return abs(case.volts[start] - case.volts[home]) or 1.0
        return self.limits.node_volts_v(hot) or abs(case.volts[start] - case.volts[home]) or 1.0

    def _starting_v(self, load: Load, nominal_v: float, lost_v: float, wires: Iterable[Conductor]) -> float | None:
        draw = demand.load_draw(load, nominal_v)
        if draw is None or draw.start_a is None:
            return None
        extra = max(draw.start_a - draw.amps_a / load.count, 0.0)
        return max(lost_v, 0.0) + extra * sum(self.wiring.resistance_ohm(c) for c in wires)

    def _missing(self, wires: tuple[Conductor, ...]) -> tuple[str, ...]:
        sizes = {f"wire of {c.run}" for c in wires if self.wiring.size(c) is None}
        lengths = {f"length of {c.run}" for c in wires if c.length_m is None}
        return tuple(sorted(sizes | lengths))

    def _nearest(self, case: Case) -> Mapping[Node, Way]:
        """For each node the way of least resistance to a source that holds its voltage in a case."""
        return self._ways_from(case, "")

    def _ways_from(self, case: Case, source: str) -> Mapping[Node, Way]:
        """The same to the terminals of one source; to those of any if none is named."""
        key = (case.source if case.kind.startswith("ac") or case.source else "", source)
        if key not in self._found:
            starts = [n for n in self.graph.graph if self._holds(n, case) and source in ("", n.component)]
            self._found[key] = self._spread(sorted(starts))
        return self._found[key]

    def _spread(self, starts: Iterable[Node]) -> Mapping[Node, Way]:
        best: dict[Node, Way] = {}
        queue = [(0.0, index, node, Way(node, None, None)) for index, node in enumerate(starts)]
        count = len(queue)
        while queue:
            ohm, _, node, way = heappop(queue)
            if node in best:
                continue
            best[node] = way
            for edge, other in self.graph.edges_at(node):
                if other in best or edge.a.pole != edge.b.pole:
                    continue
                count += 1
                if isinstance(edge, Conductor):
                    further = ohm + self.wiring.resistance_ohm(edge)
                    heappush(queue, (further, count, other, Way(way.source, edge, node)))
                elif edge.kind != "across" and not self._is_winding(edge):
                    heappush(queue, (ohm, count, other, Way(way.source, None, node)))
        return best

    def _is_winding(self, edge: Link) -> bool:
        return isinstance(self.graph.component_at(edge.a), Transformer)

    def _wires(self, node: Node, way: Way, case: Case) -> list[Conductor]:
        """The conductors on a way, from a node back to its source."""
        ways = self._nearest(case)
        if ways.get(node) != way:
            ways = self._ways_from(case, way.source.component)
        wires: list[Conductor] = []
        at: Node | None = node
        while at is not None:
            step = ways[at]
            wires += [step.wire] if step.wire is not None else []
            at = step.before
        return wires

    def _holds(self, node: Node, case: Case) -> bool:
        component = self.graph.component_at(node)
        if case.source:
            if isinstance(component, Transformer):
                return node.terminal == "secondary"
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
        return max([summed, *(self._between_ends_v(run, case) for case in self.cases if case.kind in DESIGN_KINDS)])

    def _between_ends_v(self, run: Run, case: Case) -> float:
        """Difference of the voltages at the two ends, which counts a return that is a run of its own.

        A run that is open somewhere, or that has a converter in it, has no drop between its ends.
        """
        first = run.segments[0].conductors[0].pole
        hot = [c.id for segment in run.segments for c in segment.conductors if c.pole == first]
        inside = [self.graph.system.components[stop.component] for stop in run.stops[1:-1]]
        if any(abs(case.amps.get(id, 0.0)) < NO_CURRENT_A for id in hot) or any(c.role == "converter" for c in inside):
            return 0.0
        ends = [(node, node._replace(pole=NEGATIVE)) for node in (run.segments[0].conductors[0].a,
                                                                  run.segments[-1].conductors[0].b)]  # fmt: skip
        nominal = [self.potentials.between(hot, back) for hot, back in ends]
        if any(node not in case.volts for end in ends for node in end) or not _is_same_v(*nominal):
            return 0.0
        volts = [case.volts[hot] - case.volts[back] for hot, back in ends]
        return abs(volts[0] - volts[1])


def _is_same_v(first: float | None, second: float | None) -> bool:
    """Whether the poles at two ends are one pair; the minus of a block in a string is not the string's."""
    return first is None or second is None or abs(first - second) <= SAME_VOLTAGE_FRAC * max(abs(first), abs(second))


def _is_worse(one: LoadDrop, other: LoadDrop) -> bool:
    """Whether a load is worse off in one state; of two in which it can't be fed, in that which brings it less."""
    if one.unfed is not None and other.unfed is not None:
        return one.unfed.most_w < other.unfed.most_w
    return one.unfed is not None or (other.unfed is None and one.running_v > other.running_v)
