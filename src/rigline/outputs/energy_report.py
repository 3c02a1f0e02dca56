"""What an energy balance says to its owner, in sections of sentences and tables that each form of report writes its
way.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from msgspec import Struct

from rigline.energy.balance import Balance, ChargeTime, SunTime
from rigline.energy.loads import LoadRow
from rigline.energy.outcome import Year
from rigline.energy.report_facts import EnergyReport
from rigline.energy.sizing import Proposals
from rigline.energy.spell import Spell
from rigline.energy.steps import Advice, Step
from rigline.energy.sun import MONTHS
from rigline.model.describe import CHEMISTRY
from rigline.outputs.cautions import CAUTIONS
from rigline.standards.energy import battery_figure, figure
from rigline.units import format_amount

HOURS_OF_DAY = 24.0
LONG = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip
"""Months in sentences; tables have the short names."""


class Table(Struct, frozen=True):
    """A table; `right` names the columns of numbers."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: tuple[str, ...]


class Item(Struct, frozen=True):
    """A sentence of a list."""

    text: str


Block = str | Item | Table


class Section(Struct, frozen=True):
    """A heading with sentences and tables under it."""

    title: str
    blocks: tuple[Block, ...]


def sections(report: EnergyReport) -> list[Section]:
    """The whole report, the result first and the cautions last."""
    found = report.balance
    made = [
        Section("In short", tuple(_in_short(report))),
        Section("What the loads take", tuple(_loads(found))),
        Section("What the battery holds", tuple(_battery(found))),
    ]
    if found.chargers or found.arrays:
        made.append(Section("What charges it", tuple(_charging(found))))
    if found.year is not None:
        made.append(Section("A typical year, month by month", tuple(_year(found, found.year))))
    if found.spells:
        made.append(Section("A cloudy spell", tuple(_spells(found.spells))))
    if report.advice is not None:
        made.append(Section("What would help, each computed by running the year again", tuple(_steps(report.advice))))
    if report.proposals is not None:
        made.append(Section("Sizes for these loads", tuple(_proposals(report.proposals))))
    made.append(Section("Assumed, because the spec does not say it", tuple(_assumed(found))))
    made.append(Section("Not assessed, because a fact is missing", tuple(_unknown(found))))
    made.append(Section("Cautions", tuple(_cautions())))
    return [section for section in made if section.blocks]


def wh(value: float) -> str:
    """An energy: `640 Wh`, `2.20 kWh`, `148 kWh`.

    >>> wh(640.4), wh(2202), wh(12340), wh(148000)
    ('640 Wh', '2.20 kWh', '12.3 kWh', '148 kWh')
    """
    if abs(value) < 999.5:
        return f"{value:.0f} Wh"
    return f"{value / 1000:.{2 if value < 9995 else 1 if value < 99_950 else 0}f} kWh"


def hours(value: float) -> str:
    """A time to half a digit: minutes below an hour, days above two.

    >>> hours(0.4), hours(7.34), hours(48), hours(55), hours(math.inf)
    ('24 min', '7.3 h', '2 days', '2.3 days', 'never')
    """
    if math.isinf(value):
        return "never"
    if value < 1:
        return f"{value * 60:.0f} min"
    in_hours = value < 2 * HOURS_OF_DAY
    number = f"{value if in_hours else value / HOURS_OF_DAY:.1f}".removesuffix(".0")
    return f"{number} {'h' if in_hours else 'days'}"


def days(count: int) -> str:
    """A number of days in words."""
    return f"{count} day" if count == 1 else f"{count} days"


def percent(value: float) -> str:
    """A share as a whole percentage."""
    return f"{value * 100:.0f} %"


def _in_short(report: EnergyReport) -> Iterator[Block]:
    found = report.balance
    counted = "at least " if found.loads.not_counted else ""
    yield f"The loads take {counted}{wh(found.loads.day_wh)} a day out of the battery in their heaviest month."
    autonomy = found.autonomy
    if autonomy is not None:
        wish = found.setting.autonomy_h
        enough = "as long as wished" if autonomy.new_h >= wish else f"less than the {hours(wish)} wished"
        yield f"With nothing coming in, a full battery carries them for {hours(autonomy.new_h)}: {enough}."
    year = found.year
    if year is None:
        yield f"The typical year is not assessed: {_why_no_year(found)}"
    else:
        yield _year_in_short(found, year)
    if report.advice is not None:
        best, reason = report.advice.best, report.advice.reason
        yield f"Next: {best.text}. {_sentence(reason)}" if best else f"Nothing more is needed: {reason}."
    if found.loads.not_counted:
        ids = ", ".join(found.loads.not_counted)
        yield f"Too good to be true: {ids} are not counted, because the spec does not say how long they run."


