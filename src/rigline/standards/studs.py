"""Studs, and the holes that lugs are drilled with for them.

A lug is bought by two sizes: its wire and its stud. A hole too small doesn't go on, and one too large touches its stud
at two points and burns. So a stud is one of a short list of sizes, or it isn't known.
"""

from __future__ import annotations

import re
from functools import cache

from msgspec import Struct

from rigline.standards.tables import Sure, table


class Stud(Struct, frozen=True):
    """One size of stud with the hole of its lug and the torque that makers print for it."""

    text: str
    across_mm: float
    """Outside diameter of the thread."""
    hole_mm: float
    """Hole of a lug that is sold for it. Source: ISO 273 fine series, ASME B18.2.8 close fit."""
    torque_n_m: tuple[float, float] | None
    """Least and greatest torque in makers' manuals; None where none was read. The part's own maker comes first."""
    sure: Sure

    @property
    def is_metric(self) -> bool:
        """Whether it is an M size."""
        return self.text.startswith("M")


_INCH = re.compile(r"(?P<number>[0-9]/[0-9]+)(?: ?-? ?(?:in|inch|\"|''|″))?")
_METRIC = re.compile(r"m ?(?P<number>[0-9]+)")
_NUMBERED = re.compile(r"(?:#|no\.? ?)(?P<number>[0-9]+)")


@cache
def studs() -> tuple[Stud, ...]:
    """Every size in the table, in its order."""
    figures = table("stud_sizes")
    return tuple(_stud(str(key)) for key in figures.rows)


def _stud(text: str) -> Stud:
    figures = table("stud_sizes")
    least, most = figures.number(text, "torque_least"), figures.number(text, "torque_most")
    return Stud(
        text,
        figures.number(text, "across") or 0.0,
        figures.number(text, "hole") or 0.0,
        None if least is None or most is None else (least, most),
        figures.sure_of(text),
    )


@cache
def parse_stud(text: str) -> Stud | None:
    """The stud that a person wrote; None if it is no size that lugs are made for.

    >>> parse_stud("m8").hole_mm, parse_stud('3/8"').text, parse_stud("8")
    (8.4, '3/8 in', None)
    """
    written = " ".join(text.casefold().split())
    if found := _METRIC.fullmatch(written):
        name = f"M{found['number']}"
    elif found := _INCH.fullmatch(written):
        name = f"{found['number']} in"
    elif found := _NUMBERED.fullmatch(written):
        name = f"#{found['number']}"
    else:
        return None
    return next((stud for stud in studs() if stud.text == name), None)


LOOSEST_FRAC = 1.15
"""Hole over stud above which a lug bears on one side only. Source: common practice; it lets an M10 lug on 3/8 in (1.10)
and a 1/4 in lug on M6 (1.13), and no lug on the next smaller size."""


def fits(lug_for: Stud, stud: Stud) -> bool:
    """Whether a lug that was drilled for one stud goes on another, and bears all round it.

    >>> fits(parse_stud("5/16 in"), parse_stud("M8")), fits(parse_stud("3/8 in"), parse_stud("M10"))
    (True, False)
    >>> fits(parse_stud("M10"), parse_stud("3/8 in")), fits(parse_stud("M10"), parse_stud("M8"))
    (True, False)
    """
    return stud.across_mm <= lug_for.hole_mm <= stud.across_mm * LOOSEST_FRAC


def inch_neighbour(text: str) -> str | None:
    """The inch size next to a metric stud; None for what is no stud.

    >>> inch_neighbour("M8")
    '5/16 in'
    """
    metric = parse_stud(text)
    if metric is None:
        return None
    inches = [stud for stud in studs() if not stud.is_metric]
    return min(inches, key=lambda stud: abs(stud.across_mm - metric.across_mm)).text
