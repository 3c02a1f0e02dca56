"""The sums of a planner, one function each: a day's energy, a bank for it, an array, and how long things take.

Each is a closed form that the report prints and the published worked examples in the tests are held against.
"""

from __future__ import annotations

import math

DAYS_OF_WEEK = 7.0


def day_wh(
    power_w: float, use_h_per_day: float, *, count: int = 1, duty_frac: float = 1.0, days_per_week: float = DAYS_OF_WEEK
) -> float:
    """Energy of a load on a mean day: count x power x hours x duty x days a week / 7.

    >>> day_wh(55, 24, duty_frac=0.4), day_wh(5, 3, count=6)
    (528.0, 90.0)
    """
    return count * power_w * use_h_per_day * duty_frac * days_per_week / DAYS_OF_WEEK


def bank_wh(
    day_wh: float, days: float, usable_frac: float, *, cold_factor: float = 1.0, margin_frac: float = 0.0,
    aged_frac: float = 1.0, efficiency_frac: float = 1.0,
) -> float:  # fmt: skip
    """Nominal energy of a bank that carries the loads for some days without any charge.

    Args:
        day_wh: Energy a day at its terminals.
        days: How long it must last.
        usable_frac: Share of it that is used.
        cold_factor: How many times more a cold bank must hold; see `standards.energy.cold_factor`.
        margin_frac: Reserve.
        aged_frac: Share of its first capacity with which it must still do.
        efficiency_frac: Energy at the terminals over energy stored.
    """
    return day_wh * days * cold_factor * (1 + margin_frac) / (usable_frac * aged_frac * efficiency_frac)


def autonomy_h(usable_wh: float, load_w: float, efficiency_frac: float = 1.0) -> float:
    """How long the usable part of a full bank carries a steady load; infinite without a load."""
    return usable_wh * efficiency_frac / load_w if load_w > 0 else math.inf


def bulk_h(missing_ah: float, charge_a: float, load_a: float = 0.0, efficiency_frac: float = 1.0) -> float:
    """Hours of charging at full current until a battery takes no more of it; infinite if the loads take it all.

    >>> round(bulk_h(220, 30), 2)
    7.33
    """
    into_a = (charge_a - load_a) * efficiency_frac
    return missing_ah / into_a if into_a > 0 else math.inf


def tail_h(missing_ah: float, charge_a: float, full_a: float, efficiency_frac: float = 1.0) -> float:
    """Hours from the start of absorption until the current has fallen to that of a full battery.

    The current falls in a straight line over the charge, which is an exponential over time:
    missing / (efficiency x (I - I_full)) x ln(I / I_full).

    >>> round(tail_h(0.2 * 220, 30, 2.2), 1)
    4.1
    """
    if charge_a <= full_a:
        return missing_ah / (charge_a * efficiency_frac) if charge_a > 0 else math.inf
    return missing_ah / (efficiency_frac * (charge_a - full_a)) * math.log(charge_a / full_a)


def array_w(day_wh: float, sun_h_per_day: float, *, ratio: float = 1.0, yield_frac: float = 1.0) -> float:
    """Rated power of an array that brings a day's energy (times a ratio) with so much sun; infinite without sun."""
    light = sun_h_per_day * yield_frac
    return day_wh * ratio / light if light > 0 else math.inf


def source_w(output_w: float, efficiency_frac: float, derated_frac: float = 0.0) -> float:
    """Power that a source must have for a charger's output, derated for height or heat.

    >>> round(source_w(12720 / 5, 0.75, 0.12))
    3855
    """
    return output_w / (efficiency_frac * (1 - derated_frac))


def peukert_h(capacity_ah: float, rated_h: float, current_a: float, exponent: float) -> float:
    """How long a lead battery gives a current, from its capacity at a rated time: H (C / (I H))^k.

    The older form C / I^k takes the capacity at one ampere; with a 20-hour rating it is wrong by a third.

    >>> round(peukert_h(100, 20, 5, 1.2), 1), round(peukert_h(100, 20, 10, 1.2), 2)
    (20.0, 8.71)
    """
    return rated_h * math.pow(capacity_ah / (current_a * rated_h), exponent)
