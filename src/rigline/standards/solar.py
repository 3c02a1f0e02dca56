"""How much a cold morning raises the open-circuit voltage of a module whose maker gives no coefficient."""

from __future__ import annotations

from functools import cache

from rigline.standards.tables import table


@cache
def cold_voltage_factor(coldest_c: float) -> float | None:
    """Factor on the open-circuit voltage at 25 °C, crystalline silicon; 1 above 24 °C, None below -40 °C.

    A coefficient from the module's maker replaces it. Source: NEC Table 690.7(A); between two ranges the colder one.

    >>> cold_voltage_factor(-10)
    1.14
    """
    figures = table("nec_690_7_a")
    key = figures.key_spanning(coldest_c)
    if key is None and coldest_c > 0:
        return 1.0
    return figures.number(key, "factor")
