"""A run of dark days in the worst month, hour by hour: how low the battery goes, and what it would take to get
through.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import median

from msgspec import Struct

from rigline.energy.bank import Bank
from rigline.energy.outcome import SHORT_WH, mean_day
from rigline.energy.simulation import Run, run
from rigline.energy.sun import HOURS_OF_DAY, MONTH_DAYS, MONTHS
from rigline.energy.year import month_start_h
from rigline.standards.energy import spell_share

USUAL_DAYS, HARD_DAYS = 5, 3
"""Length of the usual spell (median of measured years), and of the hard one (worst of them)."""
AFTER_DAYS = 3
"""Mean days behind it, to show whether the battery comes back."""


class Spell(Struct, frozen=True):
    """One spell: its days, then mean days."""

    hard: bool
    month: str
    days: int
    sun_frac: float
    """Sun of its days over the mean of the month."""
    start_frac: float
    """State of charge at its beginning: that of a usual midnight of the month."""
    stored_frac: tuple[float, ...]
    """State of charge at the end of each hour, mean days behind it included."""
    lowest_frac: float
    short_h: int
    """Hours in which the loads go without."""
    missing_wh: float
    """What would have to come from elsewhere."""


def spell(
    bank: Bank, load_w: Sequence[float], sun_w: Sequence[float], other_w: Sequence[float], base: Run, month: int,
    hard: bool,
) -> Spell:  # fmt: skip
    """A spell in a month, from the state of charge of a usual midnight there.

    Args:
        bank: The battery.
        load_w: Each hour of the year.
        sun_w: Each hour of the year.
        other_w: Each hour of the year.
        base: The settled year, for where the battery usually stands.
        month: 0 to 11.
        hard: Three days as dark as in the worst of eighteen typical years, not five as in the median one.
    """
    days, share = (HARD_DAYS, spell_share(HARD_DAYS, worst=True)) if hard else (USUAL_DAYS, spell_share(USUAL_DAYS))
    first, hours = month_start_h(month), MONTH_DAYS[month] * HOURS_OF_DAY
    midnights = base.stored_wh[first + HOURS_OF_DAY - 1 : first + hours : HOURS_OF_DAY]
    start = median(midnights) / bank.capacity_wh
    sun, load, other = (mean_day(series, month) for series in (sun_w, load_w, other_w))
    shares = [share] * days + [1.0] * AFTER_DAYS
    source = [s * sun[h] + other[h] for s in shares for h in range(HOURS_OF_DAY)]
    found = run(bank.cell(), load * len(shares), source, start)
    dark = days * HOURS_OF_DAY
    return Spell(
        hard, MONTHS[month], days, share, start, tuple(wh / bank.capacity_wh for wh in found.stored_wh),
        min(found.stored_wh[:dark]) / bank.capacity_wh, sum(wh > SHORT_WH for wh in found.unserved_wh[:dark]),
        math.fsum(found.unserved_wh[:dark]),
    )  # fmt: skip
