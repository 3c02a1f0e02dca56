"""What every load takes on a day and when, DC and AC apart, and what of it reaches the battery.

A load whose use the spec does not say is not counted, and said so: the sums are then too small, never invented.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct

from rigline.energy.arithmetic import DAYS_OF_WEEK, day_wh
from rigline.energy.assumption import Notes
from rigline.energy.setting import Setting
from rigline.energy.sun import HOURS_OF_DAY, MONTH_DAYS
from rigline.graph.build import Edge
from rigline.kinds.converters import DcConverter, Inverter
from rigline.kinds.loads import DumpLoad, Load, Monitor, Motor, Season, Sensor
from rigline.kinds.sources import VehicleBattery
from rigline.model.system import Conductor, Node
from rigline.standards.energy import figure
from rigline.study.demand import CHARGER_EFFICIENCY_FRAC, INVERTER_EFFICIENCY_FRAC, leg_voltage_v
from rigline.study.inverter_loads import fed_nodes, inverters
from rigline.study.storage import shares_current, storages
from rigline.study.study import Study

BEGINS_H = {"morning": 6, "midday": 10, "evening": 18, "night": 22}
"""Hour at which a part of the day begins; as `kinds.loads.PartOfDay` says."""
SUMMER_MONTHS = frozenset(range(3, 9))
"""April to September, counted from 0; the summer half north of the equator."""


class LoadRow(Struct, frozen=True):
    """One load of the daily table."""

    id: str
    name: str
    medium: str
    """dc or ac."""
    count: int
    power_w: float | None
    """Of one while it runs."""
    use_h_per_day: float | None
    duty_frac: float
    days_per_week: float
    season: Season
    part_of_day: str
    """Where its hours of use begin; evening if the spec does not say."""
    day_wh: float | None
    """On a mean day of its season, at its own terminals; None if power or use is not known."""
    battery_wh: float | None
    """The same with what converters and inverters lose on the way."""


class InverterUse(Struct, frozen=True):
    """What one inverter takes on a day beside what its loads get."""

    id: str
    efficiency_frac: float
    idle_w: float
    always_on: bool
    idle_wh: float
    loads: tuple[str, ...]


class LoadTable(Struct, frozen=True):
    """The daily table and the hourly demand on the battery."""

    rows: tuple[LoadRow, ...]
    inverters: tuple[InverterUse, ...]
    elsewhere: tuple[str, ...]
    """Loads that do not hang on the house battery: on shore or generator only, or on the engine's battery."""
    month_w: tuple[tuple[float, ...], ...]
    """Power out of the battery in each hour of a mean day of each month."""

    @property
    def month_wh(self) -> tuple[float, ...]:
        """Energy out of the battery on a mean day of each month."""
        return tuple(math.fsum(hours) for hours in self.month_w)

    @property
    def day_wh(self) -> float:
        """Energy out of the battery on a mean day of the heaviest month."""
        return max(self.month_wh)

    @property
    def not_counted(self) -> tuple[str, ...]:
        """Loads whose power or use is not known."""
        return tuple(row.id for row in self.rows if row.day_wh is None)

    def year_w(self) -> list[float]:
        """Power out of the battery in each hour of a year."""
        hours: list[float] = []
        for month, days in enumerate(MONTH_DAYS):
            hours += self.month_w[month] * days
        return hours


def load_table(study: Study, setting: Setting, notes: Notes, *, on_demand: bool = False) -> LoadTable:
    """The table of a system's loads.

    Args:
        study: The system.
        setting: Where and when it is used.
        notes: Takes what is assumed or not known.
        on_demand: As if every inverter were on only while something on it runs.
    """
    behind = _converter_efficiency(study, notes)
    fed = {inverter.id: _loads_of(study, inverter) for inverter in inverters(study)}
    ac = {id: inverter for inverter, ids in reversed(fed.items()) for id in ids}
    away = _on_other_batteries(study)
    rows, elsewhere = [], []
    for id, load in sorted(study.system.components.items()):
        if not isinstance(load, Load) or isinstance(load, DumpLoad) or not study.graph.nodes_of(id):
            continue
        if isinstance(load, Motor) and load.cranking:
            continue
        medium = "dc" if any(node.pole in "+-" for node in study.graph.nodes_of(id)) else "ac"
        if (medium == "ac" and id not in ac) or id in away:
            elsewhere.append(id)
            continue
        eta = _inverter_efficiency(study, ac[id], notes) if medium == "ac" else behind.get(id, 1.0)
        rows.append(_row(study, load, medium, eta, notes))
    uses = tuple(_inverter_use(study, id, ids, rows, on_demand, notes) for id, ids in fed.items())
    return LoadTable(tuple(rows), uses, tuple(elsewhere), _month_w(setting, rows, uses))


