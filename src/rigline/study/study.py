"""Everything computed about one system, for the checks, the drawing and the tables to read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from rigline.graph.build import SystemGraph, build_graph
from rigline.graph.modes import Mode, modes_of
from rigline.model.system import Conductor, Node, Run, Segment, System
from rigline.standards.ampacity import Ampacity, NoAmpacity
from rigline.standards.profiles import Profile, profile
from rigline.standards.wire import WireSize
from rigline.study.causes import Cause, Limits, causes_of, exceeds, is_tap, worst_cause
from rigline.study.circuits import Circuit, circuits
from rigline.study.closed_loops import short_circuits
from rigline.study.currents import Case, solve_cases, unknown_carriers
from rigline.study.drops import DropFinder, LoadDrop
from rigline.study.fault_current import FaultLevel, fault_levels
from rigline.study.grounding import Grounding
from rigline.study.limits import LimitFinder
from rigline.study.neutrals import Neutrals
from rigline.study.potentials import Potentials, solve_potentials, source_voltage_v
from rigline.study.protection import EndFlow, Exposure, exposures, hot_poles
from rigline.study.return_paths import Return, returns
from rigline.study.segment_drop import segment_drop
from rigline.study.sizing import RatingChooser, Sizes, WireChooser, needed_a
from rigline.study.unstated import unstated_currents
from rigline.study.wiring import Wiring

MOST_ROUNDS = 5
"""How often sizes are chosen anew where wires in parallel share their current by size."""
SAME_CURRENT_FRAC = 1e-6
"""Two solutions closer than this are the same."""


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
    unknown: tuple[str, ...] = ()
    """Components on it whose current the spec does not tell; the figures are without them."""
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
    unknown: Mapping[str, tuple[str, ...]]
    """Conductors whose current can't be told, with the components that do not state theirs."""

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

    def _segment(self, segment: Segment) -> SegmentStudy:
        power = [c for c in segment.conductors if segment.medium in ("dc", "ac") and c.pole not in ("PE", "N-PE")]
        size = self.wiring.size(segment.conductors[0])
        told = bool(power) and not any(c.id in self.unknown for c in power)
        drop: tuple[float | None, float | None] = (None, None)
        if told and segment.share_m is not None and all(self.wiring.size(c) is not None for c in power):
            volts = max(self.limits.volts_v(c) for c in power)
            drop = segment_drop(segment, self.cases, self.wiring, volts)
        ampacity, allowed = self._carried(power)
        return SegmentStudy(
            segment=segment,
            size=size,
            sized=segment.run in self.sizes.wires,
            current_a=self._worst(segment, ("discharge", "ac")) if told else None,
            charge_current_a=self._worst(segment, ("charge",)) if told and segment.medium == "dc" else None,
            ampacity_a=ampacity,
            allowed_a=allowed,
            drop_v=drop[0],
            drop_frac=drop[1],
            fault_current_a=self._fault(segment),
            protected_by=self._protectors(segment),
            stud=self.wiring.run_of(segment.conductors[0]).spec.stud or (),
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
        found: set[str] = set()
        for conductor in segment.conductors:
            exposure = self.exposures.get(conductor.id)
            for end in exposure.ends if exposure is not None else ():
                if exposure is not None and end.is_fed:
                    tap = is_tap(self.graph, exposure, end)
                    found.update(exposure.other(end).devices if tap else end.feeding)
        return tuple(sorted(found))

    @cached_property
    def nodes(self) -> dict[str, NodeStudy]:
        """The numbers of every component that DC conductors reach."""
        found = {}
        cases = [case for case in self.cases if case.kind == "discharge"]
        highest = [self._source_volts(case) for case in cases]
        for id in sorted({node.component for node in cases[0].volts}):
            found[id] = self._node(id, cases, highest)
        return found

    def _source_volts(self, case: Case) -> dict[float, float]:
        """Greatest voltage at terminals of batteries, alone and in strings, and of converters, by nominal voltage."""
        found: dict[float, float] = {}
        for island, low, low_v in self._terminals(case, "-"):
            for other, high, high_v in self._terminals(case, "+"):
                if other == island and high > low:
                    nominal = round(high - low, 6)
                    found[nominal] = max(found.get(nominal, 0.0), high_v - low_v)
        for node, volts in case.volts.items():
            held = source_voltage_v(self.graph.component_at(node), node.terminal)
            back = node._replace(pole="-")
            if held is not None and node.pole == "+" and back in case.volts and self._nominal_v(node, back):
                found.setdefault(round(held, 6), volts - case.volts[back])
        return found

    def _terminals(self, case: Case, pole: str) -> list[tuple[int, float, float]]:
        """Island, nominal potential and voltage of battery terminals of one pole; the outermost of each potential."""
        best: dict[tuple[int, float], float] = {}
        for node, volts in case.volts.items():
            storage = self.graph.component_at(node).role == "storage"
            if storage and node.pole == pole and node in self.potentials.volts:
                key = self.potentials.island[node], round(self.potentials.volts[node], 6)
                outer = min if pole == "-" else max
                best[key] = outer(best.get(key, volts), volts)
        return [(island, level, volts) for (island, level), volts in best.items()]

    def _node(self, id: str, cases: Sequence[Case], highest: Sequence[Mapping[float, float]]) -> NodeStudy:
        """The lowest voltage over all positions of the switches in which the component is fed."""
        nodes = self.graph.nodes_of(id)
        pairs = [
            (a, b) for a in nodes if a.pole == "+" for b in nodes if b.pole == "-"
            and (b.terminal == a.terminal or not (a.terminal and b.terminal))
        ]  # fmt: skip
        found: list[tuple[float, float | None]] = []
        for case, source in zip(cases, highest, strict=True):
            a, b = next(((a, b) for a, b in pairs if a in case.volts and b in case.volts), (None, None))
            if a is not None and b is not None:
                volts, nominal = case.volts[a] - case.volts[b], self._nominal_v(a, b)
                known = source.get(round(nominal, 6)) if nominal else None
                found.append((volts, None if known is None or not nominal else (known - volts) / nominal))
        volts_v, drop = min(found, key=lambda pair: pair[0], default=(None, None))
        levels = [self.fault_levels[node].amps_a for node in nodes if node in self.fault_levels]
        return NodeStudy(id, volts_v, drop, max(levels, default=None))

    def _nominal_v(self, a: Node, b: Node) -> float | None:
        return self.potentials.between(a, b)


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
    return Study(system, graph, rules, potentials, cases, sizes, wiring, limits, exposed, unknown)
