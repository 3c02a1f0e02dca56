"""Voltage lost along a segment, out and back, and the share of the voltage that a run may lose."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rigline.graph.build import SystemGraph
from rigline.kinds.converters import AcCharger, ChargeController, DcToDc
from rigline.kinds.loads import Load
from rigline.kinds.sources import Turning
from rigline.model.system import Run, Segment, System
from rigline.standards.profiles import Profile
from rigline.study.currents import Case
from rigline.study.wiring import Wiring

CHARGER_OUTPUTS = frozenset({"battery", "dc", "dc1", "dc2", "dc3", "out"})
"""Terminals at which a charger gives."""
RUNNING = ("discharge", "charge", "ac")
"""Cases whose drop counts; a starting motor may have more."""
_LOOPS = (("+", "-", 1), ("L1", "N", 1), ("L2", "N", 1), ("L1", "L2", 2))
"""Pairs of conductors that one current goes out and back on, with the voltage between them in legs."""


def segment_drop(segment: Segment, cases: Sequence[Case], wiring: Wiring, volts_v: float) -> tuple[float, float]:
    """Voltage lost along a segment, out and back, in its worst case of running loads, and the share of the voltage.

    Of a 120/240 V circuit the pair of conductors that loses the greatest share counts.

    Args:
        volts_v: Nominal voltage: of the DC circuit, or of one AC leg.
    """
    worst = (0.0, 0.0)
    power = [c for c in segment.conductors if c.pole != "PE"]
    for case in cases:
        if case.kind in RUNNING and any(c.id in case.amps for c in power):
            lost = {c.pole: case.amps.get(c.id, 0.0) * wiring.resistance_ohm(c) for c in power}
            for drop, legs in _loops(lost):
                worst = max(worst, (abs(drop) / (volts_v * legs), abs(drop)))
    return worst[1], worst[0]


def _loops(lost: dict[str, float]) -> Iterable[tuple[float, int]]:
    found = [(lost[out] - lost[back], legs) for out, back, legs in _LOOPS if out in lost and back in lost]
    return found or [(drop, 1) for drop in lost.values()]


def segment_drop_v(segment: Segment, cases: Sequence[Case], wiring: Wiring) -> float:
    """Voltage lost along a segment, out and back, in its worst case of running loads."""
    return segment_drop(segment, cases, wiring, 1.0)[0]


def stated_drop_limit_frac(system: System, run: Run | None) -> float | None:
    """Share of the voltage that the spec itself lets a run lose, or every run; None if it states neither."""
    own = None if run is None else run.spec.drop_limit_frac
    return system.defaults.drop_limit_frac if own is None else own


def critical_drop_limit_frac(system: System, profile: Profile, run: Run | None) -> float:
    """Share of the voltage that may be lost where it matters most: what the spec states, else the rule set's."""
    stated = stated_drop_limit_frac(system, run)
    return profile.drop_critical_frac.value if stated is None else stated


def drop_limit_frac(graph: SystemGraph, profile: Profile, run: Run) -> float:
    """Share of the voltage that a run may lose: its own limit, else the class of what it feeds or what feeds it."""
    stated = stated_drop_limit_frac(graph.system, run)
    if stated is not None:
        return stated
    if run.medium == "ac":
        return profile.drop_ac_branch_frac.value
    if _is_charging(graph, run):
        return profile.drop_charging_frac.value
    loads = [c for stop in run.stops if isinstance(c := graph.system.components[stop.component], Load)]
    if loads and all(load.drop_class == "motor" or (load.kind == "motor" and not load.drop_class) for load in loads):
        return profile.drop_motor_frac.value
    if loads and all(load.drop_class in (None, "general", "motor") for load in loads):
        return profile.drop_general_frac.value
    return profile.drop_critical_frac.value


def _is_charging(graph: SystemGraph, run: Run) -> bool:
    """Whether a run leads from the output of a charger or machine."""
    for stop in (run.stops[0], run.stops[-1]):
        component = graph.system.components[stop.component]
        if isinstance(component, Turning):
            return True
        if isinstance(component, ChargeController | AcCharger | DcToDc) and stop.entry in CHARGER_OUTPUTS:
            return component.kind != "dc-converter"
    return False
