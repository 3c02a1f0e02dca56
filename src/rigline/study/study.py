"""Everything computed about one system, for the checks, the drawing and the tables to read."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Mapping, Sequence
from functools import cached_property
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from rigline.graph.build import SystemGraph, build_graph
from rigline.graph.modes import Mode, modes_of
from rigline.model.system import Conductor, Node, Run, Segment, System
from rigline.standards.ampacity import Ampacity, NoAmpacity
from rigline.standards.profiles import Profile, profile
from rigline.standards.wire import WireSize
from rigline.study.ac_faults import AcClearing, AcFaultFinder, AcFaults
from rigline.study.causes import Cause, Limits, causes_of, exceeds, is_tap, worst_cause
from rigline.study.circuits import Circuit, circuits
from rigline.study.clearing import Clearing, clearings
from rigline.study.closed_loops import short_circuits
from rigline.study.currents import Case, solve_cases, unknown_carriers
from rigline.study.drop_sizing import DropSizer
from rigline.study.drops import DropFinder, LoadDrop
from rigline.study.fault_current import FaultLevel, fault_levels
from rigline.study.grounding import Grounding
from rigline.study.limits import LimitFinder
from rigline.study.neutrals import Neutrals
from rigline.study.nodes import NodeStudy, node_studies
from rigline.study.operating import charged_case, operating_cases, starting_cases
from rigline.study.pole_network import Unfed
from rigline.study.potentials import Potentials, solve_potentials
from rigline.study.protection import EndFlow, Exposure, exposures, hot_poles
from rigline.study.return_paths import Return, returns
from rigline.study.segment_drop import segment_drop
from rigline.study.sizing import RatingChooser, Sizes, WireChooser, needed_a, wire_series
from rigline.study.unstated import unstated_currents
from rigline.study.wiring import Wiring

MOST_ROUNDS = 5
"""How often sizes are chosen anew where wires in parallel share their current by size."""
MOST_GROWTHS = 8
"""How often wires are thickened for what their loads lose on the whole way."""
SAME_CURRENT_FRAC = 1e-6
"""Two solutions closer than this are the same."""


class ConductorStudy(Struct, frozen=True):
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
    unknown: tuple[str, ...] = ()
    """Components on it whose current the spec does not tell; the figures are without them."""
    causes: tuple[Cause, ...] = ()
    """The cause at each end that is not protected, exceptions included; `cause` is the worst of them."""


class SegmentStudy(Struct, frozen=True):
    """The numbers of one segment, as tables and the drawing show them."""

    segment: Segment
    size: WireSize | None
    sized: bool
    """Whether the tool chose the size."""
    current_a: float | None
    """Worst current of running loads; None if the spec does not tell it."""
    charge_current_a: float | None
    """Current with every charging source at its limit."""
    ampacity_a: float | None
    allowed_a: float | None
    """Largest overcurrent device it may have."""
    drop_v: float | None
    """Lost out and back at the worst current; None if the length or size is not known."""
    drop_frac: float | None
    fault_current_a: float | None
    """Greatest prospective one, at its better fed end."""
    protected_by: tuple[str, ...]
    stud: tuple[str, ...] = ()
    """Stud at each end, as far as the spec says it."""
    fault_current_start_a: float | None = None
    """Greatest prospective one at the end towards the path's start."""
    fault_current_end_a: float | None = None
    """The same at the other end."""
    clearing: Clearing | None = None
    """The least fault current against the device that must open; None where it can't be told, and for AC."""
    ac_clearings: tuple[AcClearing, ...] = ()
    """The same for AC: each source and kind of fault, in the position in which it is least against its device."""
    running_current_a: float | None = None
    """Worst current of the states that the system settles at, constant-power loads and low batteries included."""


