"""The energy balance of a system: everything that `rigline energy` says, as numbers."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cached_property

from msgspec import Struct

from rigline.energy.arithmetic import autonomy_h, bulk_h, tail_h
from rigline.energy.assumption import Assumption, Notes, Unknown
from rigline.energy.bank import Bank, house_bank
from rigline.energy.loads import LoadTable, load_table, months_of
from rigline.energy.outcome import FULL_FRAC, Year, mean_day, short_days, year_of
from rigline.energy.setting import Setting
from rigline.energy.simulation import Backup, Run, run
from rigline.energy.sources import Array, Charger, arrays, chargers, other_year_w, solar_year_w
from rigline.energy.spell import Spell, spell
from rigline.energy.sun import MONTH_DAYS, MONTHS
from rigline.energy.year import HOURS_OF_YEAR, Sunshine, by_month, from_latitude, from_months
from rigline.model.system import System
from rigline.standards.energy import figure
from rigline.study.study import Study

BACKUP_ABOVE_FLOOR_FRAC = 0.10
"""A source is started while so much is left above the floor. Common practice."""
BACKUP_OFF_FRAC = 0.90
"""State of charge at which lithium is full enough to stop; lead stops where absorption starts. Common practice."""


MOST_SUN_DAYS = 60
"""Days after which a battery that the sun has not filled is called never filled. Our own choice."""


class ChargeTime(Struct, frozen=True):
    """How long one charger takes from the floor while the loads of a mean hour run."""

    charger: Charger
    absorption_frac: float
    """State of charge where the current begins to fall."""
    to_absorption_h: float
    """Infinite if the loads take all of it."""
    to_full_h: float


class SunTime(Struct, frozen=True):
    """How long the sun alone takes from the floor to full in mean days of one month, beside the loads."""

    month: str
    to_full_h: float
    """Infinite if the battery never fills."""


class BackupUse(Struct, frozen=True):
    """What a charger must run for if no load is ever to go without."""

    charger: Charger
    year_h: float
    month_h: tuple[float, ...]
    still_short_days: int


class Demand(Struct, frozen=True, dict=True):
    """The hourly series that a year is run with."""

    load_w: tuple[float, ...]
    sun_w: tuple[float, ...]
    other_w: tuple[float, ...]

    @cached_property
    def source_w(self) -> list[float]:
        """All sources together."""
        return [sun + other for sun, other in zip(self.sun_w, self.other_w, strict=True)]


class Autonomy(Struct, frozen=True):
    """How long a full bank carries the mean load of the heaviest month with nothing coming in."""

    new_h: float
    cold_h: float | None
    """At the coldest temperature of its place; None if that is not known."""
    aged_h: float
    """With what is left of an old bank, and cold if that is known."""


class Balance(Struct, frozen=True, dict=True):
    """The whole balance of one system."""

    system: System
    setting: Setting
    loads: LoadTable
    bank: Bank | None
    arrays: tuple[Array, ...]
    chargers: tuple[Charger, ...]
    sun: Sunshine | None
    demand: Demand | None
    """None if the sun is not known and something depends on it."""
    base: Run | None
    """The settled year."""
    assumptions: tuple[Assumption, ...]
    unknowns: tuple[Unknown, ...]

    @cached_property
    def year(self) -> Year | None:
        """The typical year's outcome."""
        if self.base is None or self.demand is None or self.bank is None:
            return None
        demand = self.demand
        return year_of(
            self.base, self.bank.capacity_wh, self.bank.usable_wh, demand.load_w, demand.sun_w, demand.other_w
        )

    @property
    def autonomy(self) -> Autonomy | None:
        """Without any charge, from full; None without a bank or a load."""
        if self.bank is None or self.loads.day_wh <= 0:
            return None
        new = autonomy_h(self.bank.usable_wh, self.loads.day_wh / 24, self.bank.one_way_frac)
        cold = None if self.bank.cold_factor is None else new / self.bank.cold_factor
        return Autonomy(new, cold, (cold or new) * figure("aged share").value)

    @property
    def charge_times(self) -> tuple[ChargeTime, ...]:
        """Of every charger that is not solar."""
        if self.bank is None:
            return ()
        return tuple(charge_time(self.bank, charger, self.loads.day_wh / 24) for charger in self.chargers)

    @cached_property
    def sun_times(self) -> tuple[SunTime, ...]:
        """In the best and in the worst month; empty without sun."""
        year = self.year
        if year is None or self.bank is None or self.demand is None or not self.arrays or year.worst is None:
            return ()
        best = max(range(len(MONTHS)), key=lambda month: (year.months[month].sun_wh, month))
        return tuple(sun_time(self.bank, self.demand, month) for month in dict.fromkeys((best, year.worst)))

    @cached_property
    def spells(self) -> tuple[Spell, ...]:
        """The usual cloudy spell of the worst month and a hard one; empty without sun or load."""
        year = self.year
        if year is None or year.worst is None or self.bank is None or self.demand is None or self.base is None:
            return ()
        if not self.arrays:
            return ()
        return tuple(
            spell(self.bank, self.demand.load_w, self.demand.sun_w, self.demand.other_w, self.base, year.worst, hard)
            for hard in (False, True)
        )

    @cached_property
    def backup(self) -> BackupUse | None:
        """The strongest charger on shore, generator or engine, as it would have to run."""
        usable = [c for c in self.chargers if c.output_a > 0]
        if self.bank is None or self.demand is None or not usable or self.base is None:
            return None
        from_mains = [c for c in usable if c.source_w is not None]
        charger = max(from_mains or usable, key=lambda c: (c.output_a, c.id))
        return backup_use(self.bank, charger, self.demand, self.base)

    @cached_property
    def aged(self) -> Year | None:
        """The same year with an old and cold bank."""
        if self.bank is None or self.demand is None or self.base is None:
            return None
        share = figure("aged share").value / (self.bank.cold_factor or 1.0)
        cell = self.bank.cell(share)
        again = run(cell, self.demand.load_w, self.demand.source_w, self.base.start_wh / self.bank.capacity_wh)
        demand = self.demand
        return year_of(
            again, cell.capacity_wh, self.bank.usable_wh * share, demand.load_w, demand.sun_w, demand.other_w
        )


