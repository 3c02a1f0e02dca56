"""Chooses what the spec left open: ratings of devices first, then wires.

A rating is the smallest standard one of its family that carries 125 % of what can last three hours and the rest in
full, at most what a given wire behind it may have. A wire is the smallest that carries the current, may stand behind
what protects it, keeps the drop, and is not below the rule set's least size. Where no choice meets every limit, the
safe one for the wire is taken and the two limits that collide are named. What depends on a current that nobody knows is
not chosen.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property

from msgspec import Struct, field

from rigline.graph.build import SystemGraph
from rigline.kinds import Component
from rigline.kinds.devices import Fuse, Overcurrent
from rigline.kinds.earthing import EarthElectrode
from rigline.kinds.loads import Load, Receptacle
from rigline.model.system import Conductor, Run
from rigline.standards.ampacity import NoAmpacity
from rigline.standards.bonding import (
    dc_bond_minimum,
    dc_electrode_minimum,
    egc_minimum,
    gec_minimum,
    inverter_case_minimum,
)
from rigline.standards.profiles import Profile
from rigline.standards.ratings import listed_ratings, next_rating_down, next_rating_up, standard_ratings
from rigline.standards.wire import WireSize, parse_wire_size, size_at_least, standard_sizes
from rigline.study import demand
from rigline.study.causes import exceeds, protection_a
from rigline.study.currents import Case
from rigline.study.limits import LimitFinder
from rigline.study.loop_limit import loop_limit_a
from rigline.study.protection import Exposure, hot_poles
from rigline.study.segment_drop import drop_limit_frac, segment_drop, segment_drop_v
from rigline.study.wiring import Wiring

__all__ = [
    "Choice", "RatingChooser", "Sizes", "WireChooser", "crank_a", "drop_limit_frac", "needed_a", "segment_drop_v",
]  # fmt: skip

LASTING_FACTOR = 1.25
"""A device carries this many times what can last three hours or more. Source: NEC 210.20(A)."""

START_SHARE_FRAC = 0.5
"""A fuse carries twice its rating for as long as a motor starts. Source: ISO 8820-3, 0.15 s to 5 s at 200 %, from
memory."""
LEAST_RETURN_A = 1e-6
"""A bond that carries less than this carries no return current."""
CONTROL_WIRE = {"awg": parse_wire_size("16 AWG"), "mm2": parse_wire_size("1 mm²")}
"""Least size of a sense or data lead that runs by itself. Source: 33 CFR 183.425(d); ISO 10133, 1 mm²."""
MADE_ELECTRODES = ("rod", "plate", "water-pipe")
"""Electrodes that can't use a thick conductor. Source: NEC 250.66(A)."""
EARTH_LEAD = {"awg": parse_wire_size("8 AWG"), "mm2": parse_wire_size("6 mm²")}
"""Size of an earth or bond lead where nothing larger is asked for. Source: NEC 551.56(C), 8 AWG copper; common practice
elsewhere."""


class Choice(Struct, frozen=True):
    """One thing that was chosen, with the limit that decided and the limits that collide, if any."""

    subject: str
    value: str
    reason: str
    collision: str = ""


class Sizes(Struct):
    """Everything that is known or was chosen: ratings by device, wires by run."""

    ratings: dict[str, float | None] = field(default_factory=dict)
    wires: dict[str, WireSize] = field(default_factory=dict)
    choices: list[Choice] = field(default_factory=list)


def needed_a(cases: Sequence[Case], conductor: str) -> tuple[float, float]:
    """Worst current of a conductor, and the same with 125 % of what can last three hours or comes from a charger."""
    worst = {"discharge": 0.0, "continuous": 0.0, "charge": 0.0}
    for case in cases:
        kind = "discharge" if case.kind == "ac" else case.kind
        if kind in worst and (amps := abs(case.amps.get(conductor, 0.0))) > worst[kind]:
            worst[kind] = amps
    running, charging = worst["discharge"], worst["charge"]
    needed = max(running + (LASTING_FACTOR - 1) * worst["continuous"], LASTING_FACTOR * charging)
    return max(running, charging), needed


def crank_a(cases: Sequence[Case], conductor: str) -> float:
    """Current of a conductor while an engine is cranked."""
    return max((abs(case.amps.get(conductor, 0.0)) for case in cases if case.kind == "crank"), default=0.0)


