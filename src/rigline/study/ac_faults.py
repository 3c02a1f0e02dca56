"""Prospective fault currents of AC: the greatest at every hot node, and what a short at the end of a wire must open.

Each source is looked at in each position of the switches, alone: what feeds side by side is another rule's matter. The
angle of the impedances is not known, only that each has resistance and inductance, so the greatest current is computed
with their root of squares and the least with their sum; between the two lies every real circuit. Greatest: cold copper,
no inductance of wires, 1.10 times the nominal voltage, wires of unknown size or length without resistance. Least:
copper as warm as its insulation allows, inductance of wires, 0.90 times the nominal voltage; what is not known is not
assessed. Source: IEC 60909-0, c U / Z with these factors and temperatures, from memory.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from heapq import heappop, heappush
from typing import Literal

from msgspec import Struct

from rigline.graph.build import Edge, SystemGraph
from rigline.graph.modes import Mode
from rigline.kinds.converters import Autotransformer, Inverter, Transformer
from rigline.kinds.devices import Breaker, Rcd
from rigline.kinds.sources import AcSource, ShoreInlet
from rigline.model.system import EARTH, HOT_LEGS, NEUTRAL, Conductor, Node, Segment
from rigline.study.ac_fault_sources import (
    GREATEST_VOLTAGE_FACTOR,
    LEAST_VOLTAGE_FACTOR,
    AcFaultSource,
    ac_fault_source,
    transformer_source,
)
from rigline.study.clearing import WARM_COPPER_C
from rigline.study.fault_current import COLD_COPPER_C
from rigline.study.fault_loops import Pair, loops_ohm
from rigline.study.limits import LimitFinder
from rigline.study.neutrals import Neutrals
from rigline.study.trips import Opening, opening
from rigline.study.wiring import Wiring

REACTANCE_OHM_PER_M = 0.08e-3
"""Reactance of a conductor in a cable at 50 or 60 Hz. Source: IEC 60364-5-52 Annex G, from memory."""
NO_OHM = 1e-9
"""Resistance of a wire that is counted as none."""
FaultTo = Literal["neutral", "leg", "earth"]
POLES = (*HOT_LEGS, NEUTRAL)


class AcFaultLevel(Struct, frozen=True):
    """A bolted short at one place, with all that its current was computed from."""

    amps_a: float
    source: str
    mode: str
    """Position of the switches."""
    to: FaultTo
    """What the hot conductor is shorted to."""
    volts_v: float
    """Nominal voltage that drives it."""
    source_ohm: float | None
    """Impedance of the source; None if the source limits its current."""
    wires_ohm: float
    """Impedance of the wires, out and back."""
    why: str
    """Where the source's figure comes from."""


class AcClearing(Struct, frozen=True):
    """A short at the far end of one segment that one source feeds, against the device that must open."""

    segment: str
    device: str
    rating_a: float
    opening: Opening
    least: AcFaultLevel
    node: Node
    """The far end."""
    residual: tuple[str, ...]
    """Residual-current devices on the way, which open a fault to earth whatever its current."""
    limited: bool
    """Whether the source limits its own current."""

    @property
    def opens(self) -> bool:
        """Whether the device, or a residual-current device on the way, is sure to open soon."""
        by_residual = bool(self.residual) and self.least.to == "earth"
        return by_residual or self.least.amps_a >= self.opening.amps_a


class _Arrival(Struct, frozen=True):
    """How a hot node is reached from a source."""

    device: str
    """The last overcurrent device on the way; empty if there is none."""
    residual: tuple[str, ...]
    known: bool
    """Whether every wire on the way has its size and length."""


class AcFaults(Struct, frozen=True):
    """Everything about the AC faults of one system."""

    levels: Mapping[Node, AcFaultLevel]
    """The greatest current at each hot node that a source of known current feeds."""
    clearings: tuple[AcClearing, ...]
    """The worst position of each source for each segment and kind of fault."""
    missing: Mapping[str, tuple[str, ...]]
    """Sources that don't state what they give into a short, with the keys that are missing."""
    missing_least: Mapping[str, tuple[str, ...]]
    """The same of the least current; a generator may state its first moment only."""


class _State(Struct, frozen=True):
    """One source in one position of the switches."""

    source: AcFaultSource
    terminals: tuple[str, ...]
    mode: Mode


