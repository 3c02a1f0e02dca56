"""The house battery as the balance sees it: what it holds, what of it is used, how fast it takes a charge."""

from __future__ import annotations

import math

from msgspec import Struct

from rigline.energy.assumption import Notes
from rigline.energy.simulation import Cell
from rigline.kinds.sources import Battery, Bms
from rigline.standards.energy import battery_figure, cold_factor, figure
from rigline.study.storage import Series, Storage, storages
from rigline.study.study import Study

LEAD_IF_UNKNOWN = "flooded"
"""Chemistry that is taken where none is stated: the one that gives least."""


class Bank(Struct, frozen=True):
    """All house batteries together."""

    ids: tuple[str, ...]
    chemistry: str
    voltage_v: float
    """Nominal."""
    capacity_ah: float
    capacity_wh: float
    usable_frac: float
    round_trip_frac: float
    self_discharge_frac: float
    """In a month."""
    max_charge_a: float
    absorption_frac: float
    tail_a: float
    """Charge current of the full bank."""
    charging_v: float
    coldest_c: float | None
    """Coldest air at a battery; None if its place does not say."""
    cold_factor: float | None
    """How many times the capacity must be larger at that temperature; None if it is not known."""
    min_charge_c: float | None
    """Coldest cell that may be charged; None for lead."""
    block_wh: float
    """Energy of one block, for the step of one block more."""
    mass_kg: float | None
    """As the spec states it."""

    @property
    def usable_wh(self) -> float:
        """What is used of a full bank, at its own terminals apart from what discharging loses."""
        return self.capacity_wh * self.usable_frac

    @property
    def is_lithium(self) -> bool:
        """Whether it is lithium iron phosphate."""
        return self.chemistry == "lifepo4"

    @property
    def one_way_frac(self) -> float:
        """Efficiency of charging, and of discharging: each the root of the round trip."""
        return math.sqrt(self.round_trip_frac)

    def cell(self, capacity_share: float = 1.0) -> Cell:
        """The bank for the hour-by-hour model.

        Args:
            capacity_share: More or less of it: an aged or a larger bank.
        """
        return Cell(
            capacity_wh=self.capacity_wh * capacity_share,
            floor_frac=1 - self.usable_frac,
            charge_efficiency_frac=self.one_way_frac,
            discharge_efficiency_frac=self.one_way_frac,
            self_discharge_frac=self.self_discharge_frac,
            max_charge_w=self.max_charge_a * self.charging_v * capacity_share,
            absorption_frac=self.absorption_frac,
            tail_w=self.tail_a * self.charging_v * capacity_share,
        )


def house_bank(study: Study, notes: Notes) -> Bank | None:
    """All banks of a system but those that only start engines, as one; None without one that states its size."""
    houses = [storage for storage in storages(study) if not storage.is_starting]
    if not houses:
        notes.unknown(
            "everything about the battery", "", "a house battery: every battery here is for starting, or none"
        )
        return None
    if len(houses) > 1:
        for storage in houses:
            notes.assume(storage.ids[0], "several house banks count as one", "nothing to do if they are used in turn")
    strings = [string for storage in houses for string in storage.strings]
    volts = strings[0].volts_v
    charge = _charge_ah(strings, volts)
    if charge is None or not volts:
        for battery in (b for storage in houses for b in storage.batteries):
            if not (battery.capacity_ah or battery.capacity_wh) or not battery.voltage_v:
                notes.unknown("everything about the battery", battery.id, "capacity and voltage")
        return None
    return _bank(study, houses, volts, charge, notes)


def _charge_ah(strings: list[Series], volts_v: float | None) -> float | None:
    """Charge of all strings at the voltage of the first; None if one is not known."""
    total = 0.0
    for string in strings:
        if string.capacity_ah is None or not string.volts_v or not volts_v:
            return None
        total += string.capacity_ah * string.volts_v / volts_v
    return total