def _row(study: Study, load: Load, medium: str, efficiency_frac: float, notes: Notes) -> LoadRow:
    power, use = _power_w(study, load, medium), _use_h_per_day(load, notes)
    energy = None
    if power is None:
        notes.unknown("what it takes", load.id, "power or current")
    elif use is None:
        notes.unknown("what it takes in a day", load.id, "use, as in use: 2 h/day")
    else:
        days = DAYS_OF_WEEK if load.days_per_week is None else load.days_per_week
        energy = day_wh(power, use, count=load.count, duty_frac=_duty(load), days_per_week=days)
    return LoadRow(
        load.id, load.name or "", medium, load.count, power, use, _duty(load),
        DAYS_OF_WEEK if load.days_per_week is None else load.days_per_week, load.season or "all-year",
        _part_of_day(load, use, notes), energy, None if energy is None else energy / efficiency_frac,
    )  # fmt: skip


def _duty(load: Load) -> float:
    return 1.0 if load.duty_frac is None else load.duty_frac


def _power_w(study: Study, load: Load, medium: str) -> float | None:
    if load.power_w is not None or load.current_a is None:
        return load.power_w
    volts = load.voltage_v
    for node in study.graph.nodes_of(load.id):
        if volts is None:
            volts = study.limits.node_volts_v(node) if medium == "dc" else _leg_v(study, load.id)
    return None if volts is None else load.current_a * volts


def _leg_v(study: Study, id: str) -> float | None:
    feeding = (inverter for inverter in inverters(study) if id in _loads_of(study, inverter))
    return next((leg_voltage_v(inverter, study.system) for inverter in feeding), None)


def _use_h_per_day(load: Load, notes: Notes) -> float | None:
    if load.use_h_per_day is not None or "use" in load.unknown:
        return load.use_h_per_day
    if isinstance(load, Monitor | Sensor) or (load.always_on and not isinstance(load, Motor)):
        notes.assume(load.id, "it runs all day, as it watches or stays on", "give use: with its hours a day")
        return float(HOURS_OF_DAY)
    return None


def _part_of_day(load: Load, use_h_per_day: float | None, notes: Notes) -> str:
    if load.part_of_day is not None:
        return load.part_of_day
    if not use_h_per_day or use_h_per_day >= HOURS_OF_DAY:
        return "all-day"
    assumed = "used from 18 h on, when there is no sun: the careful reading"
    notes.assume(load.id, assumed, "give part-of-day: morning, midday, evening, night or all-day")
    return "evening"


def hours_of_use(use_h_per_day: float, part_of_day: str) -> list[float]:
    """Share of each hour of the day in which something is used, from the beginning of its part of the day.

    >>> hours_of_use(1.5, "night")[21:]
    [0.0, 1.0, 0.5]
    """
    if part_of_day == "all-day":
        return [use_h_per_day / HOURS_OF_DAY] * HOURS_OF_DAY
    shares, left, hour = [0.0] * HOURS_OF_DAY, use_h_per_day, BEGINS_H[part_of_day]
    while left > 1e-12:
        shares[hour % HOURS_OF_DAY] += min(1.0, left)
        left -= min(1.0, left)
        hour += 1
    return shares


def months_of(season: str | None, latitude_deg: float | None) -> frozenset[int]:
    """The months of a season, counted from 0; north of the equator if the latitude is not known."""
    every = frozenset(range(len(MONTH_DAYS)))
    if season in (None, "all-year"):
        return every
    north = (latitude_deg or 0.0) >= 0
    return SUMMER_MONTHS if (season == "summer") == north else every - SUMMER_MONTHS


def _month_w(setting: Setting, rows: Sequence[LoadRow], uses: Sequence[InverterUse]) -> tuple[tuple[float, ...], ...]:
    months = []
    in_use = months_of(setting.season, setting.latitude_deg)
    for month in range(len(MONTH_DAYS)):
        hours = [0.0] * HOURS_OF_DAY
        if month in in_use:
            now = [row for row in rows if month in months_of(row.season, setting.latitude_deg)]
            for row in now:
                _add(hours, _profile(row), row.battery_wh or 0.0)
            for use in uses:
                _add(hours, on_shares(use, now), use.idle_w, each=True)
        months.append(tuple(hours))
    return tuple(months)


