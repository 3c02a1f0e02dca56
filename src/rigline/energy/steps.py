"""What would help next: each change is made in the numbers and the typical year run again, so none is guessed."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Literal

from msgspec import Struct

from rigline.energy.arithmetic import autonomy_h
from rigline.energy.assumption import Notes
from rigline.energy.balance import Balance, Demand
from rigline.energy.loads import load_table
from rigline.energy.outcome import SHORT_WH, short_days
from rigline.energy.simulation import run
from rigline.energy.sources import ENGINE_BEGINS_H, Array, solar_year_w
from rigline.energy.sun import MONTH_DAYS, Slope
from rigline.energy.year import HOURS_OF_YEAR, by_month, worst_month
from rigline.standards.energy import figure
from rigline.study.study import Study

Change = Literal["none", "inverter off", "engine", "array", "battery", "all"]
ENOUGH_FRAC = 1e-9
CABINS = ("us-cabin", "iec-cabin")
"""Profiles of what has no engine of its own."""


class Step(Struct, frozen=True):
    """One change with the year it leads to."""

    change: Change
    text: str
    """What is done, as a sentence part."""
    short_days: int
    unserved_wh: float
    ratio: float | None
    """Sources over loads in the worst month."""
    autonomy_h: float


class Advice(Struct, frozen=True):
    """The present system, each change alone, and the one to begin with."""

    now: Step
    steps: tuple[Step, ...]
    best: Step | None
    """None if nothing is needed."""
    reason: str


class Changed(Struct, frozen=True):
    """A system changed in the numbers."""

    change: Change
    text: str
    demand: Demand
    capacity_share: float = 1.0


def advice(study: Study, found: Balance) -> Advice | None:
    """What to do next; None if the year could not be run."""
    if found.demand is None or found.bank is None or found.base is None:
        return None
    now = _step(found, Changed("none", "as it is", found.demand))
    changes = tuple(_changes(study, found))
    steps = tuple(_step(found, changed) for changed in changes)
    if len(changes) > 1 and min(step.unserved_wh for step in steps) > SHORT_WH:
        steps = (*steps, _step(found, _together(found, changes)))
    best, reason = _best(found, now, steps)
    return Advice(now, steps, best, reason)


def _together(found: Balance, changes: tuple[Changed, ...]) -> Changed:
    """All changes at once; each of them touches another part of the demand."""
    assert found.demand is not None
    load, sun, other = found.demand.load_w, found.demand.sun_w, found.demand.other_w
    for changed in changes:
        load = changed.demand.load_w if changed.change == "inverter off" else load
        sun = changed.demand.sun_w if changed.change == "array" else sun
        other = changed.demand.other_w if changed.change == "engine" else other
    share = max(changed.capacity_share for changed in changes)
    return Changed("all", "all of these together", Demand(load, sun, other), share)


def _step(found: Balance, changed: Changed) -> Step:
    bank, base, demand = found.bank, found.base, changed.demand
    assert bank is not None
    assert base is not None
    cell = bank.cell(changed.capacity_share)
    # It begins where the present system has left the battery, so the change has the whole year to tell.
    again = base
    if changed.change != "none":
        again = run(cell, demand.load_w, demand.source_w, base.start_wh / bank.capacity_wh)
    brings, wants = by_month(demand.source_w), by_month(demand.load_w)
    worst = worst_month(brings, wants)
    day = max(want / days for want, days in zip(wants, MONTH_DAYS, strict=True))
    hours = autonomy_h(bank.usable_wh * changed.capacity_share, day / 24, bank.one_way_frac)
    unserved = math.fsum(again.unserved_wh)
    ratio = None if worst is None else brings[worst] / wants[worst]
    return Step(changed.change, changed.text, short_days(again.unserved_wh), unserved, ratio, hours)


def _changes(study: Study, found: Balance) -> Iterator[Changed]:
    demand, bank = found.demand, found.bank
    assert demand is not None
    assert bank is not None
    if any(use.always_on and use.idle_w > 0 for use in found.loads.inverters):
        ids = ", ".join(use.id for use in found.loads.inverters if use.always_on)
        table = load_table(study, found.setting, Notes(), on_demand=True)
        loads = Demand(tuple(table.year_w()), demand.sun_w, demand.other_w)
        yield Changed("inverter off", f"switch {ids} off while nothing on it runs", loads)
    yield from _engine(study, found, demand)
    yield from _more_array(found, demand)
    more = (bank.capacity_wh + bank.block_wh) / bank.capacity_wh
    text = f"one more battery block of {bank.block_wh / 1000:.2g} kWh"
    yield Changed("battery", text, demand, more)


def _engine(study: Study, found: Balance, demand: Demand) -> Iterator[Changed]:
    """An hour a day of the charger on the engine; where there is none, of one as large as usual."""
    bank = found.bank
    assert bank is not None
    there = [c for c in found.chargers if c.source == "engine"]
    if there:
        charger = max(there, key=lambda c: (c.output_a, c.id))
        more = "one more hour" if charger.use_h_per_day else "an hour"
        watts, text = charger.output_a * bank.charging_v, f"{more} of driving or motoring a day with {charger.id}"
    elif study.system.head.mobile is False or study.system.profile_name in CABINS:
        return
    else:
        amps = min(figure("engine charger").value * 12 / bank.voltage_v, bank.max_charge_a)
        watts = amps * bank.charging_v
        text = f"a charger of {amps:.0f} A from the engine, an hour of driving or motoring a day"
    other = list(demand.other_w)
    begins = ENGINE_BEGINS_H + int(max((c.use_h_per_day or 0.0 for c in there), default=0.0) + 0.999)
    for hour in range(begins % 24, HOURS_OF_YEAR, 24):
        other[hour] += watts
    yield Changed("engine", text, Demand(demand.load_w, demand.sun_w, tuple(other)))


def _more_array(found: Balance, demand: Demand) -> Iterator[Changed]:
    if found.sun is None:
        return
    if found.arrays:
        array = found.arrays[0]
        more = Array(
            array.id, "more", array.module_w, array.slope, array.yield_frac, array.method, math.inf,
            array.coefficient_per_k, array.module_w,
        )  # fmt: skip
        text = f"one more module of {array.module_w:.0f} W beside {array.id} (and a controller for it)"
    else:
        more = plain_array(figure("module").value)
        text = f"a flat module of {more.power_w:.0f} W with a tracking controller"
    sun = tuple(a + b for a, b in zip(demand.sun_w, solar_year_w([more], found.sun), strict=True))
    yield Changed("array", text, Demand(demand.load_w, sun, demand.other_w))


def plain_array(power_w: float) -> Array:
    """A flat array with a tracking controller that passes all of it."""
    left = figure("soiling").value * figure("mismatch").value * figure("array wiring").value
    left *= figure("tracking controller").value
    coefficient = figure("power coefficient").value
    return Array("array", "array", power_w, Slope(), left, "mppt", math.inf, coefficient, power_w)


def _best(found: Balance, now: Step, steps: tuple[Step, ...]) -> tuple[Step | None, str]:
    """What to begin with: the cheapest change that ends the shortfall, else the one that leaves least of it."""
    if now.unserved_wh > SHORT_WH:
        enough = [step for step in steps if step.unserved_wh <= SHORT_WH and step.change != "all"]
        if enough:
            return enough[0], "the first of these that ends the shortfall in a typical year"
        best = min((step for step in steps if step.change != "all"), key=lambda step: step.unserved_wh)
        return best, "none of these alone ends the shortfall; this one leaves least of it"
    if now.autonomy_h < found.setting.autonomy_h * (1 - ENOUGH_FRAC):
        batteries = [step for step in steps if step.change in ("battery", "inverter off")]
        enough = [step for step in batteries if step.autonomy_h >= found.setting.autonomy_h]
        best = enough[0] if enough else max(batteries, key=lambda step: step.autonomy_h)
        return best, "no day is short, but the battery alone does not last as long as wished"
    if now.ratio is not None and now.ratio < figure("array ratio").value:
        best = max(steps, key=lambda step: step.ratio or 0.0)
        return best, "no day is short, but the worst month has little to spare"
    return None, "no day of a typical year is short, and the battery lasts as long as wished"
