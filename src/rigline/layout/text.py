"""How much room a text takes, so that nothing on a sheet has to be moved after it is drawn.

Widths come from a small table of the lettering's advance widths that ships with the package: no font has to be opened,
and the answer is the same on every machine. The table is for Liberation Sans, whose widths equal those of the common
sans-serif faces it stands in for. Kerning is left out; it only makes a text narrower.
"""

from __future__ import annotations

import json
import unicodedata
from functools import cache, lru_cache
from importlib.resources import files
from typing import Any, cast

from rigline.layout.plan import Text

CAPITAL_EM = 0.688
"""Height of the capitals over the em size of the lettering. Source: measured on the shipped font."""
ASCENT_EM = 0.74
"""Highest ink of an unaccented letter above the baseline. Source: measured on the shipped font (l: 0.725)."""
DESCENT_EM = 0.22
"""Lowest ink below the baseline. Source: measured on the shipped font (bold bar: 0.222)."""

Extent = tuple[float, float, float, float]
"""x0, y0, x1, y1 in millimetres, y downwards."""


def em_mm(capital_mm: float) -> float:
    """Em size of a lettering whose capitals are `capital_mm` high.

    >>> round(em_mm(2.5), 3)
    3.634
    """
    return capital_mm / CAPITAL_EM


@cache
def _table() -> dict[str, Any]:
    return cast(
        "dict[str, Any]",
        json.loads(files("rigline.layout").joinpath("data/text_widths.json").read_text(encoding="utf-8")),
    )


@cache
def _widths_em(weight: str) -> dict[str, float]:
    """Advance width of each character in the table, in em."""
    table = _table()
    units_per_em = float(table["units_per_em"])
    return {
        chr(int(first, 16) + offset): width / units_per_em
        for first, widths in table[weight].items()
        for offset, width in enumerate(widths)
    }


def _character_em(character: str, widths: dict[str, float]) -> float:
    if character in widths:
        return widths[character]
    # Another face will draw it, at a width nobody can know here.
    return 0.0 if unicodedata.combining(character) else max(widths.values())


def text_width_mm(text: str, capital_mm: float, bold: bool = False) -> float:
    """Advance width of one line of text.

    A character that the lettering lacks counts as wide as its widest one, so that room is hardly ever short.

    >>> round(text_width_mm("2 x 16 mm²", 2.5), 2)
    18.17
    """
    return em_mm(capital_mm) * _line_em(text, bold)


@lru_cache(maxsize=10_000)
def _line_em(text: str, bold: bool) -> float:
    """Kept, since a layout asks for the width of the same words many times."""
    widths = _widths_em("bold" if bold else "regular")
    return sum(_character_em(character, widths) for character in text)


def ascent_mm(capital_mm: float) -> float:
    """Ink above the baseline."""
    return em_mm(capital_mm) * ASCENT_EM


def descent_mm(capital_mm: float) -> float:
    """Ink below the baseline."""
    return em_mm(capital_mm) * DESCENT_EM


def text_box(text: Text) -> Extent:
    """What a text covers on the sheet, turned as it will be drawn.

    A text turned by 90 degrees starts at its anchor and runs upwards, its letters' heads to the left.
    """
    width = text_width_mm(text.text, text.capital_mm, text.bold)
    start = {"start": 0.0, "middle": -width / 2, "end": -width}[text.anchor]
    up, down = ascent_mm(text.capital_mm), descent_mm(text.capital_mm)
    if text.turn_deg == 90:
        return (text.x_mm - up, text.y_mm - start - width, text.x_mm + down, text.y_mm - start)
    return (text.x_mm + start, text.y_mm - up, text.x_mm + start + width, text.y_mm + down)


def shortened(text: str, room_mm: float, capital_mm: float, bold: bool = False) -> str:
    """The text, cut with an ellipsis if it is wider than its room.

    >>> shortened("Bicycle repair trailer", 20.0, 2.5)
    'Bicycle re…'
    """
    if text_width_mm(text, capital_mm, bold) <= room_mm:
        return text
    kept = text
    while kept and text_width_mm(kept.rstrip() + "…", capital_mm, bold) > room_mm:
        kept = kept[:-1]
    return kept.rstrip() + "…"


def printable(text: str) -> str:
    """The text as one line of visible characters: controls and text direction overrides go, other blanks become spaces.

    >>> printable("Fridge\\n\\x07 12\\xa0V")
    'Fridge 12 V'
    """
    if text.isprintable():  # The space is the only blank of which Python says so.
        return " ".join(text.split())
    shown = (" " if character.isspace() else character if character.isprintable() else "" for character in text)
    return " ".join("".join(shown).split())