class AcFaultFinder:
    """Solves the loops of every source in every position."""

    def __init__(
        self,
        graph: SystemGraph,
        wiring: Wiring,
        limits: LimitFinder,
        neutrals: Neutrals,
        ratings: Mapping[str, float | None],
    ) -> None:
        self.graph, self.wiring, self.limits, self.neutrals, self.ratings = graph, wiring, limits, neutrals, ratings
        self.levels: dict[Node, AcFaultLevel] = {}
        self.clearings: dict[tuple[str, str, str], AcClearing] = {}
        self.missing: dict[str, tuple[str, ...]] = {}
        self.missing_least: dict[str, tuple[str, ...]] = {}
        self._seen: set[tuple[str, frozenset[Node], tuple[str, ...]]] = set()

    def find(self) -> AcFaults:
        """Every source in every position."""
        components = self.graph.system.components
        own = [c for _, c in sorted(components.items()) if isinstance(c, AcSource | Inverter)]
        for mode in self.neutrals.modes if own else ():
            for component in own:
                if isinstance(component, Inverter) and (component.grid_tied or not mode.inverting(component.id)):
                    continue
                terminals = ("ac-out", "ac-out2") if isinstance(component, Inverter) else ("",)
                self._state(_State(ac_fault_source(component, self.graph.system), terminals, mode), ())
        kept = tuple(self.clearings[key] for key in sorted(self.clearings))
        return AcFaults(self.levels, kept, self.missing, self.missing_least)

    def _state(self, state: _State, above: tuple[str, ...]) -> None:
        source = state.source
        hot = [n for n in self._start(state) if n.pole in HOT_LEGS]
        if not hot:
            return
        if source.missing:
            self.missing_least.setdefault(source.component, source.missing)
        if source.missing and source.greatest_ohm is None and source.limit_a is None:
            self.missing.setdefault(source.component, source.missing)
            return
        arrivals, reached = self._walk(state, hot)
        key = source.component, frozenset(reached), tuple(self._bonds(state))
        if key in self._seen and not above:
            return
        self._seen.add(key)
        levels = _Levels(self._greatest(state, arrivals, reached), self._least(state, arrivals, reached))
        self._secondaries(state, levels, above)

    def _start(self, state: _State) -> list[Node]:
        nodes = self.graph.nodes_of(state.source.component)
        return [n for n in nodes if n.terminal in state.terminals and n.pole in POLES]

    def _passes(self, state: _State, edge: Edge) -> bool:
        if edge.a.pole != edge.b.pole or edge.a.pole not in POLES:
            return False
        if isinstance(edge, Conductor):
            return True
        winding = isinstance(self.graph.component_at(edge.a), Transformer)
        return edge.kind == "device" and not winding and state.mode.closed(edge)

    def _walk(self, state: _State, hot: Sequence[Node]) -> tuple[dict[Node, _Arrival], set[Node]]:
        """How each hot node is reached by the way of least resistance, and all nodes that are reached, neutrals too."""
        arrivals: dict[Node, _Arrival] = {}
        queue = [(0.0, node, _Arrival("", (), True)) for node in sorted(hot)]
        while queue:
            ohm, node, how = heappop(queue)
            if node in arrivals:
                continue
            arrivals[node] = how
            for edge, other in self.graph.edges_at(node):
                if other not in arrivals and self._passes(state, edge):
                    own, then = self._step(edge, how)
                    heappush(queue, (ohm + own, other, then))
        reached = set(arrivals)
        for node in self._start(state):
            if node.pole == NEUTRAL:
                reached |= self.graph.reach(node, lambda edge, at: self._passes(state, edge))
        return arrivals, reached

    def _step(self, edge: Edge, how: _Arrival) -> tuple[float, _Arrival]:
        if isinstance(edge, Conductor):
            known = how.known and self._is_known(edge)
            return self._warm_ohm(edge), _Arrival(how.device, how.residual, known)
        component = self.graph.component_at(edge.a)
        guards = isinstance(component, Rcd | Breaker) and (component.residual_a or isinstance(component, Rcd))
        residual = (*how.residual, component.id) if guards else how.residual
        return 0.0, _Arrival(component.id if edge.protects else how.device, residual, how.known)

    # Wires

    def _is_known(self, conductor: Conductor) -> bool:
        return conductor.length_m is not None and self.wiring.size(conductor) is not None

    def _cold_ohm(self, conductor: Conductor) -> float:
        return self.wiring.resistance_ohm(conductor, COLD_COPPER_C) if self._is_known(conductor) else NO_OHM

    def _warm_ohm(self, conductor: Conductor) -> float:
        run = self.wiring.run_of(conductor)
        warm = self.wiring.resistance_ohm(conductor, self.limits.circumstances(run).insulation_c or WARM_COPPER_C)
        reactance = REACTANCE_OHM_PER_M * (conductor.length_m or 0.0) / run.spec.conductors
        return float((warm**2 + reactance**2) ** 0.5)

    def _between(self, reached: set[Node]) -> list[Conductor]:
        return [c for c in self.graph.conductors if c.a in reached and c.b in reached and c.a.pole == c.b.pole]

    # The greatest current

    def _greatest(
        self, state: _State, arrivals: Mapping[Node, _Arrival], reached: set[Node]
    ) -> dict[Node, AcFaultLevel]:
        wires = {c: self._cold_ohm(c) for c in self._between(reached)}
        own: dict[Node, AcFaultLevel] = {}
        for (node, _), to, ohm in self._loops(state, wires, arrivals, reached):
            found = self._level(state, to, state.source.greatest_ohm, ohm, greatest=True)
            for levels in (own, self.levels):
                if found is not None and (node not in levels or found.amps_a > levels[node].amps_a):
                    levels[node] = found
        return own

    def _loops(
        self, state: _State, wires: Mapping[Conductor, float], arrivals: Mapping[Node, _Arrival], reached: set[Node]
    ) -> Iterator[tuple[Pair, FaultTo, float]]:
        """The loop from each hot node to its neutral, and to the other leg, where there is one."""
        pairs: dict[Pair, FaultTo] = {}
        for node in sorted(arrivals):
            for pole, to in ((NEUTRAL, "neutral"), ("L2", "leg")):
                back = self._back(node, pole, reached)
                if back is not None and node.pole != pole:
                    pairs[node, back] = "leg" if to == "leg" else "neutral"
        joined = self._links(state, reached)
        for pair, ohm in loops_ohm(wires, joined, self._start(state), list(pairs)).items():
            yield pair, pairs[pair], ohm

    def _links(self, state: _State, reached: set[Node]) -> list[Pair]:
        """The ways through devices that are closed."""
        return [
            (link.a, link.b)
            for link in self.graph.links
            if link.a in reached and link.b in reached and self._passes(state, link)
        ]

    def _back(self, node: Node, pole: str, within: set[Node] | None) -> Node | None:
        """The node of a component that a short at one of its poles comes back at."""
        near = [n for n in self.graph.nodes_of(node.component) if n.pole == pole and (within is None or n in within)]
        same = [n for n in near if n.terminal == node.terminal]
        plain = [n for n in near if not n.terminal]
        return next(iter([*same, *plain, *near]), None)

    def _level(
        self, state: _State, to: FaultTo, source_ohm: float | None, wires_ohm: float, *, greatest: bool
    ) -> AcFaultLevel | None:
        source, factor = state.source, GREATEST_VOLTAGE_FACTOR if greatest else LEAST_VOLTAGE_FACTOR
        legs = 2 if to == "leg" else 1
        volts, mode = source.volts_v * legs, "" if len(self.neutrals.modes) == 1 else state.mode.name
        if source.limit_a is not None:
            by_wires = factor * volts / wires_ohm if wires_ohm else source.limit_a
            amps, own = min(source.limit_a, by_wires), None
        elif source_ohm is not None:
            own = source_ohm * legs
            amps = factor * volts / ((own**2 + wires_ohm**2) ** 0.5 if greatest else own + wires_ohm)
        else:
            return None
        return AcFaultLevel(amps, source.component, mode, to, volts, own, wires_ohm, source.why)

    # The least current

    def _least(self, state: _State, arrivals: Mapping[Node, _Arrival], reached: set[Node]) -> dict[Node, AcFaultLevel]:
        wires = {c: self._warm_ohm(c) for c in self._between(reached) if self._is_known(c)}
        found: dict[tuple[Node, str], AcFaultLevel] = {}
        for pair, to, ohm in self._loops(state, wires, arrivals, reached):
            level = self._level(state, to, state.source.least_ohm, ohm, greatest=False)
            if level is not None and (to == "neutral" or self._back(pair[0], NEUTRAL, reached) is None):
                found[pair[0], "neutral"] = level
        for node, ohm in self._earth_loops(state, wires, arrivals, reached).items():
            own = state.source.earth_ohm if self._is_ashore(state) else state.source.least_ohm
            level = self._level(state, "earth", own, ohm, greatest=False)
            if level is not None:
                found[node, "earth"] = level
        for segment in self.graph.system.segments:
            if segment.medium == "ac":
                self._segment(segment, arrivals, found)
        return {node: level for (node, kind), level in found.items() if kind == "neutral"}

    def _segment(
        self, segment: Segment, arrivals: Mapping[Node, _Arrival], found: Mapping[tuple[Node, str], AcFaultLevel]
    ) -> None:
        for conductor in segment.conductors:
            ends = [node for node in (conductor.a, conductor.b) if node in arrivals]
            if conductor.pole not in HOT_LEGS or len(ends) != 2:
                continue
            for kind in ("neutral", "earth"):
                loops = [(found[node, kind].wires_ohm, node) for node in ends if (node, kind) in found]
                if len(loops) != 2:
                    continue
                _, far = max(loops)
                self._clearing(segment, far, arrivals[far], found[far, kind])

    def _clearing(self, segment: Segment, far: Node, how: _Arrival, least: AcFaultLevel) -> None:
        rating = self.ratings.get(how.device)
        if rating is None or not how.known:
            return
        opens = opening(self.graph.system.components[how.device], rating)
        limited = least.source_ohm is None
        one = AcClearing(segment.id, how.device, rating, opens, least, far, how.residual, limited)
        key = segment.id, least.source, "earth" if least.to == "earth" else "neutral"
        known = self.clearings.get(key)
        if known is None or _times(one) < _times(known):
            self.clearings[key] = one

    # Faults to earth

    def _bonds(self, state: _State) -> list[str]:
        """Where the neutral of a source on board is joined to earth: components and runs."""
        if self._is_ashore(state):
            return []
        return [bond.at for bond in self.neutrals.bonds_of(state.source.component, state.mode)]

    def _is_ashore(self, state: _State) -> bool:
        return isinstance(self.graph.system.components[state.source.component], ShoreInlet)

    def _earth_loops(
        self, state: _State, wires: Mapping[Conductor, float], arrivals: Mapping[Node, _Arrival], reached: set[Node]
    ) -> dict[Node, float]:
        """The loop from each hot node to the protective earth of its component, and back to the source."""
        pairs = {node: back for node in arrivals if (back := self._back(node, EARTH, None)) is not None}
        start, bonds = self._start(state), self._bonds(state)
        joined = [*self._links(state, reached), *self._cases()]
        if self._is_ashore(state):
            earth = self._back(start[0], EARTH, None)
            start = [*(n for n in start if n.pole in HOT_LEGS), *([earth] if earth is not None else [])]
        else:
            joined += [(n, e) for id in bonds for n in self._of(id, NEUTRAL) for e in self._of(id, EARTH)[:1]]
        earths = [c for c in self.graph.conductors if c.a.pole == c.b.pole == EARTH or c.run in bonds]
        every = {**wires, **{c: self._warm_ohm(c) for c in earths if self._is_known(c)}}
        found = loops_ohm(every, joined, start, list(pairs.items()))
        return {node: ohm for (node, _), ohm in found.items()}

    def _of(self, id: str, pole: str) -> list[Node]:
        return [node for node in self.graph.nodes_of(id) if node.pole == pole]

    def _cases(self) -> list[Pair]:
        """Every component's earth terminals are one case."""
        places = [self._of(id, EARTH) for id in self.graph.system.components]
        return [(nodes[0], other) for nodes in places for other in nodes[1:]]

    # Transformers

    def _secondaries(self, state: _State, levels: _Levels, above: tuple[str, ...]) -> None:
        """Every transformer that a source feeds becomes a source in turn."""
        for id, component in sorted(self.graph.system.components.items()):
            if not isinstance(component, Transformer) or isinstance(component, Autotransformer) or id in above:
                continue
            primary = next(
                (n for n in self.graph.nodes_of(id) if n.terminal == "primary" and n in levels.greatest), None
            )
            if primary is not None and primary in levels.least:
                most, least = levels.greatest[primary], levels.least[primary]
                volts = float(component.output_v or most.volts_v)
                ohms = (
                    ((most.source_ohm or 0.0) ** 2 + most.wires_ohm**2) ** 0.5,
                    (least.source_ohm or 0.0) + least.wires_ohm,
                )
                source = transformer_source(component, volts, most.volts_v, state.source, ohms)
                self._state(_State(source, ("secondary",), state.mode), (*above, id))


class _Levels(Struct, frozen=True):
    """What one source gives in one position, by hot node."""

    greatest: Mapping[Node, AcFaultLevel]
    least: Mapping[Node, AcFaultLevel]
    """To neutral, or to the other leg where there is no neutral."""


def _times(one: AcClearing) -> float:
    return one.least.amps_a / one.opening.amps_a