class Study(Struct, frozen=True, dict=True):
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
    unknown: Mapping[str, tuple[str, ...]]
    """Conductors whose current can't be told, with the components that do not state theirs."""
    operating: tuple[Case, ...] = ()
    """What the system settles at, constant-power loads and all: batteries full, at end of discharge, each AC source."""

    @cached_property
    def answers(self) -> dict[Hashable, Any]:
        """What was asked about the study (see `kept`) -> the answer."""
        return {}

    @cached_property
    def starting(self) -> tuple[Case, ...]:
        """Each load that states a starting current while it starts on top of all others."""
        return starting_cases(self.graph, self.wiring, self.potentials)

    @cached_property
    def charged(self) -> Case:
        """Every charging source at its limit on full batteries: the highest voltages."""
        return charged_case(self.graph, self.wiring, self.potentials)

    @cached_property
    def unfed(self) -> tuple[tuple[str, Unfed], ...]:
        """Loads that their wires can't feed, each with the state in which those can bring least."""
        found: dict[str, tuple[str, Unfed]] = {}
        for case in (*self.operating, *self.starting):
            for one in case.unfed:
                if one.load not in found or one.most_w < found[one.load][1].most_w:
                    found[one.load] = case.name, one
        return tuple(found[load] for load in sorted(found))

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
    def ac_faults(self) -> AcFaults:
        """Prospective fault currents of AC, and what they open."""
        return AcFaultFinder(self.graph, self.wiring, self.limits, self.neutrals, self.sizes.ratings).find()

    @cached_property
    def circuits(self) -> Mapping[str, Circuit]:
        """What every overcurrent device serves and must carry, by device."""
        return circuits(self.graph, self.limits, self.cases)

    @cached_property
    def returns(self) -> list[Return]:
        """What every DC return must carry."""
        return returns(self.graph, self.limits, self.wiring, self.cases, self.sizes.ratings)

    @cached_property
    def unsound(self) -> tuple[str, ...]:
        """Sources that the wiring shorts or sets against each other; while there are any, currents mean nothing."""
        shorted = {id for id, _ in short_circuits(self.graph)}
        return tuple(sorted(shorted.union(*(found.sources for found in self.potentials.contradictions))))

    @cached_property
    def unstated(self) -> Mapping[str, str]:
        """What is missing of each wired load, converter or charger whose current the spec does not give."""
        return unstated_currents(self.graph, self.potentials)

    @cached_property
    def drop_finder(self) -> DropFinder:
        """Finds the voltage lost along runs and to loads."""
        cases = (*self.cases, *self.operating)
        return DropFinder(self.graph, self.wiring, self.limits, self.potentials, cases, self.starting)

    @cached_property
    def load_drops(self) -> Mapping[str, LoadDrop]:
        """Voltage lost between source and load, by load."""
        return self.drop_finder.loads()

    @cached_property
    def ends_at(self) -> Mapping[str, Sequence[tuple[Exposure, EndFlow]]]:
        """The ends of hot conductors at each component, with the conductors' exposures."""
        found: dict[str, list[tuple[Exposure, EndFlow]]] = defaultdict(list)
        for exposure in self.exposures.values():
            for end in exposure.ends:
                found[end.node.component].append((exposure, end))
        return dict(found)

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
        silent = self.unknown.get(conductor.id, ())
        return ConductorStudy(conductor, size, carried, limits, exposure, None, worst, needed, silent)

    def _with_cause(self, one: ConductorStudy, all: Mapping[str, ConductorStudy]) -> ConductorStudy:
        if one.limits is None:
            return one
        ahead = max((self._ahead_a(end) for end in one.exposure.ends if end.feeding), default=0.0)
        flow = max(end.flow_unknown_a for end in one.exposure.ends)
        if not exceeds(max(ahead, flow), one.limits.allowed_a):
            return one
        near = {c.id for end in one.exposure.ends for node in end.region for c in self.graph.conductors_at(node)}
        thicker = frozenset(
            id for id in near
            if id != one.conductor.id and id in all and (limits := all[id].limits) and limits.allowed_a >= ahead > 0
        )  # fmt: skip
        causes = causes_of(self.graph, one.exposure, one.limits, thicker, self.sizes.ratings)
        return replace(one, cause=worst_cause(causes), causes=causes)

    def _ahead_a(self, end: EndFlow) -> float:
        """What can flow into an end, or the rating of the one device ahead where what feeds it limits itself."""
        own = self.sizes.ratings.get(end.feeding[0]) if len(end.feeding) == 1 else None
        return max(end.flow_a, own or 0.0)

    @cached_property
    def segments(self) -> tuple[SegmentStudy, ...]:
        """The numbers of every segment, in the order of the spec."""
        return tuple(self._segment(segment) for segment in self.system.segments)

    @cached_property
    def segments_by_id(self) -> Mapping[str, SegmentStudy]:
        """The same by the segment's id."""
        return {one.segment.id: one for one in self.segments}

    def _segment(self, segment: Segment) -> SegmentStudy:
        power = [c for c in segment.conductors if segment.medium in ("dc", "ac") and c.pole not in ("PE", "N-PE")]
        size = self.wiring.size(segment.conductors[0])
        told = bool(power) and not any(c.id in self.unknown for c in power)
        drop: tuple[float | None, float | None] = (None, None)
        if told and segment.share_m is not None and all(self.wiring.size(c) is not None for c in power):
            volts = max(self.limits.volts_v(c) for c in power)
            drop = segment_drop(segment, self.cases, self.wiring, volts)
        ampacity, allowed = self._carried(power)
        ends = [self._fault([(c.a, c.b)[end] for c in segment.conductors]) for end in (0, 1)]
        return SegmentStudy(
            segment=segment,
            size=size,
            sized=segment.run in self.sizes.wires,
            current_a=self._worst(segment, self.cases, ("discharge", "ac")) if told else None,
            charge_current_a=self._worst(segment, self.cases, ("charge",)) if told and segment.medium == "dc" else None,
            ampacity_a=ampacity,
            allowed_a=allowed,
            drop_v=drop[0],
            drop_frac=drop[1],
            fault_current_a=max((amps for amps in ends if amps is not None), default=None),
            protected_by=self._protectors(segment),
            stud=self.wiring.run_of(segment.conductors[0]).spec.stud or (),
            fault_current_start_a=ends[0],
            fault_current_end_a=ends[1],
            clearing=self.clearings.get(segment.id),
            ac_clearings=tuple(one for one in self.ac_faults.clearings if one.segment == segment.id),
            running_current_a=self._worst(segment, self.operating, ("full", "end", "ac-running")) if told else None,
        )

    def _carried(self, power: Sequence[Conductor]) -> tuple[float | None, float | None]:
        """Least ampacity of the conductors of a segment, and the least of the largest devices they may have."""
        ampacities, devices, seen = [], [], set()
        for conductor in sorted(power, key=lambda c: c.id not in self.conductors):
            size, one = self.wiring.size(conductor), self.conductors.get(conductor.id)
            if size is None or (one is None and size in seen):
                continue
            seen.add(size)
            run = self.run_of(conductor)
            carried = self.limits.ampacity_of(run, conductor, size)
            if isinstance(carried, Ampacity):
                ampacities.append(carried.value_a)
                limits = one.limits if one is not None else None
                plain = self.limits.allowance_of(run, conductor, None, size, carried, self.sizes.ratings)
                devices.append(plain.value_a if limits is None else limits.allowed_a)
        return min(ampacities, default=None), min(devices, default=None)

    def _worst(self, segment: Segment, cases: Sequence[Case], kinds: tuple[str, ...]) -> float:
        return max(
            (abs(case.amps.get(c.id, 0.0)) for case in cases if case.kind in kinds for c in segment.conductors),
            default=0.0,
        )

    def _fault(self, nodes: Sequence[Node]) -> float | None:
        """The greatest fault current at some nodes, DC or AC; earth and neutral have none of their own."""
        levels = [self.fault_levels.get(node) or self.ac_faults.levels.get(node) for node in nodes]
        return max((level.amps_a for level in levels if level is not None), default=None)

    @cached_property
    def clearings(self) -> Mapping[str, Clearing]:
        """The least fault current against the device that must open, by segment."""
        return clearings(self.graph, self.wiring, self.limits, self.exposures, self.sizes.ratings)

    def _protectors(self, segment: Segment) -> tuple[str, ...]:
        """Devices that stand between a source and the segment: what feeds its ends, or the device its tap ends in."""
        found: set[str] = set()
        for conductor in segment.conductors:
            exposure = self.exposures.get(conductor.id)
            for end in exposure.ends if exposure is not None else ():
                if exposure is not None and end.is_fed:
                    tap = is_tap(self.graph, exposure, end, self.profile)
                    found.update(exposure.other(end).devices if tap else end.feeding)
        return tuple(sorted(found))

    @cached_property
    def nodes(self) -> dict[str, NodeStudy]:
        """The numbers of every component that power conductors reach and a source feeds."""
        return node_studies(self.graph, self.potentials, self.operating, self.fault_levels, self.ac_faults.levels)


