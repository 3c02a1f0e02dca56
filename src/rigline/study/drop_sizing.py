"""Thickens chosen wires where a load loses too much on its whole way: feeder and branch together.

Each wire by itself was chosen for its own share; what a load loses is the sum. So the wire on its way that loses most,
of those that were chosen here, takes the next size, until the load keeps its limit or no size is left.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct, field
from msgspec.structs import replace

from rigline.graph.build import SystemGraph
from rigline.kinds.loads import Load
from rigline.standards.profiles import Profile
from rigline.standards.wire import WireSize
from rigline.study.causes import exceeds
from rigline.study.currents import Case
from rigline.study.drops import LoadDrop
from rigline.study.segment_drop import critical_drop_limit_frac, stated_drop_limit_frac
from rigline.study.sizing import Choice, Sizes
from rigline.study.wiring import Wiring


def load_drop_limit_frac(graph: SystemGraph, profile: Profile, load: Load, drop: LoadDrop) -> float:
    """Share of the nominal voltage that a load may lose between source and terminals.

    The limit of the run it hangs on, or of the whole system, if one is stated; else that of the rule set for its class;
    AC loads may lose more where feeder and branch count together.
    """
    run = graph.system.run(drop.runs[0]) if drop.runs else None
    if load.drop_class == "critical":
        return critical_drop_limit_frac(graph.system, profile, run)
    stated = stated_drop_limit_frac(graph.system, run)
    if stated is not None:
        return stated
    if drop.medium == "ac":
        return (profile.drop_ac_total_frac if len(drop.runs) > 1 else profile.drop_ac_branch_frac).value
    motor = load.drop_class == "motor" or (load.drop_class is None and load.kind == "motor")
    return (profile.drop_motor_frac if motor else profile.drop_general_frac).value


class DropSizer(Struct, frozen=True):
    """Thickens the chosen wires of one system, given what its loads lose with the sizes chosen so far."""

    graph: SystemGraph
    profile: Profile
    wiring: Wiring
    cases: Sequence[Case]
    series: Sequence[WireSize]
    sizes: Sizes
    grown: dict[str, WireSize] = field(default_factory=dict)

    def grow(self, drops: Sequence[LoadDrop]) -> bool:
        """Thicken what is too thin for its loads; whether anything changed."""
        self.grown.clear()
        over = [(drop, self._limit(drop)) for drop in drops if not drop.missing and drop.conductors]
        over = [(drop, limit) for drop, limit in over if exceeds(drop.running_frac, limit)]
        for drop, limit in sorted(over, key=lambda pair: (-pair[0].running_frac / pair[1], pair[0].load)):
            self._grow_for(drop, limit)
        self.sizes.wires.update(self.grown)
        return bool(self.grown)

    def _limit(self, drop: LoadDrop) -> float:
        load = self.graph.system.components[drop.load]
        assert isinstance(load, Load)
        return load_drop_limit_frac(self.graph, self.profile, load, drop)

    def _grow_for(self, drop: LoadDrop, limit: float) -> None:
        lost = self._lost_v(drop)
        chosen = {run: volts for run, volts in lost.items() if run in self.sizes.wires and volts > 0}
        excess = drop.running_v - limit * drop.nominal_v
        excess -= sum(chosen[run] - self._at_v(run, chosen[run]) for run in chosen)
        if not chosen or excess <= 0:
            return
        if exceeds(drop.running_v - sum(chosen.values()), limit * drop.nominal_v):
            self._collide(drop, limit, chosen, "with the given wires alone")
            return
        reason = f"{drop.load} may lose {limit:.1%} of the voltage on its whole way"
        while excess > 0:
            growing = {run: self._at_v(run, chosen[run]) for run in chosen if self._next(run) is not None}
            if not growing:
                self._collide(drop, limit, chosen, f"even with {self.series[-1]}")
                return
            run = max(sorted(growing), key=lambda one: growing[one])
            thicker = self._next(run)
            assert thicker is not None
            self.grown[run] = thicker
            excess -= growing[run] - self._at_v(run, chosen[run])
            self._note(run, str(thicker), reason, "")

    def _lost_v(self, drop: LoadDrop) -> dict[str, float]:
        """What each run on a load's way loses in its worst case, before anything grew."""
        name = drop.case if drop.unfed is None else self.cases[0].name
        case = next(one for one in self.cases if one.name == name)
        found: dict[str, float] = {}
        for conductor in drop.conductors:
            volts = abs(case.amps.get(conductor.id, 0.0)) * self.wiring.resistance_ohm(conductor)
            found[conductor.run] = found.get(conductor.run, 0.0) + volts
        return found

    def _at_v(self, run: str, before_v: float) -> float:
        """The loss of a run with the size it has grown to."""
        return before_v * self.sizes.wires[run].area_mm2 / self._now(run).area_mm2

    def _now(self, run: str) -> WireSize:
        return self.grown.get(run, self.sizes.wires[run])

    def _next(self, run: str) -> WireSize | None:
        return next((size for size in self.series if size.area_mm2 > self._now(run).area_mm2 * 1.001), None)

    def _collide(self, drop: LoadDrop, limit: float, chosen: dict[str, float], how: str) -> None:
        run = next((run for run in drop.runs if run in chosen), next(iter(chosen)))
        collision = f"{drop.load} may lose {limit:.1%} of the voltage on its whole way, but loses more {how}"
        self._note(run, "", "", collision)

    def _note(self, run: str, value: str, reason: str, collision: str) -> None:
        for index, choice in enumerate(self.sizes.choices):
            if choice.subject == run:
                changed: Choice = replace(
                    choice,
                    value=value or choice.value,
                    reason=reason or choice.reason,
                    collision=choice.collision or collision,
                )
                self.sizes.choices[index] = changed