def _sentence(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}."


def _why_no_year(found: Balance) -> str:
    if found.bank is None:
        return "there is no house battery with a known capacity."
    if found.loads.day_wh <= 0:
        return "no load with a known power and use hangs on the battery."
    if not found.arrays and not found.chargers:
        return "nothing in the spec charges the battery."
    return "where is it used? Give conditions: latitude, or --latitude, or --sun FILE."


def _year_in_short(found: Balance, year: Year) -> str:
    if not year.used_wh:
        backup = found.backup
        need = ""
        if backup is not None:
            need = f" {backup.charger.id} would have to run {backup.year_h / year.days_in_use:.1f} h a day."
        return f"No sun and no stated hours of engine, shore or generator charge the battery.{need}"
    if not year.short_days:
        return (
            f"In a typical year no load goes without; the lowest charge is {percent(year.lowest_frac)} on "
            f"{year.lowest_at}. A typical year leaves out the rare dark one."
        )
    text = (
        f"In a typical year the loads go without on {year.short_days} of {year.days_in_use} days "
        f"({percent(year.unserved_frac)} of their energy)"
    )
    backup = found.backup
    if backup is None:
        return f"{text}. A typical year leaves out the rare dark one."
    still = f" (even then {days(backup.still_short_days)} short)" if backup.still_short_days else ""
    worst = max(range(12), key=lambda month: backup.month_h[month])
    return (
        f"{text}, unless {backup.charger.id} runs on {backup.charger.source} for {backup.year_h:.0f} h a year, "
        f"{backup.month_h[worst]:.0f} h of it in {LONG[worst]}{still}. A typical year leaves out the rare dark one."
    )


def _loads(found: Balance) -> Iterator[Block]:
    for medium, title in (("dc", "Direct current:"), ("ac", "Alternating current, through the inverter:")):
        rows = [row for row in found.loads.rows if row.medium == medium]
        if rows:
            yield title
            yield _load_table(rows, medium)
    for use in found.loads.inverters:
        how = "day and night" if use.always_on else "only while something on it runs"
        yield Item(
            f"{use.id} gives {percent(use.efficiency_frac)} of what it takes. It needs {use.idle_w:.0f} W for itself, "
            f"{how}: {wh(use.idle_wh)} a day."
        )
    share = math.fsum(use.idle_wh for use in found.loads.inverters) / found.loads.day_wh if found.loads.day_wh else 0.0
    if share > IDLE_WARN_FRAC:
        yield Item(f"Idling alone is {percent(share)} of everything the loads take.")
    if found.loads.elsewhere:
        yield Item(f"Not on the house battery, so not counted: {', '.join(found.loads.elsewhere)}.")


IDLE_WARN_FRAC = 0.15
"""Share of the daily load above which idling is worth a word. Common practice."""


def _load_table(rows: list[LoadRow], medium: str) -> Table:
    total = math.fsum(row.day_wh or 0.0 for row in rows)
    out = math.fsum(row.battery_wh or 0.0 for row in rows)
    cells = [_load_cells(row) for row in rows] + [("together", "", "", "", "", "", wh(total), wh(out))]
    columns = ("Load", "Power", "Use", "Duty", "Days", "When", "A day", "Battery")
    # The last column says what leaves the battery; it is worth its place only where something is lost on the way.
    kept = len(columns) if out > total else len(columns) - 1
    return Table(
        columns[:kept], tuple(row[:kept] for row in cells), ("Power", "Use", "Duty", "Days", "A day", "Battery")
    )


def _load_cells(row: LoadRow) -> tuple[str, ...]:
    count = f"{row.count} × " if row.count > 1 else ""
    season = "" if row.season == "all-year" else f" {row.season}"
    return (
        f"{row.id} {row.name}".strip()[:24],
        "?" if row.power_w is None else f"{count}{row.power_w:.4g} W",
        "?" if row.use_h_per_day is None else f"{row.use_h_per_day:.3g} h",
        percent(row.duty_frac), f"{row.days_per_week:.2g}",
        "?" if row.use_h_per_day is None else f"{row.part_of_day}{season}",
        "?" if row.day_wh is None else wh(row.day_wh), "?" if row.battery_wh is None else wh(row.battery_wh),
    )  # fmt: skip


