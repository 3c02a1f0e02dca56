"""Planning figures of an energy balance: what a battery gives, what an array loses, what the cold takes.

They are starting points where a spec and its data sheets say nothing. Each comes from a table with its source and how
sure it is, so that a report can print them beside the result.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from itertools import pairwise

from msgspec import Struct

from rigline.standards.tables import Sure, table


class Figure(Struct, frozen=True):
    """One planning figure. Its unit stands in the basis where it isn't a share."""

    name: str
    value: float
    sure: Sure
    basis: str


@cache
def figure(name: str) -> Figure:
    """A figure of the balance by its name; KeyError if there is none."""
    found = table("energy_figures")
    value = found.number(name, "value")
    if value is None:
        raise KeyError(name)
    return Figure(name, value, found.sure_of(name), found.text(name, "basis") or "")


@cache
def battery_figure(chemistry: str, name: str) -> Figure:
    """A figure of a chemistry by its name; KeyError if there is none.

    >>> battery_figure("agm", "usable share").value
    0.5
    """
    found = table("battery_figures")
    value = found.number((chemistry, name), "value")
    if value is None:
        raise KeyError((chemistry, name))
    return Figure(name, value, found.sure_of((chemistry, name)), found.text((chemistry, name), "basis") or "")


def cold_factor(chemistry: str, cell_c: float) -> float | None:
    """How many times the capacity must be larger for a cold cell to give as much; None below the table.

    Straight lines between its rows; never below 1, for a warm battery is not counted as a larger one. Source: IEEE 485
    Table 1 for lead, data sheets for lithium iron phosphate; both from memory.

    >>> cold_factor("agm", 4.4), cold_factor("lifepo4", 30), cold_factor("agm", -10)
    (1.3, 1.0, None)
    """
    figures = table("lithium_cold" if chemistry == "lifepo4" else "lead_cold")
    points = [(key, figures.number(key, "factor") or 1.0) for key in figures.rows if isinstance(key, float)]
    return None if cell_c < points[0][0] else _between(points, cell_c)


def clear_sky_share(latitude_deg: float, dark: bool) -> float:
    """Sun on the ground over that of a clear sky where only the latitude is known: a rough mean of seven stations.

    >>> clear_sky_share(-44, dark=False), clear_sky_share(70, dark=True)
    (0.6633333333333333, 0.5)
    """
    figures = table("clear_sky_share")
    column = "dark" if dark else "bright"
    points = [(key, figures.number(key, column) or 0.0) for key in figures.rows if isinstance(key, float)]
    return _between(points, abs(latitude_deg))


def spell_share(days: int, worst: bool = False) -> float:
    """Mean sun of the darkest days in a row over that of the worst month; KeyError for a number not in the table."""
    value = table("dark_spell").number(float(days), "worst" if worst else "median")
    if value is None:
        raise KeyError(days)
    return value


def _between(points: Sequence[tuple[float, float]], at: float) -> float:
    """Straight line between neighbours; the first or last value outside."""
    for (low, first), (high, second) in pairwise(points):
        if at <= high:
            return first + (second - first) * (max(at, low) - low) / (high - low)
    return points[-1][1]