def balance(study: Study, setting: Setting, notes: Notes, file_sun: Sunshine | None = None) -> Balance:
    """The balance of a studied system.

    Args:
        study: The system's numbers.
        setting: Where and when it is used, and what is wished.
        notes: What has been assumed so far; more is added.
        file_sun: A year of sun from a file, before all else.
    """
    loads = load_table(study, setting, notes)
    bank = house_bank(study, notes)
    sun = file_sun or sunshine(setting, notes)
    found = arrays(study, bank, sun, notes)
    others = chargers(study, bank, notes) if bank else ()
    demand = _demand(setting, loads, bank, found, others, sun, notes)
    base = None if demand is None or bank is None else settle(bank, demand)
    for charger in others:
        if charger.use_h_per_day is None and charger.source not in ("shore", "generator", "shore or generator"):
            notes.assume(charger.id, "it never runs in the typical year", "give use: 1 h/day on its source")
    return Balance(
        study.system, setting, loads, bank, found, others, sun, demand, base, notes.assumptions, notes.unknowns
    )


def sunshine(setting: Setting, notes: Notes) -> Sunshine | None:
    """The year of sun from the setting; None if it has no latitude."""
    months = setting.sun_h_per_day
    if setting.latitude_deg is None:
        return None
    if months is not None and None not in months:
        return from_months([h for h in months if h is not None], setting.latitude_deg)
    sun = from_latitude(setting.latitude_deg)
    notes.assume(
        "", f"the sun is that of {sun.basis}", "give conditions: sun (twelve figures of a solar atlas), or --sun FILE"
    )
    return sun


def _demand(
    setting: Setting, loads: LoadTable, bank: Bank | None, found: Sequence[Array], others: Sequence[Charger],
    sun: Sunshine | None, notes: Notes,
) -> Demand | None:  # fmt: skip
    """The hourly series; None without a bank, a load or a source, or where arrays meet an unknown sun."""
    if bank is None or loads.day_wh <= 0 or not (found or others):
        return None
    if found and sun is None:
        for array in found:
            notes.unknown("what the sun brings, and the year", array.id, "conditions: latitude (or --latitude, --sun)")
        return None
    in_use = months_of(setting.season, setting.latitude_deg)
    sun_w = solar_year_w(found, sun) if found and sun else [0.0] * HOURS_OF_YEAR
    return Demand(tuple(loads.year_w()), tuple(sun_w), tuple(other_year_w(others, bank, in_use)))


def settle(bank: Bank, demand: Demand) -> Run:
    """A year from where the year before has left the battery, so that 1 January is not favoured."""
    cell, source = bank.cell(), demand.source_w
    # Three months are enough to forget a full start: no bank here holds more than some weeks of load.
    hours = sum(MONTH_DAYS[-3:]) * 24
    first = run(cell, demand.load_w[-hours:], source[-hours:])
    return run(cell, demand.load_w, source, first.end_wh / cell.capacity_wh)


def charge_time(bank: Bank, charger: Charger, load_w: float) -> ChargeTime:
    """From the bank's floor to where absorption starts, and to full, beside a steady load."""
    into_a = min(charger.output_a - load_w / bank.charging_v, bank.max_charge_a)
    eta = bank.one_way_frac
    floor, knee = 1 - bank.usable_frac, bank.absorption_frac
    if into_a <= 0:
        return ChargeTime(charger, knee, math.inf, math.inf)
    to_knee = bulk_h((knee - floor) * bank.capacity_ah, into_a, efficiency_frac=eta)
    return ChargeTime(charger, knee, to_knee, to_knee + tail_h((1 - knee) * bank.capacity_ah, into_a, bank.tail_a, eta))


def sun_time(bank: Bank, demand: Demand, month: int) -> SunTime:
    """Mean days of a month, one after the other, from the floor until the battery is full."""
    sun, load = mean_day(demand.sun_w, month), mean_day(demand.load_w, month)
    days = MOST_SUN_DAYS
    found = run(bank.cell(), load * days, sun * days, 1 - bank.usable_frac)
    full = next((hour for hour, wh in enumerate(found.stored_wh) if wh >= FULL_FRAC * bank.capacity_wh), None)
    return SunTime(MONTHS[month], math.inf if full is None else full + 1.0)


def backup_use(bank: Bank, charger: Charger, demand: Demand, base: Run) -> BackupUse:
    """A year in which a charger is started whenever the bank is low."""
    floor = 1 - bank.usable_frac
    off = BACKUP_OFF_FRAC if bank.is_lithium else bank.absorption_frac
    watts = charger.output_a * bank.charging_v
    start = base.start_wh / bank.capacity_wh
    found = run(bank.cell(), demand.load_w, demand.source_w, start, Backup(watts, floor + BACKUP_ABOVE_FLOOR_FRAC, off))
    hours = [wh / watts for wh in found.backup_wh]
    return BackupUse(charger, math.fsum(hours), tuple(by_month(hours)), short_days(found.unserved_wh))
