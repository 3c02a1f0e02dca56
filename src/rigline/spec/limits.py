"""Amounts that are well written and can't be meant: a battery of 0 V, an efficiency of 900 %, air of 35 K.

The limits say what is senseless, not what is unsafe: that is the checks' business. They keep a slip of the pen from
reaching a division, or from passing as a fact.
"""

from __future__ import annotations

from typing import Final

COLDEST_AIR_C: Final = -89.2
"""Lowest air temperature measured on the ground. Source: World Meteorological Organization (Vostok, 1983)."""

MOST_LATITUDE_DEG: Final = 90.0
"""The poles; by definition."""

MOST_ANGLE_DEG: Final = 360.0
"""A full turn; by definition."""

_MAY_BE_ZERO: Final = frozenset({"drop_v"})
"""The voltages that can be nothing: a drop."""

_NEVER_ZERO: Final = frozenset(
    {"rating_a", "capacity_ah", "capacity_wh", "internal_resistance_ohm", "efficiency_frac", "short_circuit_a",
     "interrupting_a", "loop_impedance_ohm", "subtransient_reactance_frac", "impedance_frac",
     "usable_frac", "autonomy_h"}
)  # fmt: skip
"""Other fields where nothing is no value: a rating of 0 A is no rating, and unknown is written so."""


def senseless(value: float, field: str, suffix: str) -> str:
    """What is wrong with a value that can't be meant, as a requirement; empty if it can be.

    Example:
        >>> senseless(9.0, "efficiency_frac", "frac"), senseless(0.9, "efficiency_frac", "frac")
        ('a share is at most 100 %', '')
    """
    if value == 0 and (field in _NEVER_ZERO or (suffix == "v" and field not in _MAY_BE_ZERO)):
        return "it can't be zero; write unknown if nobody knows it"
    if suffix == "frac" and value > 1:
        return "a share is at most 100 %"
    if suffix == "c" and value < COLDEST_AIR_C:
        return f"no air on earth is colder than {COLDEST_AIR_C} °C"
    if suffix == "deg" and abs(value) > (MOST_LATITUDE_DEG if field == "latitude_deg" else MOST_ANGLE_DEG):
        return f"give an angle of at most {MOST_LATITUDE_DEG if field == 'latitude_deg' else MOST_ANGLE_DEG:.0f}°"
    return ""