class RatingChooser(Struct, frozen=True):
    """Chooses the ratings of devices that were left open."""

    graph: SystemGraph
    limits: LimitFinder
    cases: Sequence[Case]
    unknown: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Conductors whose current can't be told, with the components that do not state theirs."""

    def ratings(self, sizes: Sizes) -> None:
        """Fill in every rating: given, chosen, or None where it is unknown."""
        for id, component in sorted(self.graph.system.components.items()):
            if isinstance(component, Overcurrent):
                sizes.ratings[id] = component.rating_a
                if component.rating_a is None and "rating" not in component.unknown:
                    self._choose(component, sizes)
            elif (own := getattr(component, "overcurrent_a", None)) is not None:
                sizes.ratings[id] = own

    def _choose(self, device: Overcurrent, sizes: Sizes) -> None:
        landing = [c for node in self.graph.nodes_of(device.id) for c in self.graph.conductors_at(node)]
        hot = [c for c in landing if c.pole in hot_poles(self.graph)]
        silent = sorted({id for c in hot for id in self.unknown.get(c.id, ())})
        if not hot or silent:
            sizes.ratings[device.id] = None
            if silent:
                sizes.choices.append(_not_chosen(device.id, silent))
            return
        wished, reason = self._wish(hot, self._served(device.id))
        rating, reason, collision = self._pick(device, hot, wished, reason)
        sizes.ratings[device.id] = rating
        sizes.choices.append(Choice(device.id, f"{rating:g} A", reason, collision))

    def _pick(
        self, device: Overcurrent, hot: Sequence[Conductor], wished: float, reason: str
    ) -> tuple[float, str, str]:
        """The rating with the limit that decided it, and the limits that collide."""
        series = self._series(device)
        up = next_rating_up(wished, series)
        rating = series[-1] if up is None else up
        collision = "" if up is not None else f"{wished:.3g} A needed, but the largest is {series[-1]:g} A"
        most, why = self._most(hot, self._served(device.id))
        if most is None or not exceeds(rating, most):
            return rating, reason, collision
        lower = next_rating_down(most, series)
        if lower is None:
            return rating, why, f"{why}, but the smallest is {series[0]:g} A"
        if exceeds(wished, most) or exceeds(wished, lower):
            collision = f"{wished:.3g} A needed, but {why}"
        return lower, why, collision

    def _series(self, device: Overcurrent) -> tuple[float, ...]:
        if isinstance(device, Fuse) and device.style:
            return standard_ratings(device.style)
        return listed_ratings("iec" if self.limits.profile.ratings.value == "iec" else "nec-240.6")

    def _wish(self, hot: Sequence[Conductor], served: Sequence[Component]) -> tuple[float, str]:
        """The least rating that will do, and why."""
        needed, reason = max(needed_a(self.cases, c.id)[1] for c in hot), "125 % of its continuous load"
        cranking = max(crank_a(self.cases, c.id) for c in hot) * START_SHARE_FRAC
        if cranking > needed:
            needed, reason = cranking, "half of the cranking current"
        for component in served:
            if isinstance(component, Receptacle) and component.rating_a and component.rating_a > needed:
                needed, reason = component.rating_a, "the rating of its outlets"
            elif isinstance(component, Load):
                draw = demand.load_draw(component, self.limits.volts_v(hot[0]))
                # A load that does not say how long it runs may last: a fuse at its very current would open for nothing.
                if draw is not None and component.continuous is None and LASTING_FACTOR * draw.amps_a > needed:
                    needed, reason = LASTING_FACTOR * draw.amps_a, "125 % of its load, which may be continuous"
                start = None if draw is None else draw.start_a
                if start is not None and start * START_SHARE_FRAC > needed:
                    needed, reason = start * START_SHARE_FRAC, "half of the starting current"
        return needed, reason

    def _served(self, device: str) -> list[Component]:
        """Loads at the end of the runs that a device stands in."""
        runs = self.graph.system.runs_at.get(device, ())
        ends = {stop.component for run in runs for stop in (run.stops[0], run.stops[-1])}
        return [self.graph.system.components[id] for id in sorted(ends)]

    def _most(self, hot: Sequence[Conductor], served: Sequence[Component]) -> tuple[float | None, str]:
        """Largest rating that given wires at the device and the components it serves allow, and which of them."""
        found: list[tuple[float, str]] = []
        for conductor in hot:
            if conductor.wire is None:
                continue
            run = self.graph.system.run(conductor.run)
            carried = self.limits.ampacity_of(run, conductor, conductor.wire)
            if not isinstance(carried, NoAmpacity):
                allowed = self.limits.allowance_of(run, conductor, None, conductor.wire, carried, {})
                found.append((allowed.value_a, f"{conductor.wire} may have at most {allowed.value_a:g} A ahead"))
        for component in served:
            if component.max_protection_a is not None:
                most = component.max_protection_a
                found.append((most, f"{component.id} allows at most {most:g} A"))
        return min(found, default=(None, ""))


def _not_chosen(subject: str, silent: Sequence[str]) -> Choice:
    whose = ", ".join(silent)
    return Choice(subject, "not chosen", f"depends on {whose}", f"the current of {whose} is not known")


