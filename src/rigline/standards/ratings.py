"""Ratings that overcurrent devices are made in, and what a style can be trusted with when nobody knows more.

A typical figure is a stand-in for the data sheet: it always carries its basis, so that a finding can call it assumed.
All figures here are for direct current unless a name says otherwise.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Literal

from msgspec import Struct

from rigline.standards.tables import Sure, Table, table

RatingList = Literal["nec-240.6", "iec"]

RATING_TOLERANCE_FRAC = 1e-9
"""Two ratings closer than this are one: exact arithmetic in floating point."""


class Typical(Struct, frozen=True):
    """An interrupting rating usual for a style, and the direct voltage up to which it holds."""

    value_a: float
    at_v: float
    sure: Sure
    source: str


class TypicalVoltage(Struct, frozen=True):
    """The direct voltage that a style is usually rated for."""

    value_v: float
    sure: Sure
    source: str


@cache
def styles() -> tuple[str, ...]:
    """Every style of fuse and breaker that has a list of ratings."""
    return tuple(str(key) for key in table("style_ratings").rows)


@cache
def listed_ratings(name: RatingList = "nec-240.6") -> tuple[float, ...]:
    """The standard ratings of a code, in A, ascending. NEC 240.6(A) with its fuse ratings 1, 3, 6, 10; or IEC 60269."""
    keys = table("nec_240_6" if name == "nec-240.6" else "iec_ratings").rows
    return tuple(key for key in keys if isinstance(key, float))


@cache
def standard_ratings(style: str | None = None) -> tuple[float, ...]:
    """The ratings that a style is made in, in A, ascending; those of NEC 240.6(A) when no style is given.

    Raises:
        KeyError: no such style.

    >>> standard_ratings("blade")[:5]
    (1.0, 2.0, 3.0, 4.0, 5.0)
    """
    if style is None:
        return listed_ratings()
    if style not in styles():
        raise KeyError(f"no ratings for the style {style}; known: {', '.join(styles())}")
    ratings = table("style_ratings").cell(style, "ratings")
    return tuple(value for value in ratings if isinstance(value, float)) if isinstance(ratings, tuple) else ()


def next_rating_up(value_a: float, ratings: Sequence[float]) -> float | None:
    """The smallest rating that is not below a current; the current itself if it is a rating; None above the list.

    >>> next_rating_up(115, listed_ratings()), next_rating_up(110, listed_ratings())
    (125.0, 110.0)
    """
    enough = value_a * (1 - RATING_TOLERANCE_FRAC)
    return min((rating for rating in ratings if rating >= enough), default=None)


def next_rating_down(value_a: float, ratings: Sequence[float]) -> float | None:
    """The largest rating that is not above a current; None below the list.

    >>> next_rating_down(495, listed_ratings())
    450.0
    """
    enough = value_a * (1 + RATING_TOLERANCE_FRAC)
    return max((rating for rating in ratings if rating <= enough), default=None)


@cache
def typical_interrupting(style: str, volts_v: float) -> Typical | None:
    """What a device of a style usually interrupts at a direct voltage; None where no figure holds that high.

    An interrupting rating is valid only at or below its own voltage, so the lowest voltage that covers is taken.

    >>> typical_interrupting("terminal", 29.2).value_a
    5000.0
    """
    figures = table("style_interrupting")
    rows = (row for row in figures.rows.values() if row["style"] == style)
    held_v = [at for row in rows if isinstance(at := row["at"], float) and at >= volts_v]
    if not held_v:
        return None
    key = (style, min(held_v))
    value_a = figures.number(key, "interrupting")
    return None if value_a is None else Typical(value_a, min(held_v), figures.sure_of(key), _basis(figures, key, style))


@cache
def typical_voltage(style: str) -> TypicalVoltage | None:
    """The direct voltage that a style is usually rated for; None where it depends on the type."""
    figures = table("style_ratings")
    rated_v = figures.number(style, "rated")
    return None if rated_v is None else TypicalVoltage(rated_v, figures.sure_of(style), _basis(figures, style, style))


def _basis(figures: Table, key: str | tuple[str, float], style: str) -> str:
    return f"typical of the style {style}: {figures.text(key, 'basis')}"


UNMARKED_INTERRUPTING_A = {"breaker": 5000.0, "fuse": 10000.0}
"""What a device without a mark can open at its alternating voltage. Source: NEC 240.83(C) for breakers, 240.60(C) for
cartridge fuses, from memory."""
SHORE_INTERRUPTING_A = 3000.0
"""Least interrupting rating of main and branch breakers on a boat's 120 V shore supply of 30 A or 50 A. Source: ABYC
E-11, interrupting table."""
SHORE_RATINGS_A = (30.0, 50.0)
"""Shore supplies that the figure is printed for."""

HIGHEST_TABLED_CRANKING_A = 2200.0
"""Cold cranking current above which the table no longer serves. Source: ABYC E-11, later editions."""

TABLED_VOLTAGE_V = 32.0
"""The table is for 12 V and 24 V systems; a 24 V one charges up to about 32 V. Source: ABYC E-11."""


@cache
def boat_interrupting(cranking_a: float, *, main: bool) -> Typical | None:
    """Least interrupting rating on a battery bank by its total cold cranking current; None above the table's scope.

    `main` is the first device in series with the battery; every later one is a branch device. Source: ABYC E-11.
    """
    figures = table("abyc_interrupting")
    key = figures.key_spanning(cranking_a) if cranking_a <= HIGHEST_TABLED_CRANKING_A else None
    value_a = figures.number(key, "main_device" if main else "branch_device")
    if key is None or value_a is None:
        return None
    return Typical(value_a, TABLED_VOLTAGE_V, figures.sure_of(key), figures.source.cite)
