"""Lamps that guide, pumps that save and electronics that think must get nearly the whole voltage.

A wire that is safe from heat can still lose so much voltage that a pump stands still, a charger never fills the
battery, or a fridge's compressor stops the moment it starts. Feeders count too: what they lose, all behind them loses.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.unsound import currents_missing
from rigline.findings import Severity
from rigline.kinds import Component
from rigline.kinds.converters import AcCharger, ChargeController, DcToDc, Inverter
from rigline.kinds.loads import Load, Motor
from rigline.kinds.sources import Turning, VehicleBattery
from rigline.model.system import Run
from rigline.study.bank_links import link_charge_a
from rigline.study.causes import exceeds
from rigline.study.circuits import served
from rigline.study.drop_sizing import load_drop_limit_frac
from rigline.study.drops import LoadDrop
from rigline.study.segment_drop import critical_drop_limit_frac
from rigline.study.study import Study
from rigline.units import format_amount

SLUG = "cd-voltage-drop-critical"
_PANELS = ("busbar", "fuse-block", "dc-panel")
BORDERLINE_FRAC = 0.02
"""A start that misses the lowest voltage by less than this share of the nominal one is advice: stated starting currents
and the greatest resistance that a size may have are no more exact. Our own choice."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Critical loads and runs that lose too much, and loads that fall below the lowest voltage they work at."""
    if study.unsound:
        yield from currents_missing(study)
        return
    for id, drop in study.load_drops.items():
        load = study.system.components[id]
        if isinstance(load, Load):
            yield from _load(study, load, drop)
    for run in study.system.runs:
        if run.medium == "dc" and run.carries in ("pair", "positive"):
            yield from _run(study, run)


def _load(study: Study, load: Load, drop: LoadDrop) -> Iterator[Hit | Missing]:
    critical = load.drop_class == "critical"
    unknown = [*drop.missing, *([study.unstated[load.id]] if load.id in study.unstated else [])]
    if (critical or load.min_voltage_v is not None) and unknown:
        yield Missing((load.id,), ", ".join(unknown))
        return
    limit = load_drop_limit_frac(study.graph, study.profile, load, drop)
    if critical and exceeds(drop.running_frac, limit):
        yield _percent(
            (load.id,), drop.running_v, drop.nominal_v, limit, drop.runs, f"from {drop.source}", drop.length_m
        )
    elif load.min_voltage_v is not None:
        yield from _lowest(load, drop, load.min_voltage_v)


def _lowest(load: Load, drop: LoadDrop, least_v: float) -> Iterator[Hit]:
    lost_v, when = drop.running_v, "while it runs"
    if drop.starting_v is not None and drop.starting_v > lost_v:
        lost_v, when = drop.starting_v, "while it starts"
    left_v = drop.nominal_v - lost_v
    if exceeds(least_v, left_v):
        borderline = least_v - left_v <= BORDERLINE_FRAC * drop.nominal_v
        what = (
            f"gets only {left_v:.4g} V of {drop.nominal_v:.4g} V {when}, losing {lost_v:.3g} V over "
            f"{format_amount(drop.length_m, 'm')} one way, but works from {least_v:.4g} V up"
        )
        severity = Severity.ADVICE if borderline else Severity.FAULT
        yield Hit((load.id,), left_v, least_v, "V", drop.runs, severity=severity, words={"what": what})


def _run(study: Study, run: Run) -> Iterator[Hit | Missing]:
    charge_a = link_charge_a(study, run)
    what = "on a charging run between two banks" if charge_a else _critical_run(study, run)
    if not what or not any(study.conductors[c.id].current_a > 0 for s in run.segments for c in s.conductors
                           if c.id in study.conductors):  # fmt: skip
        return
    lost = study.drop_finder.run_v(run)
    if lost is None:
        yield Missing((run.id,), f"wire and length of {run.id}")
        return
    if charge_a:
        lost = charge_a * sum(study.wiring.resistance_ohm(c) for s in run.segments for c in s.conductors)
    volts = study.limits.volts_v(run.segments[0].conductors[0])
    limit = critical_drop_limit_frac(study.system, study.profile, run)
    if exceeds(lost / volts, limit):
        yield _percent((run.id,), lost, volts, limit, (run.id,), what, run.length_m or 0.0)


def _critical_run(study: Study, run: Run) -> str:
    """What a run is, if it must keep the whole voltage: a feeder, a charging run, an inverter's cable."""
    ends = [(stop, study.system.components[stop.component]) for stop in (run.stops[0], run.stops[-1])]
    if any(isinstance(c, Load) or c.kind == "pv-array" or stop.entry == "pv" for stop, c in ends):
        return ""
    if any(isinstance(c, Inverter) for _, c in ends):
        return "on the inverter's cable"
    if any(isinstance(c, ChargeController | AcCharger | DcToDc | Turning | VehicleBattery) for _, c in ends):
        return "on a charging run"
    if any(c.kind in _PANELS for _, c in ends) and not _motors_only(study, run):
        return "on a feeder"
    return ""


def _motors_only(study: Study, run: Run) -> bool:
    conductor = run.segments[-1].conductors[0]
    behind: list[Component] = served(study.graph, conductor.a, conductor.b, conductor)
    return bool(behind) and all(isinstance(c, Motor) or getattr(c, "drop_class", None) == "motor" for c in behind)


def _percent(
    at: tuple[str, ...], lost_v: float, volts_v: float, limit: float, runs: tuple[str, ...], what: str, length_m: float
) -> Hit:
    length = format_amount(length_m, "m")
    text = (
        f"loses {lost_v / volts_v:.1%} ({lost_v:.3g} V of {volts_v:.4g} V) {what}, {length} one way, out and "
        "back; "
        f"it may lose at most {limit:.2g}"
    ).replace(f"at most {limit:.2g}", f"at most {100 * limit:.3g} %")
    return Hit(at, 100 * lost_v / volts_v, 100 * limit, "%", runs, words={"what": text})


CHECK = Check(
    slug=SLUG,
    title="too much voltage lost where it matters",
    family="conductor",
    severity=Severity.FAULT,
    limit=(
        "3 % of the nominal voltage from source to load, out and back, for loads of `drop-class: critical`, and "
        "along each "
        "feeder, charging run and inverter cable (or the run's `drop-limit`). A load with a `min-voltage` gets it, "
        "running and starting; missing it by less than 2 % is advice."
    ),
    exceptions="Cranking; feeders that only serve motors; loads of the other drop classes.",
    sources=(
        Source("ABYC E-11 voltage drop, 3 %", "verified"),
        Source("ISO 10133:2012 4.7", "verified"),
        Source("3 % in vehicles and buildings", "common practice"),
    ),
    message="{at} {what}. It will be weak, charge badly or stop.",
    remedy="Use a thicker wire for {runs}, or shorten it.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A float-switch pump
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 15 A}
  M1: {kind: motor, name: Bilge pump, current: 10 A, continuous: false, drop-class: critical}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, M1], lengths: [100 mm, 3.1 m], wire: 12 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, wire: 8 AWG}
""",
        passing="wire: 12 AWG",
        failing="wire: 14 AWG",
        finds=("M1",),
    ),
)