def _bank(study: Study, houses: list[Storage], volts_v: float, charge_ah: float, notes: Notes) -> Bank:
    batteries = [battery for storage in houses for battery in storage.batteries]
    chemistry = _chemistry(batteries, notes)
    coldest = _coldest_c(study, batteries)
    if coldest is None:
        notes.unknown("how much the cold takes", batteries[0].id, "place of the battery, with its min temperature")
    masses = [b.mass_kg * b.series * b.parallel if b.mass_kg is not None else None for b in batteries]
    first = batteries[0]
    block = (first.voltage_v or 0.0) * (first.capacity_ah or (first.capacity_wh or 0.0) / (first.voltage_v or 1.0))
    usual = battery_figure(chemistry, "usable share").value
    stated = [b.usable_frac for b in batteries if b.usable_frac is not None]
    share = figure("lithium charging voltage" if chemistry == "lifepo4" else "charging voltage").value
    return Bank(
        ids=tuple(battery.id for battery in batteries), chemistry=chemistry, voltage_v=volts_v,
        capacity_ah=charge_ah, capacity_wh=charge_ah * volts_v, usable_frac=min(stated, default=usual),
        round_trip_frac=battery_figure(chemistry, "round trip").value,
        self_discharge_frac=battery_figure(chemistry, "self-discharge").value,
        max_charge_a=_max_charge_a([s for house in houses for s in house.strings], chemistry, charge_ah),
        absorption_frac=battery_figure(chemistry, "absorption starts").value,
        tail_a=battery_figure(chemistry, "tail share").value * charge_ah, charging_v=volts_v * share,
        coldest_c=coldest, cold_factor=None if coldest is None else cold_factor(chemistry, coldest),
        min_charge_c=_min_charge_c(batteries) if chemistry == "lifepo4" else None, block_wh=block,
        mass_kg=None if None in masses else math.fsum(mass for mass in masses if mass is not None),
    )  # fmt: skip


def _chemistry(batteries: list[Battery], notes: Notes) -> str:
    kinds = {battery.chemistry for battery in batteries}
    for battery in batteries:
        if battery.chemistry is None:
            notes.assume(battery.id, "flooded lead, which gives least", "give chemistry:")
    known = sorted(kind or LEAD_IF_UNKNOWN for kind in kinds)
    if len(known) > 1:
        notes.assume(batteries[0].id, "mixed chemistries count as the one that gives least", "use one chemistry")
    return min(known, key=lambda kind: (_usable(kind), kind))


def _usable(chemistry: str) -> float:
    return battery_figure(chemistry, "usable share").value * battery_figure(chemistry, "round trip").value


def _max_charge_a(strings: list[Series], chemistry: str, charge_ah: float) -> float:
    """The makers' limits of all strings together, where each states its own; else the usual share of the charge."""
    total = 0.0
    for string in strings:
        limits = [battery.max_charge_a or _bms_limit_a(battery) for battery in string.blocks]
        if None in limits:
            return battery_figure(chemistry, "charge share").value * charge_ah
        total += min(limit for limit in limits if limit is not None) * string.top.parallel
    return total


def _bms_limit_a(battery: Battery) -> float | None:
    return battery.bms.max_charge_a if isinstance(battery.bms, Bms) else None


def _coldest_c(study: Study, batteries: list[Battery]) -> float | None:
    found = []
    for battery in batteries:
        place = study.system.places.get(battery.place or "")
        if place is None or place.min_c is None:
            return None
        found.append(place.min_c)
    return min(found)


def _min_charge_c(batteries: list[Battery]) -> float:
    """Coldest cell that may be charged: 0 °C for lithium iron phosphate unless one is heated or says otherwise."""
    limits = []
    for battery in batteries:
        bms = battery.bms.low_temperature_c if isinstance(battery.bms, Bms) else None
        own = battery.min_charge_temperature_c if battery.min_charge_temperature_c is not None else bms
        limits.append(-math.inf if battery.heated else (0.0 if own is None else own))
    return max(limits)
