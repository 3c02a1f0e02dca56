"""The American wire gauge is a geometric law, and kept here so that nobody copies areas out of a table.

It knows gauges and areas only: no system, no profile, no table.
"""

from __future__ import annotations

import math
import re

AWG_36_DIAMETER_MM = 0.127
"""Diameter of 36 AWG, 0.005 in by definition. Source: ASTM B258."""

AWG_RATIO = 92.0
"""Diameter of 4/0 over that of 36 AWG, thirty-nine steps apart. Source: ASTM B258."""

MM2_PER_CMIL = math.pi / 4 * 0.0254**2
"""Area of a circle one mil (0.0254 mm) across. By definition."""

_GAUGE = re.compile(r"(?P<zeros>0{1,4})|(?P<over>[1-4])/0|(?P<plain>[1-9][0-9]?)")


def awg_area_mm2(number: int) -> float:
    """Copper area of a gauge number, where 1/0 is 0, 2/0 is -1 and 4/0 is -3. Source: ASTM B258.

    >>> round(awg_area_mm2(10), 3), round(awg_area_mm2(-3), 1)
    (5.261, 107.2)
    """
    diameter_mm: float = AWG_36_DIAMETER_MM * AWG_RATIO ** ((36 - number) / 39)
    return math.pi / 4 * diameter_mm**2


def gauge_number(text: str) -> int | None:
    """Gauge number of "10", "2/0" or "00"; None for anything that is no gauge.

    >>> gauge_number("10"), gauge_number("4/0"), gauge_number("00"), gauge_number("5/0")
    (10, -3, -1, None)
    """
    found = _GAUGE.fullmatch(text)
    if found is None:
        return None
    if found["plain"]:
        return int(found["plain"])
    return 1 - (int(found["over"]) if found["over"] else len(found["zeros"]))


def gauge_text(number: int) -> str:
    """The gauge as the trade writes it.

    >>> gauge_text(10), gauge_text(0), gauge_text(-3)
    ('10 AWG', '1/0 AWG', '4/0 AWG')
    """
    return f"{number} AWG" if number > 0 else f"{1 - number}/0 AWG"