def _same_currents(first: Sequence[Case], second: Sequence[Case]) -> bool:
    """Whether two solutions of the same cases agree, as they do on every tree of wires whatever the sizes."""
    return all(
        abs(amps - other.amps[id]) <= SAME_CURRENT_FRAC * max(1.0, abs(amps))
        for one, other in zip(first, second, strict=True)
        for id, amps in one.amps.items()
    )


def study(system: System) -> Study:
    """Compute everything about a system: potentials, currents, chosen sizes, limits, exposure to faults."""
    graph = build_graph(system)
    rules = profile(system.profile_name)
    potentials = solve_potentials(graph)
    limits = LimitFinder(graph, rules, potentials)
    first = Wiring(system, rules, {})
    unknown = unknown_carriers(graph, first, potentials)
    cases = solve_cases(graph, first, potentials)
    for _ in range(MOST_ROUNDS):
        sizes = Sizes()
        RatingChooser(graph, limits, cases, unknown).ratings(sizes)
        exposed = exposures(graph, potentials, sizes.ratings)
        WireChooser(graph, rules, limits, cases, exposed, unknown).wires(sizes)
        wiring = Wiring(system, rules, sizes.wires)
        before, cases = cases, solve_cases(graph, wiring, potentials) if sizes.wires else cases
        if _same_currents(before, cases):
            break
    wiring, cases, operating = _grown(graph, limits, potentials, wiring, cases, sizes)
    return Study(system, graph, rules, potentials, cases, sizes, wiring, limits, exposed, unknown, operating)


def _grown(
    graph: SystemGraph,
    limits: LimitFinder,
    potentials: Potentials,
    wiring: Wiring,
    cases: tuple[Case, ...],
    sizes: Sizes,
) -> tuple[Wiring, tuple[Case, ...], tuple[Case, ...]]:
    """Wires thickened until every load keeps what it may lose on its whole way, and the cases with them."""
    operating = operating_cases(graph, wiring, potentials)
    for _ in range(MOST_GROWTHS if sizes.wires else 0):
        every = (*cases, *operating)
        drops = DropFinder(graph, wiring, limits, potentials, every).loads()
        series = wire_series(graph, limits.profile)
        if not DropSizer(graph, limits.profile, wiring, every, series, sizes).grow(list(drops.values())):
            break
        wiring = Wiring(wiring.system, limits.profile, dict(sizes.wires))
        cases = solve_cases(graph, wiring, potentials)
        operating = operating_cases(graph, wiring, potentials)
    return wiring, cases, operating
