"""Chooses what the spec left open: ratings of devices first, then wires.

A rating is the smallest standard one of its family that carries 125 % of what can last three hours and the rest in full,
at most what a given wire behind it may have. A wire is the smallest that carries the current, may stand behind what
protects it, keeps the drop, and is not below the rule set's least size. Where no choice meets every limit, the safe one
for the wire is taken and the two limits that collide are named.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from rigline.graph.build import SystemGraph
from rigline.kinds import Component
from rigline.kinds.devices import Fuse, Overcurrent
from rigline.kinds.loads import Load, Receptacle
from rigline.model.system import Conductor, Run, Segment
from rigline.standards.ampacity import NoAmpacity
from rigline.standards.bonding import dc_bond_minimum, egc_minimum, inverter_case_minimum
from rigline.standards.profiles import Profile
from rigline.standards.ratings import next_rating_down, next_rating_up, standard_ratings
from rigline.standards.wire import WireSize, parse_wire_size, size_at_least, standard_sizes
from rigline.study.causes import exceeds, protection_a
from rigline.study.currents import Case
from rigline.study.limits import LimitFinder
from rigline.study.protection import Exposure
from rigline.study.wiring import Wiring

START_SHARE_FRAC = 0.5
"""A fuse carries twice its rating for as long as a motor starts. Source: ISO 8820-3, 0.15 s to 5 s at 200 %, from
memory."""
CONTROL_WIRE = {"awg": parse_wire_size("16 AWG"), "mm2": parse_wire_size("1 mm²")}
"""Least size of a sense or data lead that runs by itself. Source: 33 CFR 183.425(d); ISO 10133, 1 mm²."""
EARTH_LEAD = {"awg": parse_wire_size("8 AWG"), "mm2": parse_wire_size("6 mm²")}
"""Size of an earth or bond lead where nothing larger is asked for. Source: NEC 551.56(C), 8 AWG copper; common practice
elsewhere."""


@dataclass(frozen=True)
class Choice:
    """One thing that was chosen, with the limit that decided and the limits that collide, if any."""

    subject: str
    value: str
    reason: str
    collision: str = ""


@dataclass
class Sizes:
    """Everything that is known or was chosen: ratings by device, wires by run."""

    ratings: dict[str, float | None] = field(default_factory=dict)
    wires: dict[str, WireSize] = field(default_factory=dict)
    choices: list[Choice] = field(default_factory=list)


def needed_a(cases: Sequence[Case], conductor: str) -> tuple[float, float]:
    """Worst current of a conductor, and the same with 125 % of what can last three hours or comes from a charger."""
    worst, needed = 0.0, 0.0
    continuous = max((abs(case.amps.get(conductor, 0.0)) for case in cases if case.kind == "continuous"), default=0.0)
    for case in cases:
        amps = abs(case.amps.get(conductor, 0.0))
        if case.kind in ("discharge", "ac"):
            worst, needed = max(worst, amps), max(needed, amps + 0.25 * continuous)
        elif case.kind == "charge":
            worst, needed = max(worst, amps), max(needed, 1.25 * amps)
    return worst, needed


@dataclass(frozen=True)
class RatingChooser:
    """Chooses the ratings of devices that were left open."""

    graph: SystemGraph
    limits: LimitFinder
    cases: Sequence[Case]

    def ratings(self, sizes: Sizes) -> None:
        """Fill in every rating: given, chosen, or None where it is unknown."""
        for id, component in sorted(self.graph.system.components.items()):
            if isinstance(component, Overcurrent):
                sizes.ratings[id] = component.rating_a
                if component.rating_a is None and "rating" not in component.unknown:
                    self._choose(component, sizes)
            elif getattr(component, "overcurrent_a", None) is not None:
                sizes.ratings[id] = getattr(component, "overcurrent_a")

    def _choose(self, device: Overcurrent, sizes: Sizes) -> None:
        conductors = [c for c in self.graph.conductors if device.id in (c.a.component, c.b.component)]
        hot = [c for c in conductors if c.pole in ("+", "L1", "L2")]
        if not hot:
            sizes.ratings[device.id] = None
            return
        needed = max(needed_a(self.cases, c.id)[1] for c in hot)
        served = self._served(device.id)
        reason = "125 % of its lasting load"
        wished, reason = self._wish(needed, reason, served)
        series = standard_ratings(device.style if isinstance(device, Fuse) and device.style else None)
        rating = next_rating_up(wished, series) or series[-1]
        most, why = self._most(hot, device, served)
        collision = ""
        if most is not None and exceeds(rating, most):
            lower = next_rating_down(most, series)
            collision = f"{wished:.3g} A needed, but {why}" if exceeds(wished, most) else ""
            rating, reason = (lower or rating), why
        sizes.ratings[device.id] = float(rating)
        sizes.choices.append(Choice(device.id, f"{rating:g} A", reason, collision))

    def _wish(self, needed: float, reason: str, served: Sequence[Component]) -> tuple[float, str]:
        for component in served:
            if isinstance(component, Receptacle) and component.rating_a and component.rating_a > needed:
                needed, reason = component.rating_a, "the rating of its outlets"
            elif isinstance(component, Load):
                start = component.start_a
                if start is not None and start * START_SHARE_FRAC > needed:
                    needed, reason = start * START_SHARE_FRAC, "half of the starting current"
        return needed, reason

    def _served(self, device: str) -> list[Component]:
        """Loads at the end of the runs that a device stands in."""
        ends = {
            stop.component
            for run in self.graph.system.runs
            if any(stop.component == device for stop in run.stops)
            for stop in (run.stops[0], run.stops[-1])
        }
        return [self.graph.system.components[id] for id in sorted(ends)]

    def _most(
        self, hot: Sequence[Conductor], device: Overcurrent, served: Sequence[Component]
    ) -> tuple[float | None, str]:
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
                found.append((component.max_protection_a, f"{component.id} allows at most {component.max_protection_a:g} A"))
        return min(found, default=(None, ""))  # type: ignore[type-var]


@dataclass(frozen=True)
class WireChooser:
    """Chooses the sizes of runs that were left open."""

    graph: SystemGraph
    profile: Profile
    limits: LimitFinder
    cases: Sequence[Case]
    exposures: Mapping[str, Exposure]

    def wires(self, sizes: Sizes) -> None:
        """Fill in the size of every run whose wire was left out; power runs first, since earth leads follow them."""
        open_runs = [run for run in self.graph.system.runs if run.spec.wire is None and "wire" not in run.spec.unknown]
        for run in sorted(open_runs, key=lambda run: run.medium in ("earth", "control")):
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
        for size in self._series():
            failed = self._fails(run, size, sizes)
            if not failed:
                return size, reason or "the smallest size there is", ""
            reason = failed
        return self._series()[-1], reason, f"even {self._series()[-1]} fails: {reason}"

    @property
    def _system(self) -> str:
        given = self.graph.system.defaults.wire_system
        if given is not None:
            return given
        written = [run.spec.wire.system for run in self.graph.system.runs if run.spec.wire is not None]
        if written:
            return "mm2" if written.count("mm2") * 2 > len(written) else "awg"
        return self.profile.wire_system

    def _series(self) -> tuple[WireSize, ...]:
        return tuple(size for size in standard_sizes("mm2" if self._system == "mm2" else "awg") if size.text != "3 AWG")

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
        exposure = self.exposures.get(conductor.id)
        if exposure is None:
            return ""
        carried = self.limits.ampacity_of(run, conductor, size)
        if isinstance(carried, NoAmpacity):
            return carried.reason
        worst, needed = needed_a(self.cases, conductor.id)
        if exceeds(max(worst, needed), carried.value_a):
            return f"it must carry {max(worst, needed):.3g} A"
        allowed = self.limits.allowance_of(run, conductor, exposure, size, carried, sizes.ratings)
        ahead = protection_a(self.graph, exposure, sizes.ratings)
        if exceeds(ahead, allowed.value_a):
            return f"it stands behind {ahead:g} A"
        return ""

    def _drop_fails(self, run: Run, size: WireSize) -> str:
        wiring = Wiring(self.graph.system, self.profile, {run.id: size})
        drop, volts = 0.0, 1.0
        for segment in run.segments:
            drop += segment_drop_v(segment, self.cases, wiring)
            volts = self.limits.volts_v(segment.conductors[0])
        limit = drop_limit_frac(self.graph, self.profile, run)
        if exceeds(drop / volts, limit):
            return f"it may lose {limit:.3g} of the voltage".replace(f"{limit:.3g}", f"{limit:.0%}")
        return ""

    def _earth(self, run: Run, sizes: Sizes) -> tuple[WireSize, str, str]:
        least = EARTH_LEAD[self._system]
        wanted, reason = least, "the least size of an earth lead"
        for minimum in self._earth_minimums(run, sizes):
            if minimum.area_mm2 > wanted.area_mm2:
                wanted, reason = minimum, f"it must clear a fault of the circuit it serves ({minimum})"
        fitting = size_at_least(wanted.area_mm2 * 0.999, "mm2" if self._system == "mm2" else "awg")
        return fitting or wanted, reason, ""

    def _earth_minimums(self, run: Run, sizes: Sizes) -> Iterable[WireSize]:
        ends = [run.stops[0].component, run.stops[-1].component]
        if run.carries == "bond":
            largest = self._largest_positive(sizes)
            found = dc_bond_minimum(self.profile, largest) if largest is not None else None
            if found is not None:
                yield found.size
            return
        for id in ends:
            dc, device = self._circuit_of(id, sizes)
            kind = self.graph.system.components[id].kind
            if dc is not None and device is not None:
                case = kind in ("inverter", "inverter-charger", "ac-charger", "dc-charger")
                minimum = inverter_case_minimum if case else egc_minimum
                found = minimum(self.profile, dc, device) if case else egc_minimum(self.profile, device, dc)
                if found is not None:
                    yield found.size

    def _largest_positive(self, sizes: Sizes) -> WireSize | None:
        found = [
            size
            for run in self.graph.system.runs
            if run.medium == "dc" and (size := run.spec.wire or sizes.wires.get(run.id)) is not None
            and any(self.graph.system.components[stop.component].role == "storage" for stop in run.stops)
        ]  # fmt: skip
        return max(found, key=lambda size: size.area_mm2, default=None)

    def _circuit_of(self, id: str, sizes: Sizes) -> tuple[WireSize | None, float | None]:
        """Largest power wire at a component and the device ahead of it."""
        best: tuple[WireSize | None, float | None] = (None, None)
        for run in self.graph.system.runs:
            if run.medium not in ("dc", "ac") or id not in (run.stops[0].component, run.stops[-1].component):
                continue
            size = run.spec.wire or sizes.wires.get(run.id)
            ahead = max((protection_a(self.graph, self.exposures[c.id], sizes.ratings) for s in run.segments for c in s.conductors
                         if c.id in self.exposures), default=0.0)  # fmt: skip
            if size is not None and (best[0] is None or size.area_mm2 > best[0].area_mm2):
                best = size, ahead
        return best


def segment_drop_v(segment: Segment, cases: Sequence[Case], wiring: Wiring) -> float:
    """Voltage lost along a segment, out and back, in its worst case of running loads."""
    worst = 0.0
    for case in cases:
        if case.kind in ("discharge", "charge", "ac"):
            lost = sum(
                abs(case.amps.get(c.id, 0.0)) * wiring.resistance_ohm(c) for c in segment.conductors if c.pole != "PE"
            )
            worst = max(worst, lost)
    return worst


def drop_limit_frac(graph: SystemGraph, profile: Profile, run: Run) -> float:
    """Share of the voltage that a run may lose: its own limit, else the class of what it feeds."""
    if run.spec.drop_limit_frac is not None:
        return run.spec.drop_limit_frac
    if graph.system.defaults.drop_limit_frac is not None:
        return graph.system.defaults.drop_limit_frac
    if run.medium == "ac":
        return profile.drop_ac_branch_frac.value
    loads = [c for stop in run.stops if isinstance(c := graph.system.components[stop.component], Load)]
    if loads and all(load.drop_class == "motor" or load.kind == "motor" for load in loads):
        return profile.drop_motor_frac.value
    if loads and all(load.drop_class in (None, "general") for load in loads):
        return profile.drop_general_frac.value
    return profile.drop_critical_frac.value
