"""Everything computed about one system, for the checks, the drawing and the tables to read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from rigline.graph.build import SystemGraph, build_graph
from rigline.graph.modes import Mode, modes_of
from rigline.model.system import Conductor, Node, Run, Segment, System
from rigline.standards.ampacity import Ampacity, NoAmpacity
from rigline.standards.profiles import Profile, profile
from rigline.standards.wire import WireSize
from rigline.study.causes import Cause, Limits, causes_of, worst_cause
from rigline.study.circuits import Circuit, circuits
from rigline.study.currents import Case, solve_cases
from rigline.study.drops import DropFinder, LoadDrop
from rigline.study.fault_current import FaultLevel, fault_levels
from rigline.study.grounding import Grounding
from rigline.study.limits import LimitFinder
from rigline.study.neutrals import Neutrals
from rigline.study.potentials import Potentials, solve_potentials
from rigline.study.protection import Exposure, exposures, hot_poles
from rigline.study.sizing import RatingChooser, Sizes, WireChooser, needed_a, segment_drop_v
from rigline.study.wiring import Wiring


@dataclass(frozen=True)
class ConductorStudy:
    """The numbers of one hot conductor."""

    conductor: Conductor
    size: WireSize | None
    ampacity: Ampacity | NoAmpacity | None
    """None if the size is not known."""
    limits: Limits | None
    exposure: Exposure
    cause: Cause | None
    current_a: float
    needed_a: float
    """The current with 125 % of what can last three hours."""
    causes: tuple[Cause, ...] = ()
    """The cause at each end that is not protected, exceptions included; `cause` is the worst of them."""


@dataclass(frozen=True)
class SegmentStudy:
    """The numbers of one segment, as tables and the drawing show them."""

    segment: Segment
    size: WireSize | None
    sized: bool
    """Whether the tool chose the size."""
    current_a: float | None
    """Worst current of running loads."""
    charge_current_a: float | None
    """Current with every charging source at its limit."""
    ampacity_a: float | None
    allowed_a: float | None
    """Largest overcurrent device it may have."""
    drop_v: float | None
    """Lost out and back at the worst current; None if the length or size is not known."""
    drop_frac: float | None
    fault_current_a: float | None
    """At its better fed end."""
    protected_by: tuple[str, ...]
    stud: tuple[str, ...] = ()
    """Stud at each end, as far as the spec says it."""


@dataclass(frozen=True)
class NodeStudy:
    """The numbers of one component's terminals."""

    id: str
    voltage_v: float | None
    """While all loads run on the batteries."""
    drop_frac: float | None
    """Lost between source and component, over nominal voltage."""
    fault_current_a: float | None