def _add(hours: list[float], shares: Sequence[float], energy: float, each: bool = False) -> None:
    total = 1.0 if each else math.fsum(shares)
    if total > 0:
        for hour, share in enumerate(shares):
            hours[hour] += energy * share / total


def _profile(row: LoadRow) -> list[float]:
    return hours_of_use(row.use_h_per_day or 0.0, row.part_of_day)


def on_shares(use: InverterUse, rows: Sequence[LoadRow]) -> list[float]:
    """Share of each hour in which an inverter is on: always, or while something on it runs (one after the other)."""
    if use.always_on:
        return [1.0] * HOURS_OF_DAY
    shares = [0.0] * HOURS_OF_DAY
    for row in rows:
        if row.id in use.loads and row.day_wh:
            running = row.duty_frac * row.days_per_week / DAYS_OF_WEEK
            shares = [share + one * running for share, one in zip(shares, _profile(row), strict=True)]
    return [min(1.0, share) for share in shares]


def _loads_of(study: Study, inverter: Inverter) -> tuple[str, ...]:
    nodes = fed_nodes(study, inverter)
    return tuple(sorted({n.component for n in nodes if isinstance(study.graph.component_at(n), Load)}))


def _inverter(study: Study, id: str) -> Inverter:
    inverter = study.system.components[id]
    assert isinstance(inverter, Inverter)
    return inverter


def _inverter_efficiency(study: Study, id: str, notes: Notes) -> float:
    inverter = _inverter(study, id)
    if inverter.efficiency_frac is None:
        notes.assume(id, f"efficiency {INVERTER_EFFICIENCY_FRAC:.0%}", "give efficiency: as its data sheet does")
    return inverter.efficiency_frac or INVERTER_EFFICIENCY_FRAC


def _inverter_use(
    study: Study, id: str, loads: tuple[str, ...], rows: Sequence[LoadRow], on_demand: bool, notes: Notes
) -> InverterUse:
    inverter = _inverter(study, id)
    idle = inverter.idle_w
    if idle is None:
        share = figure("idle share")
        idle = (inverter.power_w or 0.0) * share.value
        if inverter.power_w:
            notes.assume(id, f"it takes {idle:.0f} W with no load, {share.value:.1%} of its rating", "give idle:")
        else:
            notes.unknown("what it takes with no load", id, "idle, or power to estimate it from")
    if inverter.on_demand is None and not on_demand:
        notes.assume(id, "it is on day and night", "give on-demand: true if it is switched off between uses")
    use = InverterUse(
        id, _inverter_efficiency(study, id, notes), idle, not (inverter.on_demand or on_demand), 0.0, loads
    )
    on_h = math.fsum(on_shares(use, rows))
    return InverterUse(id, use.efficiency_frac, idle, use.always_on, idle * on_h, loads)


def _converter_efficiency(study: Study, notes: Notes) -> Mapping[str, float]:
    """Efficiency of what stands between a DC load and the battery, by load."""
    found: dict[str, float] = {}
    for id, component in sorted(study.system.components.items()):
        if isinstance(component, DcConverter):
            loads = set(_loads_near(study, Node(id, "out", "+")))
            if loads and component.efficiency_frac is None:
                notes.assume(id, f"efficiency {CHARGER_EFFICIENCY_FRAC:.0%}", "give efficiency: as its data sheet does")
            for load in loads:
                found[load] = found.get(load, 1.0) * (component.efficiency_frac or CHARGER_EFFICIENCY_FRAC)
    return found


def _loads_near(study: Study, start: Node) -> Iterator[str]:
    if start in study.graph.graph:
        for node in study.graph.reach(start, _along):
            if isinstance(study.graph.component_at(node), Load):
                yield node.component


def _along(edge: Edge, node: Node) -> bool:
    if isinstance(edge, Conductor):
        return edge.a.pole == node.pole == edge.b.pole
    return edge.kind == "device" and edge.a.pole == node.pole


def _on_other_batteries(study: Study) -> frozenset[str]:
    """Components on the net of an engine's or vehicle's battery and on that of no house battery."""
    house: set[str] = set()
    other: set[str] = set()
    for storage in storages(study):
        (other if storage.is_starting else house).update(node.component for node in storage.net)
    for id, component in sorted(study.system.components.items()):
        start = Node(id, "", "+")
        if isinstance(component, VehicleBattery) and start in study.graph.graph:
            net = study.graph.reach(start, lambda edge, node: shares_current(study, edge, node))
            other.update(node.component for node in net)
    return frozenset(other - house)