def _battery(found: Balance) -> Iterator[Block]:
    bank = found.bank
    if bank is None:
        return
    yield (
        f"{', '.join(bank.ids)}: {CHEMISTRY[bank.chemistry]}, {bank.voltage_v:.3g} V, {bank.capacity_ah:.4g} Ah, "
        f"{wh(bank.capacity_wh)}; {percent(bank.usable_frac)} of it is used, {wh(bank.usable_wh)}. "
        f"It gives back {percent(bank.round_trip_frac)} of what is put in."
    )
    autonomy = found.autonomy
    if autonomy is None:
        return
    rows = [(f"new, at {format_amount(25.0, 'c')}", hours(autonomy.new_h))]
    if autonomy.cold_h is not None and bank.coldest_c is not None:
        rows.append((f"new, at {format_amount(bank.coldest_c, 'c')} (coldest of its place)", hours(autonomy.cold_h)))
    aged = percent(figure("aged share").value)
    rows.append((f"old ({aged} left){', cold' if autonomy.cold_h is not None else ''}", hours(autonomy.aged_h)))
    yield Table(("A full battery alone lasts", "for"), tuple(rows), ("for",))
    if bank.coldest_c is not None and bank.min_charge_c is not None and bank.coldest_c < bank.min_charge_c:
        yield Item(
            f"It may not be charged below {format_amount(bank.min_charge_c, 'c')} and its place gets as cold as "
            f"{format_amount(bank.coldest_c, 'c')}: those hours are not in the year below."
        )


def _charging(found: Balance) -> Iterator[Block]:
    for array in found.arrays:
        most = "" if math.isinf(array.limit_w) else f", at most {array.limit_w:.0f} W through {array.controller}"
        loss = f"dirt, wires and {array.controller} leave {percent(array.yield_frac)}, heat takes more{most}"
        yield Item(f"{array.id}: {array.power_w:.0f} W of modules; {loss}.")
    if found.sun is not None and found.arrays:
        low, high = min(found.sun.sun_h_per_day), max(found.sun.sun_h_per_day)
        yield Item(
            f"Sun: {found.sun.basis}. On the flat {low:.1f} to {high:.1f} kWh/m² a day, month by month "
            "(peak sun hours)."
        )
    for time in found.sun_times:
        yield Item(
            f"Sun alone fills the battery from its lowest in mean days of {_long(time.month)}: {_sun_time(time)}."
        )
    times = found.charge_times
    if times:
        yield "From the lowest usable charge, beside a mean hour of the loads:"
        yield Table(
            ("Charger", "From", "Current", f"To {percent(times[0].absorption_frac)}", "To 100 %"),
            tuple(_charge_cells(time) for time in times),
            ("Current", f"To {percent(times[0].absorption_frac)}", "To 100 %"),
        )
    for charger in found.chargers:
        if charger.limited_by:
            yield Item(f"{charger.id} gives no more than {charger.output_a:.0f} A because of {charger.limited_by}.")


def _long(month: str) -> str:
    return LONG[MONTHS.index(month)]


def _sun_time(time: SunTime) -> str:
    return "never, as the loads take all of it" if math.isinf(time.to_full_h) else f"in {hours(time.to_full_h)}"


def _charge_cells(time: ChargeTime) -> tuple[str, ...]:
    charger = time.charger
    name = f"{charger.id} {charger.name}".strip()
    return name, charger.source, f"{charger.output_a:.0f} A", hours(time.to_absorption_h), hours(time.to_full_h)


def _year(found: Balance, year: Year) -> Iterator[Block]:
    backup = found.backup
    other = any(month.other_wh for month in year.months)
    columns = ["Month", "Sun", *(["Other"] if other else []), "Loads", "No room", "Lowest", "Days short"]
    if backup is not None:
        columns.append(f"{backup.charger.id} runs")
    rows = []
    for index, month in enumerate(year.months):
        row = [month.name, wh(month.sun_wh), *([wh(month.other_wh)] if other else []), wh(month.load_wh),
               wh(month.spilled_wh), percent(month.lowest_frac), str(month.short_days)]  # fmt: skip
        rows.append((*row, *([f"{backup.month_h[index]:.0f} h"] if backup is not None else [])))
    words = "Energy is that of a mean day; Lowest is the lowest state of charge; on days short the loads went without."
    if other:
        words += " Other is engine, shore or generator with stated hours."
    if backup is not None:
        words += f" {backup.charger.id} runs is how long that charger would have to, for no load ever to go without."
    yield words
    yield Table(tuple(columns), tuple(rows), tuple(columns[1:]))
    if year.worst is not None and year.ratio is not None:
        wish, careful = figure("array ratio").value, figure("careful array ratio").value
        yield Item(
            f"{LONG[year.worst]} decides: what comes in is {year.ratio:.2f} times what the loads take. "
            f"Plan for {wish:g}, or {careful:g} where they must not fail."
        )
    if found.bank is not None and not found.bank.is_lithium and year.used_wh:
        most = figure("full charge interval").value
        if year.longest_days_without_full > most:
            yield Item(
                f"The battery is not full for up to {year.longest_days_without_full:.0f} days in a row; lead wants a "
                f"full charge every {most:.0f} days, or it loses capacity for good."
            )
    if found.aged is not None and found.aged.short_days > year.short_days:
        yield Item(f"When the battery is old and cold, {days(found.aged.short_days)} are short.")
    yield Item(f"The battery goes through {year.cycles:.0f} full cycles of its usable energy.")


