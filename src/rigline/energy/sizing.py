"""A battery and an array for the loads and the wished autonomy, lithium and lead side by side, each run through a
year.
"""

from __future__ import annotations

import math

from msgspec import Struct

from rigline.energy.arithmetic import bank_wh
from rigline.energy.balance import Balance
from rigline.energy.outcome import short_days
from rigline.energy.simulation import Cell, run
from rigline.energy.sources import solar_year_w
from rigline.energy.steps import plain_array
from rigline.energy.sun import MONTH_DAYS
from rigline.energy.year import by_month, worst_month
from rigline.standards.energy import battery_figure, cold_factor, figure

CHEMISTRIES = ("lifepo4", "agm", "flooded")
"""What is proposed, side by side."""
ROUNDED_AH, ROUNDED_W = 10.0, 50.0
"""A proposal is rounded up to this. Our own choice."""
HOURS_OF_DAY = 24.0


class Proposal(Struct, frozen=True):
    """One battery with the array that keeps it full."""

    chemistry: str
    voltage_v: float
    capacity_ah: float
    capacity_wh: float
    usable_wh: float
    """When new and at 25 °C."""
    mass_kg: float
    array_w: float | None
    """Rated power of a flat array with a tracking controller; None if the sun is not known."""
    array_kg: float | None
    short_days: int | None
    """Days of a typical year on which the loads go without; None if the sun is not known."""
    cold_factor: float
    autonomy_h: float
    """When new and at 25 °C."""


class Proposals(Struct, frozen=True):
    """All proposals, and what they were made for."""

    day_wh: float
    """Out of the battery on a mean day of the heaviest month."""
    autonomy_h: float
    coldest_c: float | None
    margin_frac: float
    aged_frac: float
    ratio: float
    month: int | None
    """Month that decides the array."""
    proposals: tuple[Proposal, ...]


def proposals(found: Balance) -> Proposals | None:
    """Sizes for a balance's loads and wish; None without a load.

    Battery: day x days x cold x (1 + margin) / (usable x aged x efficiency). Array: the load of the worst month times
    the ratio, over what a watt of array brings then, over the round trip of the battery.
    """
    if found.loads.day_wh <= 0:
        return None
    yields = None
    if found.sun is not None:
        months = by_month(solar_year_w([plain_array(1.0)], found.sun))
        yields = tuple(total / days for total, days in zip(months, MONTH_DAYS, strict=True))
    month = None if yields is None else worst_month(yields, found.loads.month_wh)
    made = tuple(_proposal(found, chemistry, yields, month) for chemistry in CHEMISTRIES)
    return Proposals(
        found.loads.day_wh, found.setting.autonomy_h, found.bank.coldest_c if found.bank else None,
        figure("margin").value, figure("aged share").value, figure("array ratio").value, month, made,
    )  # fmt: skip


def _proposal(found: Balance, chemistry: str, yields: tuple[float, ...] | None, month: int | None) -> Proposal:
    loads, setting = found.loads, found.setting
    volts = _nominal_v(found, chemistry)
    coldest = found.bank.coldest_c if found.bank else None
    cold = 1.0 if coldest is None else cold_factor(chemistry, coldest) or 1.0
    usable, eta = _value(chemistry, "usable share"), math.sqrt(_value(chemistry, "round trip"))
    least = bank_wh(
        loads.day_wh, setting.autonomy_h / HOURS_OF_DAY, usable, cold_factor=cold, margin_frac=figure("margin").value,
        aged_frac=figure("aged share").value, efficiency_frac=eta,
    )  # fmt: skip
    charge = ROUNDED_AH * math.ceil(least / volts / ROUNDED_AH - 1e-9)
    capacity = charge * volts
    array = None
    if yields is not None and month is not None and yields[month] > 0:
        need = loads.month_wh[month] * figure("array ratio").value / yields[month] / _value(chemistry, "round trip")
        array = ROUNDED_W * math.ceil(need / ROUNDED_W - 1e-9)
    return Proposal(
        chemistry, volts, charge, capacity, capacity * usable, _value(chemistry, "mass") * capacity / 1000, array,
        None if array is None else figure("module mass").value * array / 100,
        None if array is None else _short_days(found, chemistry, capacity, charge, array), cold,
        capacity * usable * eta / loads.day_wh * HOURS_OF_DAY,
    )  # fmt: skip


def _value(chemistry: str, name: str) -> float:
    return battery_figure(chemistry, name).value


def _nominal_v(found: Balance, chemistry: str) -> float:
    """Nominal voltage of a chemistry in the system's class of 12, 24 or 48 V."""
    system_v = 12.0 * max(1, round((found.bank.voltage_v if found.bank else 12.0) / 12.8))
    cells_per_12_v = 4 if chemistry == "lifepo4" else 6
    return _value(chemistry, "cell voltage") * cells_per_12_v * system_v / 12.0


def _short_days(found: Balance, chemistry: str, capacity_wh: float, capacity_ah: float, array_w: float) -> int:
    """The proposal through a typical year, twice, so that the first of January is not favoured."""
    assert found.sun is not None
    eta = math.sqrt(_value(chemistry, "round trip"))
    share = figure("lithium charging voltage" if chemistry == "lifepo4" else "charging voltage").value
    charging_v = capacity_wh / capacity_ah * share
    cell = Cell(
        capacity_wh, 1 - _value(chemistry, "usable share"), eta, eta, _value(chemistry, "self-discharge"),
        _value(chemistry, "charge share") * capacity_ah * charging_v, _value(chemistry, "absorption starts"),
        _value(chemistry, "tail share") * capacity_ah * charging_v,
    )  # fmt: skip
    load, sun = found.loads.year_w(), solar_year_w([plain_array(array_w)], found.sun)
    first = run(cell, load, sun)
    return short_days(run(cell, load, sun, first.end_wh / capacity_wh).unserved_wh)