@dataclass(frozen=True)
class Study:
    """One system with all its numbers."""

    system: System
    graph: SystemGraph
    profile: Profile
    potentials: Potentials
    cases: tuple[Case, ...]
    sizes: Sizes
    wiring: Wiring
    limits: LimitFinder
    exposures: Mapping[str, Exposure]

    @cached_property
    def modes(self) -> tuple[Mode, ...]:
        """Every position of the switches."""
        return modes_of(self.graph)

    @cached_property
    def grounding(self) -> Grounding:
        """Bonds of the DC system, and protective earth."""
        return Grounding(self.graph, self.wiring)

    @cached_property
    def neutrals(self) -> Neutrals:
        """Joints of neutral and earth, by source and position of the switches."""
        return Neutrals(self.graph, self.modes)

    @cached_property
    def fault_levels(self) -> dict[Node, FaultLevel]:
        """Prospective short-circuit current at each hot DC node."""
        return fault_levels(self.graph, self.wiring, hot_poles(self.graph)[0])

    @cached_property
    def circuits(self) -> Mapping[str, Circuit]:
        """What every overcurrent device serves and must carry, by device."""
        return circuits(self.graph, self.limits, self.cases)

    @cached_property
    def drop_finder(self) -> DropFinder:
        """Finds the voltage lost along runs and to loads."""
        return DropFinder(self.graph, self.wiring, self.limits, self.potentials, self.cases)

    @cached_property
    def load_drops(self) -> Mapping[str, LoadDrop]:
        """Voltage lost between source and load, by load."""
        return self.drop_finder.loads()

    def rating_a(self, device: str) -> float | None:
        """A device's rating, given or chosen; None if it is unknown."""
        return self.sizes.ratings.get(device)

    def run_of(self, conductor: Conductor) -> Run:
        """The run that a conductor is part of."""
        return self.wiring.run_of(conductor)

    @cached_property
    def conductors(self) -> dict[str, ConductorStudy]:
        """The numbers of every hot conductor, by its id."""
        plain = {id: self._conductor(exposure) for id, exposure in self.exposures.items()}
        return {id: self._with_cause(one, plain) for id, one in plain.items()}

    def _conductor(self, exposure: Exposure) -> ConductorStudy:
        conductor = exposure.conductor
        run, size = self.run_of(conductor), self.wiring.size(conductor)
        carried = None if size is None else self.limits.ampacity_of(run, conductor, size)
        limits = None
        if size is not None and isinstance(carried, Ampacity):
            limits = self.limits.limits_of(run, exposure, size, carried, self.sizes.ratings)
        worst, needed = needed_a(self.cases, conductor.id)
        return ConductorStudy(conductor, size, carried, limits, exposure, None, worst, needed)

    def _with_cause(self, one: ConductorStudy, all: Mapping[str, ConductorStudy]) -> ConductorStudy:
        if one.limits is None:
            return one
        ahead = max((end.flow_a for end in one.exposure.ends if end.feeding), default=0.0)
        thicker = frozenset(
            id for id, other in all.items()
            if id != one.conductor.id and other.limits is not None and other.limits.allowed_a >= ahead > 0
        )  # fmt: skip
        causes = causes_of(self.graph, one.exposure, one.limits, thicker, self.sizes.ratings)
        return replace(one, cause=worst_cause(causes), causes=causes)

    @cached_property
    def segments(self) -> tuple[SegmentStudy, ...]:
        """The numbers of every segment, in the order of the spec."""
        return tuple(self._segment(segment) for segment in self.system.segments)

    def _segment(self, segment: Segment) -> SegmentStudy:
        hot = [self.conductors[c.id] for c in segment.conductors if c.id in self.conductors]
        size = self.wiring.size(segment.conductors[0])
        known = size is not None and segment.share_m is not None
        drop = segment_drop_v(segment, self.cases, self.wiring) if known and hot else None
        volts = self.limits.volts_v(segment.conductors[0])
        ampacities = [one.ampacity.value_a for one in hot if isinstance(one.ampacity, Ampacity)]
        return SegmentStudy(
            segment=segment,
            size=size,
            sized=segment.run in self.sizes.wires,
            current_a=self._worst(segment, ("discharge", "ac")) if hot else None,
            charge_current_a=self._worst(segment, ("charge",)) if hot and segment.medium == "dc" else None,
            ampacity_a=min(ampacities, default=None),
            allowed_a=min((one.limits.allowed_a for one in hot if one.limits is not None), default=None),
            drop_v=drop,
            drop_frac=None if drop is None else drop / volts,
            fault_current_a=self._fault(segment),
            protected_by=self._protectors(segment),
            stud=self.wiring.run_of(segment.conductors[0]).spec.stud or (),
        )

    def _worst(self, segment: Segment, kinds: tuple[str, ...]) -> float:
        return max(
            (abs(case.amps.get(c.id, 0.0)) for case in self.cases if case.kind in kinds for c in segment.conductors),
            default=0.0,
        )

    def _fault(self, segment: Segment) -> float | None:
        nodes = [node for c in segment.conductors for node in (c.a, c.b)]
        found = [self.fault_levels[node].amps_a for node in nodes if node in self.fault_levels]
        return max(found, default=None)

    def _protectors(self, segment: Segment) -> tuple[str, ...]:
        """Devices that stand between a source and the segment: what feeds its ends, or the device its tap ends in."""
        from rigline.study.causes import is_tap

        found: set[str] = set()
        for conductor in segment.conductors:
            exposure = self.exposures.get(conductor.id)
            for end in exposure.ends if exposure else ():
                if not end.is_fed:
                    continue
                if exposure is not None and is_tap(self.graph, exposure, end):
                    found.update(exposure.other(end).devices)
                else:
                    found.update(end.feeding)
        return tuple(sorted(found))

    @cached_property
    def nodes(self) -> dict[str, NodeStudy]:
        """The numbers of every component that DC conductors reach."""
        found = {}
        case = next(case for case in self.cases if case.kind == "discharge")
        highest = self._source_volts(case)
        for id in sorted({node.component for node in case.volts}):
            found[id] = self._node(id, case, highest)
        return found

    def _source_volts(self, case: Case) -> dict[float, float]:
        """Terminal voltage of the batteries, by nominal voltage."""
        found: dict[float, float] = {}
        for id, component in sorted(self.system.components.items()):
            a, b = Node(id, "", "+"), Node(id, "", "-")
            if component.role == "storage" and a in case.volts and b in case.volts:
                nominal = self.limits.node_volts_v(a) or 0.0
                found[nominal] = max(found.get(nominal, 0.0), case.volts[a] - case.volts[b])
        return found

    def _node(self, id: str, case: Case, highest: Mapping[float, float]) -> NodeStudy:
        hot = [node for node in self.graph.nodes_of(id) if node.pole == "+" and node in case.volts]
        pairs = [(n, Node(id, n.terminal, "-")) for n in hot]
        pairs += [(n, Node(id, "", "-")) for n in hot if n.terminal]
        volts, drop = None, None
        for a, b in pairs:
            if b in case.volts:
                volts = case.volts[a] - case.volts[b]
                nominal = self.limits.node_volts_v(a) or self.potentials.between(a, b)
                if nominal and nominal in highest:
                    drop = (highest[nominal] - volts) / nominal
                break
        levels = [self.fault_levels[node].amps_a for node in hot if node in self.fault_levels]
        return NodeStudy(id, volts, drop, max(levels, default=None))


def study(system: System) -> Study:
    """Compute everything about a system: potentials, currents, chosen sizes, limits, exposure to faults."""
    graph = build_graph(system)
    rules = profile(system.profile_name)
    potentials = solve_potentials(graph)
    limits = LimitFinder(graph, rules, potentials)
    sizes = Sizes()
    first = Wiring(system, rules, sizes.wires)
    cases = solve_cases(graph, first, potentials)
    RatingChooser(graph, limits, cases).ratings(sizes)
    exposed = exposures(graph, potentials, sizes.ratings)
    WireChooser(graph, rules, limits, cases, exposed).wires(sizes)
    wiring = Wiring(system, rules, sizes.wires)
    if sizes.wires:
        cases = solve_cases(graph, wiring, potentials)
    return Study(system, graph, rules, potentials, cases, sizes, wiring, limits, exposed)
