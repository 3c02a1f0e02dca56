"""A typical year of sun on the horizontal, hour by hour: from a file, from monthly figures, or from the latitude alone.

Days differ: a month's sun is spread over its days by a fixed pattern of bright and dark ones whose darkest days in a
row are those of eighteen measured typical years. A typical year leaves out the rare bad one, and nothing here says
otherwise.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache, lru_cache
from itertools import accumulate, pairwise

from msgspec import Struct

from rigline.energy.sun import (
    DAYS_OF_YEAR,
    HOURS_OF_DAY,
    MONTH_DAYS,
    MONTHS,
    clear_sky_w_per_m2,
    cosines,
    month_of_days,
)
from rigline.standards.energy import clear_sky_share, spell_share

HOURS_OF_YEAR = DAYS_OF_YEAR * HOURS_OF_DAY
DARK_MONTHS = {"north": (10, 11, 0, 1), "south": (4, 5, 6, 7)}
"""The four darkest months, counted from 0, by half of the earth."""
PATTERN_DAYS = 30
SPELL_STEPS = (1, 2, 3, 5, 7, 10, 14, 30)
"""Lengths for which the darkest days in a row are known."""


class Sunshine(Struct, frozen=True):
    """Sun of a typical year, and where it comes from."""

    ghi_w_per_m2: tuple[float, ...]
    """On the horizontal, mean of each hour of solar time, 8760 of them."""
    basis: str
    """Where it comes from, as a sentence part."""
    assumed: bool
    """Whether it rests on a latitude alone."""
    latitude_deg: float | None
    air_c: tuple[float, ...] | None = None
    """Air temperature of each hour, if it is known."""

    @property
    def sun_h_per_day(self) -> tuple[float, ...]:
        """Peak sun hours of a mean day of each month: kilowatt-hours on a square metre of the horizontal."""
        return tuple(total / days / 1000 for total, days in zip(by_month(self.ghi_w_per_m2), MONTH_DAYS, strict=True))


def by_month(hourly: Sequence[float]) -> list[float]:
    """Sums of an hourly series of a year by month."""
    ends = list(accumulate(days * HOURS_OF_DAY for days in MONTH_DAYS))
    starts = [0, *ends[:-1]]
    return [math.fsum(hourly[start:end]) for start, end in zip(starts, ends, strict=True)]


def clear_sky_h_per_day(latitude_deg: float) -> tuple[float, ...]:
    """Peak sun hours of a mean day of each month under a clear sky."""
    months = by_month(_clear_hours(latitude_deg))
    return tuple(total / days / 1000 for total, days in zip(months, MONTH_DAYS, strict=True))


@lru_cache(maxsize=2)
def _clear_hours(latitude_deg: float) -> tuple[float, ...]:
    return tuple(clear_sky_w_per_m2(cos) for cos in cosines(latitude_deg))


def from_latitude(latitude_deg: float) -> Sunshine:
    """A year where only the latitude is known: a clear sky less the clouds of a mean place at that latitude."""
    dark = DARK_MONTHS["south" if latitude_deg < 0 else "north"]
    months = [
        clear * clear_sky_share(latitude_deg, month in dark)
        for month, clear in enumerate(clear_sky_h_per_day(latitude_deg))
    ]
    where = f"{abs(latitude_deg):g}° {'S' if latitude_deg < 0 else 'N'}"
    basis = f"a clear sky at {where} less the clouds of a usual place there; clouds are assumed, not known"
    return Sunshine(_spread(months, latitude_deg), basis, True, latitude_deg)


def from_months(sun_h_per_day: Sequence[float], latitude_deg: float) -> Sunshine:
    """A year from twelve peak sun hours, each day shaped by the path of the sun at a latitude."""
    basis = "the twelve monthly figures of the spec (conditions: sun), with bright and dark days as in measured years"
    return Sunshine(_spread(sun_h_per_day, latitude_deg), basis, False, latitude_deg)


def _spread(months: Sequence[float], latitude_deg: float) -> tuple[float, ...]:
    """Monthly means over days and hours; the sum of a month is kept, and no day is brighter than a clear one."""
    clear = _clear_hours(latitude_deg)
    clear_months = clear_sky_h_per_day(latitude_deg)
    hourly: list[float] = []
    for month, days in enumerate(MONTH_DAYS):
        start = len(hourly)
        share = months[month] / clear_months[month] if clear_months[month] > 0 else 0.0
        factors = _day_factors(days, share)
        block = clear[start : start + days * HOURS_OF_DAY]
        shaped = [value * factors[hour // HOURS_OF_DAY] for hour, value in enumerate(block)]
        total, wanted = math.fsum(shaped), months[month] * days * 1000
        hourly += [value * wanted / total for value in shaped] if total > 0 else [0.0] * len(block)
    return tuple(hourly)


def _day_factors(days: int, share: float) -> list[float]:
    """Sun of each day of a month over its mean; flatter where the month leaves bright days no room."""
    pattern = [day_pattern()[day % PATTERN_DAYS] for day in range(days)]
    brightest = max(pattern)
    room = 1 / share if share > 0 else brightest
    flatter = min(1.0, (room - 1) / (brightest - 1)) if room > 1 else 0.0
    return [1 + (factor - 1) * flatter for factor in pattern]


@cache
def day_pattern() -> tuple[float, ...]:
    """Sun of each day of a month over the month's mean: the darkest 1, 2, 3, 5 ... days in a row are those measured.

    >>> round(sum(day_pattern()) / 30, 9), round(min(day_pattern()), 2)
    (1.0, 0.38)
    """
    # Sums of the darkest days in a row; each longer stretch adds its days in turn before and behind the shorter one.
    sums = {days: days * spell_share(days) for days in SPELL_STEPS[:-1]}
    sums[PATTERN_DAYS] = float(PATTERN_DAYS)
    before: list[float] = []
    behind: list[float] = [sums[1]]
    for shorter, longer in pairwise(SPELL_STEPS):
        added = (sums[longer] - sums[shorter]) / (longer - shorter)
        for _ in range(longer - shorter):
            (behind if len(behind) <= len(before) else before).append(added)
    row = [*reversed(before), *behind]
    return tuple(row)


def worst_month(yields: Sequence[float], needs: Sequence[float]) -> int | None:
    """The month in which what comes is the smallest share of what is needed; None if nothing is ever needed."""
    shares = [(got / need, month) for month, (got, need) in enumerate(zip(yields, needs, strict=True)) if need > 0]
    return min(shares)[1] if shares else None


def month_start_h(month: int) -> int:
    """First hour of a month (0 to 11)."""
    return sum(MONTH_DAYS[:month]) * HOURS_OF_DAY


def stamp(hour: int) -> str:
    """An hour of the year as a date and time: the start of the hour.

    >>> stamp(0), stamp(8759)
    ('1 Jan 00:00', '31 Dec 23:00')
    """
    day, clock = divmod(hour, HOURS_OF_DAY)
    month = month_of_days()[day]
    return f"{day - sum(MONTH_DAYS[:month]) + 1} {MONTHS[month]} {clock:02d}:00"