def _spells(spells: tuple[Spell, ...]) -> Iterator[Block]:
    for spell in spells:
        kind = "Hard" if spell.hard else "Usual"
        basis = (
            "the darkest of eighteen measured typical years" if spell.hard else "the median of measured typical years"
        )
        text = (
            f"{kind}: {spell.days} days in {_long(spell.month)} with {percent(spell.sun_frac)} of its mean sun "
            f"({basis}), from {percent(spell.start_frac)} charge, as on a usual midnight there."
        )
        if spell.short_h:
            text += f" The loads go without for {spell.short_h} h; {wh(spell.missing_wh)} must come from elsewhere."
        else:
            text += f" The charge falls to {percent(spell.lowest_frac)}; no load goes without."
        yield Item(text)


def _steps(advice: Advice) -> Iterator[Block]:
    rows = [_step_cells(step) for step in (advice.now, *advice.steps)]
    columns = ("Change", "Days short", "Missing a year", "Worst month", "Alone")
    yield Table(columns, tuple(rows), columns[1:])
    yield "Worst month is what comes in over what the loads take there; Alone is how long a full battery lasts."


def _step_cells(step: Step) -> tuple[str, ...]:
    ratio = "-" if step.ratio is None else f"{step.ratio:.2f}"
    return step.text, str(step.short_days), wh(step.unserved_wh), ratio, hours(step.autonomy_h)


def _proposals(made: Proposals) -> Iterator[Block]:
    cold = "" if made.coldest_c is None else f", for a battery at {format_amount(made.coldest_c, 'c')}"
    yield (
        f"For {wh(made.day_wh)} a day and {hours(made.autonomy_h)} without sun{cold}, with {percent(made.margin_frac)} "
        f"in reserve and still enough when {percent(made.aged_frac)} of the capacity is left:"
    )
    heads = ("", *(CHEMISTRY[one.chemistry] for one in made.proposals))
    rows: list[tuple[str, ...]] = [
        ("battery", *(f"{one.voltage_v:.3g} V {one.capacity_ah:.0f} Ah" for one in made.proposals)),
        ("holds", *(wh(one.capacity_wh) for one in made.proposals)),
        ("usable when new", *(wh(one.usable_wh) for one in made.proposals)),
        ("mass of battery", *(f"{one.mass_kg:.0f} kg" for one in made.proposals)),
    ]
    if made.month is not None:
        rows += [
            ("flat array", *("-" if one.array_w is None else f"{one.array_w:.0f} W" for one in made.proposals)),
            ("mass of array", *("-" if one.array_kg is None else f"{one.array_kg:.0f} kg" for one in made.proposals)),
            ("days short a year", *("-" if one.short_days is None else str(one.short_days) for one in made.proposals)),
        ]
    yield Table(heads, tuple(rows), heads[1:])
    if made.month is not None:
        brings = f"The array brings {made.ratio:g} times the load of {LONG[made.month]}"
        yield f"{brings}; days short are those of a typical year."
    else:
        yield "The array is not assessed: give conditions: latitude, or --latitude, or --sun FILE."


def _assumed(found: Balance) -> Iterator[Block]:
    for one in found.assumptions:
        where = f"{', '.join(one.at)}: " if one.at else ""
        yield Item(f"{where}{one.assumed}. To say otherwise, {one.remedy}.")
    if found.bank is not None:
        names = ("usable share", "round trip", "self-discharge")
        figures = [(name, battery_figure(found.bank.chemistry, name)) for name in names]
        told = "; ".join(f"{name} {one.value:g} ({one.basis}; {one.sure})" for name, one in figures)
        yield Item(f"Planning figures for {CHEMISTRY[found.bank.chemistry]}: {told}.")


def _unknown(found: Balance) -> Iterator[Block]:
    for one in found.unknowns:
        where = f"{', '.join(one.at)}: " if one.at else ""
        yield Item(f"{where}{one.what}. Missing: {one.missing}.")


def _cautions() -> Iterator[Block]:
    yield Item("These are planning figures for a typical year, never the worst: keep a way to charge for the dark one.")
    yield from (Item(text) for text in CAUTIONS)
