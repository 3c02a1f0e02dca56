"""What an hour-by-hour run means for its owner: days short, the lowest point, what each month brings."""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct

from rigline.energy.simulation import Run
from rigline.energy.sun import HOURS_OF_DAY, MONTH_DAYS, MONTHS
from rigline.energy.year import by_month, month_start_h, stamp, worst_month

SHORT_WH = 1e-6
"""Less than this is rounding."""
FULL_FRAC = 0.99
"""State of charge that counts as full."""


class Month(Struct, frozen=True):
    """One month of a typical year, as means of its days."""

    name: str
    sun_wh: float
    """What the arrays could bring to the battery, a day."""
    other_wh: float
    """What sources with stated hours bring, a day."""
    load_wh: float
    """What the loads want out of the battery, a day."""
    spilled_wh: float
    """What found no room, a day."""
    short_days: int
    """Days on which the loads went without for an hour or part of one."""
    lowest_frac: float
    """Lowest state of charge."""


class Year(Struct, frozen=True):
    """A typical year of a system."""

    months: tuple[Month, ...]
    worst: int | None
    """The month (0 to 11) in which the sources bring least beside what the loads want."""
    ratio: float | None
    """What the sources bring over what the loads want in that month."""
    short_days: int
    days_in_use: int
    """Days on which the loads want anything."""
    short_h: int
    """Hours in which the loads went without, at least in part."""
    unserved_wh: float
    unserved_frac: float
    lowest_frac: float
    lowest_at: str
    spilled_wh: float
    used_wh: float
    cycles: float
    """Full cycles of the battery's usable energy."""
    longest_days_without_full: float
    daily_lowest_frac: tuple[float, ...]
    daily_highest_frac: tuple[float, ...]
    imbalance_wh: float
    """What does not close in the balance: rounding."""


def year_of(
    run: Run, capacity_wh: float, usable_wh: float, load_w: Sequence[float], sun_w: Sequence[float],
    other_w: Sequence[float],
) -> Year:  # fmt: skip
    """A year's outcome from its run."""
    shares = [stored / capacity_wh for stored in run.stored_wh]
    days = [shares[hour : hour + HOURS_OF_DAY] for hour in range(0, len(shares), HOURS_OF_DAY)]
    lows = tuple(min(day) for day in days)
    months = _months(run, lows, load_w, sun_w, other_w)
    worst = worst_month([m.sun_wh + m.other_wh for m in months], [m.load_wh for m in months])
    month = None if worst is None else months[worst]
    unserved = math.fsum(run.unserved_wh)
    lowest = min(shares)
    out = run.discharge_loss_wh + run.discharged_wh
    return Year(
        months=months, worst=worst,
        ratio=None if month is None else (month.sun_wh + month.other_wh) / month.load_wh,
        short_days=sum(m.short_days for m in months),
        days_in_use=sum(max(load_w[hour : hour + HOURS_OF_DAY]) > 0 for hour in range(0, len(load_w), HOURS_OF_DAY)),
        short_h=sum(wh > SHORT_WH for wh in run.unserved_wh),
        unserved_wh=unserved, unserved_frac=unserved / run.load_sum_wh if run.load_sum_wh else 0.0,
        lowest_frac=lowest, lowest_at=stamp(shares.index(lowest)),
        spilled_wh=math.fsum(run.spilled_wh), used_wh=run.used_wh, cycles=out / usable_wh if usable_wh else 0.0,
        longest_days_without_full=_longest_without_full(shares),
        daily_lowest_frac=lows, daily_highest_frac=tuple(max(day) for day in days), imbalance_wh=run.imbalance_wh,
    )  # fmt: skip


def mean_day(hourly: Sequence[float], month: int) -> list[float]:
    """Each hour of the mean day of a month (0 to 11) of an hourly series of a year."""
    days, first = MONTH_DAYS[month], month_start_h(month)
    hours = hourly[first : first + days * HOURS_OF_DAY]
    return [math.fsum(hours[hour::HOURS_OF_DAY]) / days for hour in range(HOURS_OF_DAY)]


def short_days(unserved_wh: Sequence[float]) -> int:
    """Days with an hour in which the loads went without."""
    return sum(_is_short(unserved_wh[hour : hour + HOURS_OF_DAY]) for hour in range(0, len(unserved_wh), HOURS_OF_DAY))


def _is_short(hours: Sequence[float]) -> bool:
    return max(hours) > SHORT_WH


def _months(
    run: Run, lows: Sequence[float], load_w: Sequence[float], sun_w: Sequence[float], other_w: Sequence[float]
) -> tuple[Month, ...]:
    sums = [by_month(series) for series in (sun_w, other_w, load_w, run.spilled_wh)]
    found, first = [], 0
    for month, days in enumerate(MONTH_DAYS):
        hours = slice(first * HOURS_OF_DAY, (first + days) * HOURS_OF_DAY)
        sun, other, load, spilled = (total[month] / days for total in sums)
        lowest = min(lows[first : first + days])
        found.append(Month(MONTHS[month], sun, other, load, spilled, short_days(run.unserved_wh[hours]), lowest))
        first += days
    return tuple(found)


def _longest_without_full(shares: Sequence[float]) -> float:
    full = [hour for hour, share in enumerate(shares) if share >= FULL_FRAC]
    if not full:
        return len(shares) / HOURS_OF_DAY
    # The year is a ring: a stretch over the new year counts as one.
    gaps = (later - hour for hour, later in zip(full, [*full[1:], full[0] + len(shares)], strict=True))
    return (max(gaps) - 1) / HOURS_OF_DAY