def wire_system(graph: SystemGraph, profile: Profile) -> str:
    """The series that sizes are chosen from: the stated one, else that of most written wires, else the rule set's."""
    given = graph.system.defaults.wire_system
    if given is not None:
        return given
    written = [run.spec.wire.system for run in graph.system.runs if run.spec.wire is not None]
    if written:
        return "mm2" if written.count("mm2") * 2 > len(written) else "awg"
    return profile.wire_system


def wire_series(graph: SystemGraph, profile: Profile) -> tuple[WireSize, ...]:
    """The sizes that are chosen from, ascending; 3 AWG is hardly to be had."""
    sizes = standard_sizes("mm2" if wire_system(graph, profile) == "mm2" else "awg")
    return tuple(size for size in sizes if size.text != "3 AWG")


class WireChooser(Struct, frozen=True, dict=True):
    """Chooses the sizes of runs that were left open."""

    graph: SystemGraph
    profile: Profile
    limits: LimitFinder
    cases: Sequence[Case]
    exposures: Mapping[str, Exposure]
    unknown: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Conductors whose current can't be told, with the components that do not state theirs."""

    @cached_property
    def _loops(self) -> dict[str, float]:
        return {}

    def wires(self, sizes: Sizes) -> None:
        """Fill in the size of every run whose wire was left out; power runs first, since earth leads follow them."""
        open_runs = [run for run in self.graph.system.runs if run.spec.wire is None and "wire" not in run.spec.unknown]
        for run in sorted(open_runs, key=lambda run: run.medium in ("earth", "control")):
            silent = sorted({id for s in run.segments for c in s.conductors for id in self.unknown.get(c.id, ())})
            if silent:
                sizes.choices.append(_not_chosen(run.id, silent))
                continue
            size, reason, collision = self._choose(run, sizes)
            sizes.wires[run.id] = size
            sizes.choices.append(Choice(run.id, str(size), reason, collision))

    def _choose(self, run: Run, sizes: Sizes) -> tuple[WireSize, str, str]:
        system = self._system
        if run.medium == "control":
            return CONTROL_WIRE[system], "the least size of a lead by itself", ""
        if run.medium == "earth":
            return self._earth(run, sizes)
        reason = ""
        for size in self._series:
            failed = self._fails(run, size, sizes)
            if not failed:
                return size, reason or "the smallest size there is", ""
            reason = failed
        return self._series[-1], reason, f"even {self._series[-1]} fails: {reason}"

    @cached_property
    def _system(self) -> str:
        return wire_system(self.graph, self.profile)

    @cached_property
    def _series(self) -> tuple[WireSize, ...]:
        return wire_series(self.graph, self.profile)

    def _fails(self, run: Run, size: WireSize, sizes: Sizes) -> str:
        """Why a size will not do for a run; empty if it does."""
        least = self._least(run)
        if size.area_mm2 < least.area_mm2 * 0.999:
            return f"at least {least} by the rule set"
        for segment in run.segments:
            for conductor in segment.conductors:
                failed = self._conductor_fails(run, conductor, size, sizes)
                if failed:
                    return failed
        return self._drop_fails(run, size)

    def _least(self, run: Run) -> WireSize:
        if run.medium == "ac":
            return self.profile.min_size_ac.size
        return (self.profile.min_size_dc_sheathed if run.spec.sheathed else self.profile.min_size_dc).size

    def _conductor_fails(self, run: Run, conductor: Conductor, size: WireSize, sizes: Sizes) -> str:
        if conductor.pole in ("PE", "S", "N-PE"):
            return ""
        carried = self.limits.ampacity_of(run, conductor, size)
        if isinstance(carried, NoAmpacity):
            return carried.reason
        must = max(*needed_a(self.cases, conductor.id), crank_a(self.cases, conductor.id))
        if exceeds(must, carried.value_a):
            return f"it must carry {must:.3g} A"
        exposure = self.exposures.get(conductor.id)
        allowed = self.limits.allowance_of(run, conductor, exposure, size, carried, sizes.ratings)
        ahead = self._ahead(run, conductor, exposure, sizes)
        if exceeds(ahead, allowed.value_a):
            return f"it stands behind {ahead:g} A"
        return ""

    def _ahead(self, run: Run, conductor: Conductor, exposure: Exposure | None, sizes: Sizes) -> float:
        """The device rating that a conductor must stand; that of its circuit where it is no hot one and runs alone."""
        if exposure is not None:
            return protection_a(self.graph, exposure, sizes.ratings, self.profile)
        if run.medium != "dc" or any(c.id in self.exposures for s in run.segments for c in s.conductors):
            return 0.0
        found = self._loops.get(conductor.id)
        if found is None:
            found = self._loops[conductor.id] = loop_limit_a(self.graph, conductor, sizes.ratings)
        return 0.0 if math.isinf(found) else found

    def _drop_fails(self, run: Run, size: WireSize) -> str:
        wiring = Wiring(self.graph.system, self.profile, {run.id: size})
        lost = sum(
            segment_drop(segment, self.cases, wiring, max(self.limits.volts_v(c) for c in segment.conductors))[1]
            for segment in run.segments
        )
        limit = drop_limit_frac(self.graph, self.profile, run)
        return f"it may lose {limit:.1%} of the voltage" if exceeds(lost, limit) else ""

    def _earth(self, run: Run, sizes: Sizes) -> tuple[WireSize, str, str]:
        least = EARTH_LEAD[self._system]
        wanted, reason = least, "the least size of an earth lead"
        for minimum in self._earth_minimums(run, sizes):
            if minimum.area_mm2 > wanted.area_mm2:
                wanted, reason = minimum, f"it must clear a fault of the circuit it serves ({minimum})"
        fitting = size_at_least(wanted.area_mm2 * 0.999, "mm2" if self._system == "mm2" else "awg") or wanted
        carrying = self._carrying(run)
        if carrying is not None and carrying.area_mm2 > fitting.area_mm2:
            return carrying, "the return current of loads on the chassis", ""
        return fitting, reason, ""

    def _carrying(self, run: Run) -> WireSize | None:
        """The size that carries what returns through a bond; None if nothing does."""
        conductors = [c for segment in run.segments for c in segment.conductors]
        must = max((needed_a(self.cases, c.id)[1] for c in conductors), default=0.0)
        if not must > LEAST_RETURN_A:
            return None
        for size in self._series:
            carried = self.limits.ampacity_of(run, conductors[0], size)
            if not isinstance(carried, NoAmpacity) and not exceeds(must, carried.value_a):
                return size
        return self._series[-1]

    def _earth_minimums(self, run: Run, sizes: Sizes) -> Iterable[WireSize]:
        ends = [run.stops[0].component, run.stops[-1].component]
        if run.carries == "bond":
            largest = self._largest_positive(sizes)
            found = dc_bond_minimum(self.profile, largest) if largest is not None else None
            if found is not None:
                yield found.size
            return
        for id in ends:
            electrode = self.graph.system.components[id]
            if isinstance(electrode, EarthElectrode):
                yield from self._electrode_minimums(electrode, sizes)
            dc, device = self._circuit_of(id, sizes)
            kind = self.graph.system.components[id].kind
            if dc is not None and device is not None:
                case = kind in ("inverter", "inverter-charger", "ac-charger", "dc-charger")
                if case:
                    found = inverter_case_minimum(self.profile, dc, device)
                else:
                    found = egc_minimum(self.profile, device, dc)
                if found is not None:
                    yield found.size

    def _electrode_minimums(self, electrode: EarthElectrode, sizes: Sizes) -> Iterator[WireSize]:
        """What the wire to an electrode must be for the DC system and for the AC system that it earths."""
        positive, line = self._largest_positive(sizes), self._largest(sizes, "ac")
        found = [
            dc_electrode_minimum(self.profile, positive, electrode.type != "foundation") if positive else None,
            gec_minimum(self.profile, line, rod_only=electrode.type in MADE_ELECTRODES) if line else None,
        ]
        yield from (minimum.size for minimum in found if minimum is not None)

    def _largest_positive(self, sizes: Sizes) -> WireSize | None:
        return self._largest(sizes, "dc", "storage")

    def _largest(self, sizes: Sizes, medium: str, *roles: str) -> WireSize | None:
        """The largest wire of a medium, or of those that end at a component of some role."""
        found = [
            size
            for run in self.graph.system.runs
            if run.medium == medium and (size := run.spec.wire or sizes.wires.get(run.id)) is not None
            and (not roles or any(self.graph.system.components[stop.component].role in roles for stop in run.stops))
        ]  # fmt: skip
        return max(found, key=lambda size: size.area_mm2, default=None)

    def _circuit_of(self, id: str, sizes: Sizes) -> tuple[WireSize | None, float | None]:
        """Largest power wire at a component and the device ahead of it."""
        best: tuple[WireSize | None, float | None] = (None, None)
        for run in self.graph.system.runs_at.get(id, ()):
            if run.medium not in ("dc", "ac") or id not in (run.stops[0].component, run.stops[-1].component):
                continue
            size = run.spec.wire or sizes.wires.get(run.id)
            exposed = [e for s in run.segments for c in s.conductors if (e := self.exposures.get(c.id)) is not None]
            ahead = max(
                (protection_a(self.graph, exposure, sizes.ratings, self.profile) for exposure in exposed), default=0.0
            )
            if size is not None and (best[0] is None or size.area_mm2 > best[0].area_mm2):
                best = size, ahead
        return best
